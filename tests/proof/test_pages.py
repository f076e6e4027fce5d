"""The proof of a door on two pages: a joint that is met on both says on each where it is met again."""

from __future__ import annotations

import pytest

from tests.proof.expect import Copper, Expected
from tests.proof.hand import HandPage
from tests.proof.ink import prove

EXPECTED = Expected(
    door="D1",
    conductors=(Copper("A101a", "RD", (("A1", "1"), ("X1", "s1"))), Copper("A101b", "RD", (("X1", "s1"), ("Y1", "+")))),
    joints=frozenset({("X1", "s1")}),
    links=(),
    exposed={"A1": False, "Y1": False, "X1": False},
    unused=(),
    leads={},
    cables={},
)


def _pages(first: str = "s1 → 2/C2", second: str = "s1 → 1/C3") -> bytes:
    page = HandPage()
    page.frame()
    page.device("A1", 30, 60, 40, 60)
    page.terminal(70, 100, "1")
    page.wire((70.9, 100), (115, 100), colour="RD")
    page.label("RD A101a", 72, 100)
    page.label("RD A101a", 93, 100)
    page.box("X1", 110, 80, 12, 30)
    page.dot(115, 100)
    page.text(first, 115, 102, 1.8)
    page.turn()
    page.frame()
    page.device("Y1", 180, 60, 30, 35)
    page.terminal(180, 70, "+", "left")
    page.box("X1", 90, 60, 12, 30)
    page.dot(95, 70)
    page.wire((95, 70), (179.1, 70), colour="RD")
    page.label("RD A101b", 104, 70)
    page.label("RD A101b", 164, 70)
    page.text(second, 92, 72, 1.8)
    return page.pdf()


def test_joint_brings_two_pages_together() -> None:
    assert prove(_pages(), EXPECTED) == []


@pytest.mark.parametrize(
    ("first", "second", "kind"),
    [
        ("s1 → 2/C4", "s1 → 1/C3", "reference"),
        ("s1 → 3/C2", "s1 → 1/C3", "reference"),
        ("s1", "s1 → 1/C3", "reference"),
        ("s1 → 2/C2", "s1", "reference"),
        ("s1 → 2/C2", "s2 → 1/C3", "reference"),
        ("s2", "s1", "partition"),
        ("no word", "s1 → 1/C3", "joint"),
    ],
)
def test_reference_that_leads_astray_is_caught(first: str, second: str, kind: str) -> None:
    assert kind in {d.kind for d in prove(_pages(first, second), EXPECTED)}

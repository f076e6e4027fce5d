"""The proof of a door on two pages: a conductor that leaves one comes back where its reference says."""

from __future__ import annotations

import pytest

from tests.proof.expect import Copper, Expected
from tests.proof.hand import HandPage
from tests.proof.ink import prove

EXPECTED = Expected(
    door="D1",
    conductors=(Copper("A101a", "RD", (("A1", "1"), ("Y1", "+"))),),
    joints=frozenset(),
    links=(),
    exposed={"A1": False, "Y1": False},
    unused=(),
    leads={},
    cables={},
)


def _pages(first: str = "A101a → Y1:+, sheet 2 C2", second: str = "A101a → A1:1, sheet 1 C3") -> bytes:
    page = HandPage()
    page.frame()
    page.device("A1", 30, 60, 40, 60)
    page.terminal(70, 100, "1")
    page.wire((70.9, 100), (110, 100), colour="RD")
    page.label("RD A101a", 72, 100)
    page.label("RD A101a", 94, 100)
    page.text(first, 112, 99, 1.8)
    page.turn()
    page.frame()
    page.device("Y1", 180, 60, 30, 35)
    page.terminal(180, 70, "+", "left")
    page.wire((90, 70), (179.1, 70), colour="RD")
    page.label("RD A101a", 92, 70)
    page.label("RD A101a", 164, 70)
    page.text(second, 60, 69, 1.8)
    return page.pdf()


def test_pair_of_references_joins_two_pages() -> None:
    assert prove(_pages(), EXPECTED) == []


@pytest.mark.parametrize(
    ("first", "second", "kind"),
    [
        ("A101a → Y1:+, sheet 2 C4", "A101a → A1:1, sheet 1 C3", "reference"),
        ("A101a → Y1:-, sheet 2 C2", "A101a → A1:1, sheet 1 C3", "reference"),
        ("A101a → Y1:+, sheet 3 C2", "A101a → A1:1, sheet 1 C3", "reference"),
        ("A101a → Y1:+, sheet 2 C2", "A101a → A1:1, sheet 2 C3", "reference"),
        ("A101b → Y1:+, sheet 2 C2", "A101a → A1:1, sheet 1 C3", "open end"),
        ("no word", "A101a → A1:1, sheet 1 C3", "open end"),
    ],
)
def test_reference_that_leads_astray_is_caught(first: str, second: str, kind: str) -> None:
    assert kind in {d.kind for d in prove(_pages(first, second), EXPECTED)}

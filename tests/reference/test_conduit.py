"""Conduit fill: NEC chapter 9 tables 1, 4 and 5, and the counts of annex C."""

from __future__ import annotations

from math import floor, pi
from typing import NamedTuple

import pytest

from wiregen.reading.model import Band, CableSheet, Run, Where
from wiregen.study.conduit import EMT, INCH, conduits, most_fill
from wiregen.wiring.model import Cable

WHERE = Where("test", 1, 1)
LONG = 10.0  # m


class Tube(NamedTuple):
    trade: str
    inside: float  # in
    full: float  # in2, then 31 %, 40 % and 53 % of it
    two: float
    many: float
    one: float


TABLE_4 = (
    Tube("1/2", 0.622, 0.304, 0.094, 0.122, 0.161),
    Tube("3/4", 0.824, 0.533, 0.165, 0.213, 0.283),
    Tube("1", 1.049, 0.864, 0.268, 0.346, 0.458),
    Tube("1-1/4", 1.380, 1.496, 0.464, 0.598, 0.793),
    Tube("1-1/2", 1.610, 2.036, 0.631, 0.814, 1.079),
)


@pytest.mark.parametrize("tube", TABLE_4, ids=lambda t: t.trade)
def test_tables_1_and_4(tube: Tube) -> None:
    assert EMT[tube.trade] == tube.inside
    full = pi / 4 * EMT[tube.trade] ** 2
    parts = (most_fill(2, LONG), most_fill(3, LONG), most_fill(1, LONG))
    assert full == pytest.approx(tube.full, abs=0.0006)
    assert [full * part for part in parts] == pytest.approx([tube.two, tube.many, tube.one], abs=0.0006)


def test_a_short_piece_may_be_fuller() -> None:
    """Note 4 to table 1: 60 % in a nipple of at most 24 in."""
    assert most_fill(5, 24 * INCH) == 0.60
    assert most_fill(5, 25 * INCH) == 0.40


TABLE_5 = {14: 0.0097, 12: 0.0133, 10: 0.0211, 8: 0.0366, 6: 0.0507}  # in2 of THHN/THWN
# Annex C: trade size → wires of 14 and of 12 AWG in EMT.  22 and 84 show that a decimal of 0.8 counts up.
ANNEX_C = {"1/2": (12, 9), "3/4": (22, 16), "1": (35, 26), "1-1/2": (84, 61)}


@pytest.mark.parametrize(("trade", "counts"), ANNEX_C.items())
def test_counts_of_annex_c_follow_from_our_tubes(trade: str, counts: tuple[int, int]) -> None:
    room = next(t for t in TABLE_4 if t.trade == trade).many
    assert pi / 4 * EMT[trade] ** 2 * most_fill(3, LONG) == pytest.approx(room, abs=0.0006)
    assert tuple(floor(room / TABLE_5[gauge] + 0.2) for gauge in (14, 12)) == counts


def _cable(ref: str, area: float | None, along: tuple[str, ...] = ("closet", "box")) -> Cable:
    """A cable of that outer section in square inches."""
    metres = None if area is None else (4 * area / pi) ** 0.5 * INCH
    band = None if metres is None else Band(metres, metres, metres, "m", "")
    size = Band(1e-6, 1e-6, 1e-6, "m2", "1.0 mm2")
    sheet = CableSheet(type=f"type-{ref}", name=ref, cores=("RD", "BK"), size=size, where=WHERE, diameter=band)
    return Cable(ref=ref, sheet=sheet, along=along, length=LONG, assumed=False, serves=(), cores=())


def _run(way: str | None) -> dict[str, Run]:
    return {"box": Run("box", "closet", Band(LONG, LONG, LONG, "m", "10 m"), WHERE, way=way)}


def test_four_wires_of_12_awg_in_three_quarters() -> None:
    """Published example: 0.0532 of 0.533 in2 are 9.98 %."""
    (fill,), missing = conduits(_run("EMT 3/4"), [_cable(f"W{i}", TABLE_5[12]) for i in range(4)], [])
    assert not missing
    assert fill.value == pytest.approx(0.0998, abs=0.0001)
    assert fill.ceiling == 0.40


def test_a_conduit_that_is_too_full_names_the_size_that_is_not() -> None:
    (fill,), _ = conduits(_run("EMT 1/2"), [_cable("W1", 0.06), _cable("W2", 0.06)], [])
    assert fill.value == pytest.approx(0.12 / 0.304, rel=0.002)
    assert fill.margin is not None
    assert fill.margin < 0  # 39 % where two may fill 31 %
    assert fill.cure == "EMT 3/4 in place of EMT 1/2"


def test_only_what_runs_through_it_counts() -> None:
    elsewhere = _cable("W2", 0.1, ("box", "frame"))
    (fill,), _ = conduits(_run("EMT 1/2"), [_cable("W1", 0.1), elsewhere], [])
    assert "W2" not in fill.inputs
    assert fill.ceiling == 0.53
    assert conduits(_run("duct"), [_cable("W1", 0.1)], []) == ((), ())


def test_what_is_not_known_is_named() -> None:
    assert conduits(_run("EMT 7/8"), [_cable("W1", 0.1)], [])[1] == (
        "fill of the conduit to box: 7/8 is none of EMT 1/2, 3/4, 1, 1-1/4, 1-1/2",
    )
    assert conduits(_run("EMT 1"), [_cable("W1", None)], [])[1] == ("fill of the conduit to box: type-W1 gives no diameter",)

"""Limits of class 2 sources: NEC chapter 9 table 11(B), direct current (11(A), alternating, has the same figures up to 30 V).

The row up to 20 V and the first of 11(A) were read in a discussion that quotes them, as was 100/V at 50 V; the rows above
30 V and those not limited by themselves are from memory.
"""

from __future__ import annotations

import pytest

from wiregen.reading.model import Band, Gives, Where
from wiregen.study.model import Figure
from wiregen.study.source_class import MOST_AMPS, class_2

# V, A on the name plate: 5.0 up to 20 V, 100/V up to 60 V.  The same is the most of an overcurrent device where the source
# is not limited by itself.
NAMEPLATE = ((5, 5.0), (12, 5.0), (20, 5.0), (24, 100 / 24), (30, 100 / 30), (50, 2.0), (60, 100 / 60))


@pytest.mark.parametrize(("volts", "amps"), NAMEPLATE)
def test_amps(volts: float, amps: float) -> None:
    assert MOST_AMPS(nameplate=100, volts=volts, low=20) == pytest.approx(amps)


def _figures(
    volts: float, amps: float, *, current: str = "dc", fuse: bool = False, before: float | None = None
) -> dict[str, Figure]:
    where = Where("test", 1, 1)

    def output(limit: float, kind: str | None) -> Gives:
        band = Band(limit, limit, limit, "A", f"{limit} A")
        return Gives(name="out", where=where, plus="+", minus="-", current=current, limit=band, limit_kind=kind)  # type: ignore[arg-type]

    source = output(before, None) if before else None
    told = class_2("G1.out", output(amps, "fuse" if fuse else None), Band(volts, volts, volts, "V", f"{volts} V"), source)
    return {f.name: f for f in told}


def _passes(figures: dict[str, Figure]) -> bool:
    return all((f.margin or 0) >= 0 for f in figures.values())


@pytest.mark.parametrize(("volts", "amps", "passes"), [
    (12, 5.0, True), (12, 5.1, False), (27.6, 3.6, True), (27.6, 3.7, False), (24, 4.1, True), (48, 2.0, True),
    (57, 1.8, False), (60, 1.66, True), (61, 0.5, False),
])  # fmt: skip
def test_limits(volts: float, amps: float, passes: bool) -> None:
    assert _passes(_figures(volts, amps)) is passes


def test_a_port_of_power_over_ethernet_is_within() -> None:
    """At most 60 V and 100 VA by table 11(B): class 8 gives 90 W, at 52 V 1.73 A."""
    assert _passes(_figures(52, 90 / 52))


@pytest.mark.parametrize(("amps", "passes"), [(9.0, True), (9.3, False)])
def test_what_stands_before_a_fuse(amps: float, passes: bool) -> None:
    """A source that is not limited by itself gives at most 250 VA: at 27 V 9.26 A."""
    figures = _figures(27, 1.0, fuse=True, before=amps)
    assert "watts before the fuse of a class 2 source" in figures
    assert _passes(figures) is passes


def test_the_peak_of_alternating_volts_counts() -> None:
    """42.4 V RMS is 60 V at its peak."""
    assert _figures(42, 0.1, current="ac")["volts of a class 2 source"].ceiling == pytest.approx(42.43, abs=0.01)


def test_the_decision_is_left_to_an_electrician() -> None:
    assert all("licensed electrician" in f.cure for f in _figures(12, 1).values())

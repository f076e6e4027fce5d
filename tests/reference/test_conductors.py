"""Conductors against the published tables and worked examples."""

from __future__ import annotations

from math import pi, sqrt
from typing import NamedTuple

import pytest

from wiregen.reading.model import Band, CableSheet, Run, Where
from wiregen.reading.quantity import awg_area, band
from wiregen.study.conductor import (
    ALPHA,
    AREA,
    IEC_ALPHA,
    INDOORS,
    LONGEST,
    LOSS,
    OUTDOORS,
    PER_METRE,
    RESISTIVITY,
    copper,
    ohms_per_metre,
    smallest,
    temperature,
)

WHERE = Where("test", 1, 1)
FOOT = 0.3048
PER_KFT = 1 / (1000 * FOOT)  # ohm/kft to ohm/m
CIRCULAR_MIL = pi / 4 * 25.4e-6**2


class Gauge(NamedTuple):
    awg: int
    inches: float  # worked out from the formula of ASTM B258-02, to 0.1 mil
    cmil: int | None  # NEC chapter 9 table 8
    solid_20: float  # ohm/kft at 20 °C, solid: a wire gauge table
    ohm_km_20: float  # worked out here
    solid_75: float | None  # ohm/kft at 75 °C, uncoated: NEC chapter 9 table 8
    strand_75: float | None
    km_75: tuple[float, float] | None  # ohm/km of the same; of 10 AWG from memory


# NEC chapter 9 table 8 as two others print it (2011 edition) and a fire-alarm manual that prints it in ohm/ft
GAUGES = (
    Gauge(24, 0.0201, None, 25.67, 84.21, None, None, None),
    Gauge(23, 0.0226, None, 20.36, 66.78, None, None, None),
    Gauge(22, 0.0253, None, 16.14, 52.96, None, None, None),
    Gauge(20, 0.0320, None, 10.15, 33.31, None, None, None),
    Gauge(18, 0.0403, 1620, 6.39, 20.95, 7.77, 7.95, (25.5, 26.1)),
    Gauge(16, 0.0508, 2580, 4.02, 13.17, 4.89, 4.99, (16.0, 16.4)),
    Gauge(14, 0.0641, 4110, 2.53, 8.285, 3.07, 3.14, (10.1, 10.3)),
    Gauge(12, 0.0808, 6530, 1.59, 5.211, 1.93, 1.98, (6.34, 6.50)),
    Gauge(10, 0.1019, 10380, 1.00, 3.277, 1.21, 1.24, (3.984, 4.070)),
)
LARGE = tuple(g for g in GAUGES if g.solid_75 is not None)


def _ohms(awg: int, made: str, celsius: float) -> float:
    return copper(band(f"{awg} AWG", "m2"), made, celsius).value


@pytest.mark.parametrize("gauge", GAUGES, ids=lambda g: f"{g.awg} AWG")
def test_wire_gauge(gauge: Gauge) -> None:
    """ASTM B258-02: 0.0050 in for No. 36, each step 92^(1/39)."""
    area = awg_area(gauge.awg)
    assert sqrt(4 * area / pi) / 0.0254 == pytest.approx(gauge.inches, abs=0.00005)
    if gauge.cmil:
        assert area / CIRCULAR_MIL == pytest.approx(gauge.cmil, abs=6)  # rounded to 10 cmil


def test_ends_of_the_gauge() -> None:
    """ASTM B258-02: No. 36 is 0.0050 in and No. 4/0 is 0.4600 in."""
    for gauge, inches in ((36, 0.005), (-3, 0.46)):
        assert sqrt(4 * awg_area(gauge) / pi) / 0.0254 == pytest.approx(inches, rel=1e-9)


def test_resistivity() -> None:
    """Copper of 100 % IACS: 0.15328 ohm g/m2 at 8.89 g/cm3, quoted as 0.017241 ohm mm2/m (notes on NBS Handbook 100)."""
    assert pytest.approx(1.7241e-8, abs=0.5e-12 + 1e-12) == RESISTIVITY


@pytest.mark.parametrize("gauge", GAUGES, ids=lambda g: f"{g.awg} AWG")
def test_solid_wire_at_20_degrees(gauge: Gauge) -> None:
    assert _ohms(gauge.awg, "solid", 20) * 1000 == pytest.approx(gauge.ohm_km_20, abs=0.005, rel=2e-4)
    assert _ohms(gauge.awg, "solid", 20) / PER_KFT == pytest.approx(gauge.solid_20, abs=0.005, rel=0.002)


@pytest.mark.parametrize("gauge", LARGE, ids=lambda g: f"{g.awg} AWG")
def test_solid_and_stranded_wire_at_75_degrees(gauge: Gauge) -> None:
    """NEC chapter 9 table 8, uncoated copper, on its rounded sections (16 AWG: 2580 cmil for 2583).

    Its two columns are 2.0 to 2.6 % apart, which is the lay of the strands.
    """
    assert gauge.solid_75
    assert gauge.km_75
    assert _ohms(gauge.awg, "solid", 75) / PER_KFT == pytest.approx(gauge.solid_75, abs=0.005, rel=0.002)
    assert _ohms(gauge.awg, "solid", 75) * 1000 == pytest.approx(gauge.km_75[0], rel=0.006)
    strand = copper(band(f"{gauge.awg} AWG", "m2"), "7 strands", 75)
    assert strand.value / PER_KFT == pytest.approx(gauge.strand_75, rel=0.008)
    assert strand.most / PER_KFT >= gauge.strand_75
    assert strand.value * 1000 == pytest.approx(gauge.km_75[1], rel=0.01)


@pytest.mark.parametrize(
    ("ohms_75", "celsius", "expected"), [(7.77, 20, 6.390), (3.14, 20, 2.582), (4.99, 25, 4.184), (6.39, 75, None)]
)
def test_temperature_by_the_note_of_table_8(ohms_75: float, celsius: float, expected: float | None) -> None:
    """R2 = R1 [1 + 0.00323 (T2 - 75)]; the same from 20 °C is a factor of 1.2162 at 75 °C."""
    inputs = {"resistivity": 1.0, "lay": 1.0, "area": 1.0, "alpha": ALPHA, "reference": 20.0}
    ours = PER_METRE(**inputs, celsius=celsius) / PER_METRE(**inputs, celsius=75)
    assert ours == pytest.approx(1 + 0.00323 * (celsius - 75), rel=3e-4)
    if expected:
        assert ohms_75 * ours == pytest.approx(expected, rel=5e-4)
    assert 1 / (PER_METRE(**inputs, celsius=20) / PER_METRE(**inputs, celsius=75)) == pytest.approx(1.2162, abs=5e-5)


# IEC 60228, plain copper, most ohm/km at 20 °C (three independent tables agree): mm2, class 1 and 2, class 5 and 6
IEC_60228 = ((0.5, 36.0, 39.0), (0.75, 24.5, 26.0), (1.0, 18.1, 19.5), (1.5, 12.1, 13.3), (2.5, 7.41, 7.98))


@pytest.mark.parametrize(("squares", "rigid", "flexible"), IEC_60228)
def test_iec_60228(squares: float, rigid: float, flexible: float) -> None:
    size = band(f"{squares} mm2", "m2")
    rigids, flexibles = ("solid", "class 1", "class 2", "7 strands"), ("class 5", "class 6")
    for made, ohm_km in [(m, rigid) for m in rigids] + [(m, flexible) for m in flexibles]:
        told = copper(size, made, 20)
        assert told.value * 1000 == told.most * 1000 == pytest.approx(ohm_km)
        assert told.least < told.value  # less than the most that the class allows is no fault


# IEC 60228, factors that refer a resistance measured at a temperature to 20 °C
KT = ((5, 1.064), (10, 1.042), (15, 1.020), (25, 0.980), (30, 0.962), (40, 0.926), (50, 0.893), (60, 0.862), (75, 0.820))


@pytest.mark.parametrize(("celsius", "kt"), KT)
def test_temperature_by_iec_60228(celsius: float, kt: float) -> None:
    size = band("1.0 mm2", "m2")
    assert copper(size, "class 5", 20).value / copper(size, "class 5", celsius).value == pytest.approx(kt, abs=0.0006)
    assert 1 / (1 + IEC_ALPHA * (celsius - 20)) == pytest.approx(254.5 / (234.5 + celsius), rel=0.0035)


# FAA AC 43.13-1B change 1 table 11-9 (public domain): AWG, most ohm/kft at 20 °C of tin-plated aircraft wire
FAA = ((24, 28.40), (22, 16.20), (20, 9.88), (18, 6.23), (16, 4.81), (14, 3.06), (12, 2.02), (10, 1.26))


@pytest.mark.parametrize(("gauge", "most"), FAA)
def test_aircraft_wire_is_of_the_same_order(gauge: int, most: float) -> None:
    """Aircraft wire of a gauge is not its exact section: 16 AWG and thicker are thinner, so only the order can agree."""
    assert _ohms(gauge, "19 strands", 20) / PER_KFT == pytest.approx(most, rel=0.25)


def _loss(ohms_per_metre: float, metres: float, amps: float) -> float:
    return LOSS(per_metre=ohms_per_metre, length=metres, amps=amps)


# Worked examples: ohm/ft as printed there, feet of run (one way), A, printed volts, tolerance of the print
DROPS = (
    pytest.param(4.99e-3, 100, 4, 4.0, 0.05, id="NEC training page: 16 AWG, 100 ft one way, 4 A at 24 V"),
    pytest.param(0.00028, 90 / 2, 20, 0.504, 0.0005, id="FAA AC 43.13-1B table 11-7: 90 ft with return, No. 4, 20 A"),
    pytest.param(0.00202, 88 / 2, 20, 3.60, 0.05, id="FAA AC 43.13-1B table 11-7: 88 ft with return, No. 12, 20 A"),
    pytest.param(0.00126, 39 / 2, 20, 0.98, 0.005, id="FAA AC 43.13-1B table 11-8: 39 ft"),
    pytest.param(0.00126, 156 / 2, 20, 3.93, 0.005, id="FAA AC 43.13-1B table 11-8: 156 ft"),
    pytest.param(0.00126, 273 / 2, 20, 6.88, 0.005, id="FAA AC 43.13-1B table 11-8: 273 ft"),
    pytest.param(1.27 / 100 / 2, 350, 1, 4.445, 0.0005, id="retailer's note: 18 AWG, 1.27 V per 100 ft of pair at 1 A"),
)


@pytest.mark.parametrize(("ohm_ft", "feet", "amps", "printed", "rounding"), DROPS)
def test_volts_lost_going_and_coming(ohm_ft: float, feet: float, amps: float, printed: float, rounding: float) -> None:
    assert _loss(ohm_ft / FOOT, feet * FOOT, amps) == pytest.approx(printed, abs=rounding)


def test_a_printed_answer_that_is_wrong() -> None:
    """FAA AC 43.13-1B table 11-8 prints 0.366 V for No. 10, 19.5 ft with return, 20 A: a misprint, exact is 0.491 V."""
    ours = _loss(0.00126 / FOOT, 19.5 / 2 * FOOT, 20)
    assert ours == pytest.approx(0.491, abs=0.0005)
    assert ours != pytest.approx(0.366, abs=0.1)


def test_the_length_counts_twice() -> None:
    """A note on camera cables works out 6.51 ohm/kft x 1.5 kft x 0.3 A = 2.91 V: the way back is missing."""
    ours = _loss(6.51e-3 / FOOT, 1500 * FOOT, 0.3)
    assert ours == pytest.approx(5.86, abs=0.005)
    assert ours > 1.9 * 2.91


def test_longest_run_of_a_manual() -> None:
    """Equation method of a fire-alarm control unit's manual: 22.4 V, 16 V at least, 2 A, 12 AWG 0.002 ohm/ft: 800 ft of
    wire by its count of one conductor of 3.2 ohm each way."""
    assert LONGEST(loss=22.4 - 16, per_metre=0.002 / FOOT, amps=2) / FOOT == pytest.approx(800)


def test_longest_run_when_hot() -> None:
    """FAA AC 43.13-1B example 2 (inputs read, form from memory): No. 14, 15.5 ft at 20 °C, wire at 181.6 °C; 9.5 ft printed
    (from memory).  L2 = 254.5 L1 / (234.5 + T2)."""
    celsius = 50 + (200 - 50) * sqrt(20 / 26)
    assert celsius == pytest.approx(181.6, abs=0.05)
    ours = 15.5 * _ohms(14, "solid", 20) / _ohms(14, "solid", celsius)
    assert ours == pytest.approx(254.5 * 15.5 / (234.5 + celsius), rel=0.002)
    assert ours == pytest.approx(9.5, abs=0.05)


def test_the_size_that_an_aircraft_needs() -> None:
    """FAA AC 43.13-1B example 1: 20 A, 50 ft with return, at most 1 V (from memory): more than No. 10, so No. 8."""
    by_gauge = {10: 0.00126, 8: 0.00070}
    lost = {gauge: _loss(ohms / FOOT, 25 * FOOT, 20) for gauge, ohms in by_gauge.items()}
    assert lost[10] == pytest.approx(1.26)
    assert lost[8] == pytest.approx(0.70)
    assert [gauge for gauge, volts in lost.items() if volts <= 1] == [8]


# ABYC E-11 table IX, 12 V and 3 %: amps → feet of round trip → AWG.  CM = 10.75 I L / E with E = 0.36 V reproduces it, on the
# sections of SAE wire (from memory)
SAE = {18: 1537, 16: 2336, 14: 3702, 12: 5833, 10: 9343, 8: 14810, 6: 24538}
ABYC = {
    5: {10: 18, 15: 16, 20: 14, 25: 12, 30: 12, 40: 10, 50: 10, 60: 10, 70: 8, 80: 8, 90: 8, 100: 6},
    10: {10: 14, 15: 12, 20: 10, 30: 10, 40: 8, 50: 6},
}


@pytest.mark.parametrize(("amps", "feet", "gauge"), [(i, ft, g) for i, of in ABYC.items() for ft, g in of.items()])
def test_sizes_of_a_boat(amps: float, feet: float, gauge: int) -> None:
    resistivity = 10.75 * CIRCULAR_MIL / FOOT  # ohm m
    need = AREA(resistivity=resistivity, length=feet / 2 * FOOT, amps=amps, loss=0.36) / CIRCULAR_MIL
    assert next(g for g, cmil in SAE.items() if cmil >= need) == gauge


def _cable(type_: str, size: str, made: str | None = "class 5") -> CableSheet:
    return CableSheet(type=type_, name=type_, cores=("RD", "BK"), size=band(size, "m2"), where=WHERE, stranded=made)


def test_smallest_cable_of_the_stock() -> None:
    """0.5 A over 30 m at 20 °C may lose 0.6 V: 0.02 ohm/m of one core, so 0.75 mm2 of class 5 (26 ohm/km) is too thin and
    1.0 mm2 (19.5 ohm/km, 0.585 V) will do."""
    stock = (_cable("c", "1.5 mm2"), _cable("a", "0.75 mm2"), _cable("b", "1.0 mm2"))
    found = smallest(stock, length=30, amps=0.5, loss=0.6, celsius=20)
    assert found is not None
    assert found.type == "b"
    assert smallest(stock, length=30, amps=0.5, loss=0.1, celsius=20) is None


@pytest.mark.parametrize(("gauge", "metres"), [(18, 29), (16, 46), (14, 72)])
def test_reach_of_half_an_ampere(gauge: int, metres: float) -> None:
    """5 % of 12 V at 0.5 A: common practice, no source."""
    assert LONGEST(loss=0.6, per_metre=_ohms(gauge, "solid", 20), amps=0.5) == pytest.approx(metres, abs=0.6)


# Ohm/km by gauge as the trade counts them: common practice, no source
@pytest.mark.parametrize(("gauge", "ohm_km"), [(12, 5.2), (14, 8.3), (16, 13.2), (18, 21), (20, 33), (22, 53), (24, 84)])
def test_rules_of_thumb(gauge: int, ohm_km: float) -> None:
    assert _ohms(gauge, "solid", 20) * 1000 == pytest.approx(ohm_km, rel=0.01)


def test_what_a_sheet_leaves_open_widens_the_band() -> None:
    """A size that is not in IEC 60228 counts by its section; whether it is stranded is then between solid and 3 % more."""
    told = ohms_per_metre(_cable("old", "0.3 mm2", None), 20)
    assert told.least == pytest.approx(RESISTIVITY / 0.3e-6)
    assert told.most == pytest.approx(1.03 * RESISTIVITY / 0.3e-6)
    assert "neither" in told.note


def _run(place: str, parent: str, **more: object) -> Run:
    return Run(place, parent, Band(10, 10, 10, "m", "10 m"), WHERE, **more)  # type: ignore[arg-type]


def test_temperature_of_a_cable_is_that_of_its_runs() -> None:
    runs = {
        "box": _run("box", "closet"),
        "pole": _run("pole", "box", outdoor=True),
        "cold": _run("cold", "box", temperature=Band(-25, -28, -20, "K", "")),
    }
    assert temperature(runs, ("closet", "box")).most == INDOORS.most
    assert temperature(runs, ("closet", "box", "pole")).least == OUTDOORS.least
    along = temperature(runs, ("closet", "box", "cold"))
    assert (along.nominal, along.least, along.most) == (20, -28, INDOORS.most)
    assert temperature(runs, ("box", "cold")).nominal == -20
    assert temperature({}, ("closet",)).least == INDOORS.least

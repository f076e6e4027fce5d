"""Quantities: what is read, what is refused, and the factors against published values and a general library's own tables."""

from __future__ import annotations

import math

import numericalunits
import pint
import pytest
from hypothesis import given
from hypothesis import strategies as st

from wiregen.reading.model import Unit
from wiregen.reading.quantity import KINDS, SI, SPELLINGS, Unfit, _product, _scale, awg_area, band


@pytest.mark.parametrize(
    ("text", "unit", "nominal", "least", "most"),
    [
        ("62 m", "m", 62, 62, 62),
        ("205 ft", "m", 62.484, 62.484, 62.484),  # 1 ft = 0.3048 m exactly: international yard and pound agreement, 1959
        ("3 in", "m", 0.0762, 0.0762, 0.0762),
        ("0.75 mm2", "m2", 0.75e-6, 0.75e-6, 0.75e-6),
        ("450 mA", "A", 0.45, 0.45, 0.45),
        ("12 V ±5 %", "V", 12, 11.4, 12.6),
        ("12 V ±0.5 V", "V", 12, 11.5, 12.5),
        ("10.8..13.2 V", "V", 12, 10.8, 13.2),
        ("about 40 m", "m", 40, 40, 40),
        ("0..15 mm", "m", 0.0075, 0, 0.015),
        ("1.1 kohm ±10 %", "ohm", 1100, 990, 1210),
        ("220 uF", "F", 220e-6, 220e-6, 220e-6),
        ("220 µF", "F", 220e-6, 220e-6, 220e-6),
        ("300 mH", "H", 0.3, 0.3, 0.3),
        ("150 ms", "s", 0.15, 0.15, 0.15),
        ("2 min", "s", 120, 120, 120),
        ("4 h", "s", 14400, 14400, 14400),
        ("17 Ah", "A h", 17, 17, 17),
        ("86 %", "1", 0.86, 0.86, 0.86),
        ("25 °C", "K", 25, 25, 25),
        ("-13..122 °F", "K", 12.5, -25, 50),  # (°F - 32) x 5/9
        ("0.5 N m", "N m", 0.5, 0.5, 0.5),
        ("15 lbf", "N", 66.7233, 66.7233, 66.7233),  # 1 lbf = 4.44822 N: NIST SP 811, appendix B.8
    ],
)
def test_read(text: str, unit: Unit, nominal: float, least: float, most: float) -> None:
    found = band(text, unit)
    assert (found.nominal, found.least, found.most) == pytest.approx((nominal, least, most), rel=1e-6)
    assert found.unit == unit
    assert found.text == text
    assert found.assumed == text.startswith("about")


@pytest.mark.parametrize(
    ("text", "unit", "wrong"),
    [
        ("nan m", "m", "nan m is not a length"),
        ("inf m", "m", "inf m is not a length"),
        ("1e999 m", "m", "1e999 m is not finite"),
        ("-3 m", "m", "-3 m is negative"),
        ("0 m", "m", "0 m is nothing"),
        ("25 °C", "m", "25 °C is a temperature where a length is due"),
        ("5 V", "A", "5 V is a voltage where a current is due"),
        ("18 AWG", "m", "18 AWG is a wire size where a length is due"),
        ("60", "m", "60 has no unit where a length is due"),
        ("60 furlong", "m", "furlong is no unit for a length"),
        ("3,5 m", "m", "3,5 m is not a length"),
        ("13.2..10.8 V", "V", "13.2..10.8 V runs backwards"),
        ("1..2 V ±5 %", "V", "1..2 V ±5 % has both a range and a tolerance"),
        ("12 V ±5 A", "V", "12 V ±5 A has a tolerance in A"),
        ("12 V ±120 %", "V", "12 V ±120 % reaches below 0"),
        ("-300 °C", "K", "-300 °C is below absolute zero"),
        ("", "m", " is not a length"),
        ("m", "m", "m is not a length"),
        ("five m", "m", "five m is not a length"),
        ("1 m 2 m", "m", "1 m 2 m is not a length"),
        ("0x10 m", "m", "0x10 m is not a length"),
        ("1_000 m", "m", "1_000 m is not a length"),
        ("١ m", "m", "١ m is not a length"),  # digits of another script
    ],
)
def test_refused(text: str, unit: Unit, wrong: str) -> None:
    with pytest.raises(Unfit) as refusal:
        band(text, unit)
    assert refusal.value.wrong == wrong
    assert refusal.value.instead


def test_a_near_miss_of_a_unit_is_told() -> None:
    with pytest.raises(Unfit) as refusal:
        band("40 ohms", "ohm")
    assert refusal.value.instead == "did you mean ohm?"
    with pytest.raises(Unfit) as refusal:
        band("3 min", "m")
    assert "units: m, mm, cm, km, ft, in" in refusal.value.instead


# NEC 2011, chapter 9, table 8: area in mm2 of 18 to 10 AWG (NFPA 70).
AREAS = {18: 0.823, 16: 1.31, 14: 2.08, 12: 3.31, 10: 5.261}


@pytest.mark.parametrize(("gauge", "area"), AREAS.items())
def test_awg_by_the_table(gauge: int, area: float) -> None:
    assert awg_area(gauge) * 1e6 == pytest.approx(area, rel=3e-3)


@pytest.mark.parametrize(("gauge", "inches"), [(36, 0.0050), (-3, 0.4600)])  # ASTM B258-02: the two sizes that fix all others
def test_awg_by_its_definition(gauge: int, inches: float) -> None:
    assert awg_area(gauge) == pytest.approx(math.pi / 4 * (inches * 0.0254) ** 2)


def test_awg_steps() -> None:
    """ASTM B258-02: diameters of neighbours are as 1.1229322."""
    assert math.sqrt(awg_area(17) / awg_area(18)) == pytest.approx(1.1229322, abs=5e-8)


def test_awg_is_written_as_people_write_it() -> None:
    assert band("18 AWG", "m2").nominal == pytest.approx(0.823e-6, rel=1e-3)
    assert band("2/0 AWG", "m2").nominal == awg_area(-1)


# How pint, a general library of units that shares no definition with the one in use, spells what we spell.
DEFAULT = {
    "mm2": "mm**2", "mm²": "mm**2", "°C": "degC", "°F": "degF", "Ah": "A*hour", "A h": "A*hour", "mAh": "mA*hour", "N m": "N*m",
    "Nm": "N*m", "lbf in": "lbf*inch", "in": "inch", "ft": "foot", "h": "hour", "min": "minute", "Mohm": "megaohm",
    "mohm": "milliohm", "kohm": "kiloohm", "Ω": "ohm", "kΩ": "kiloohm", "MΩ": "megaohm", "VA": "W", "%": "percent", "": "",
    "ft/s": "foot/second", "lb": "pound",
}  # fmt: skip
TARGET = {"m2": "m**2", "K": "degC", "A h": "A*hour", "N m": "N*m", "1": ""}
SPELT = [(spelling, unit) for unit, spellings in SPELLINGS.items() for spelling in spellings if spelling != "AWG"]


@pytest.fixture(scope="module")
def default() -> pint.UnitRegistry:
    return pint.UnitRegistry(autoconvert_offset_to_baseunit=True)


def test_factors_against_a_general_library(default: pint.UnitRegistry) -> None:
    number = 37.5
    found = {(spelling, unit): band(f"{number} {spelling}", unit).nominal for spelling, unit in SPELT}
    expected = {
        (spelling, unit): default.Quantity(number, DEFAULT.get(spelling, spelling)).to(TARGET.get(unit, unit)).magnitude
        for spelling, unit in SPELT
    }
    assert found == pytest.approx(expected, rel=1e-11)


def test_factors_have_the_dimension_of_their_kind() -> None:
    """The library's own proof: with base units of random size the factor stays, so both sides are of one dimension."""
    numericalunits.reset_units(7)
    try:
        random_bases = {(name, unit): _product(SPELLINGS[unit][name]) / _product(SI.get(unit, unit)) for name, unit in SPELT}
    finally:
        numericalunits.reset_units("SI")
    assert random_bases == pytest.approx({(name, unit): _scale(name, unit)[0] for name, unit in SPELT}, rel=1e-9)


def test_every_unit_of_the_model_has_a_name() -> None:
    assert set(KINDS) == set(SPELLINGS)


numbers = st.floats(min_value=0.001, max_value=1e6).map(lambda value: float(f"{value:.6g}"))


@given(numbers, st.sampled_from(SPELT))
def test_round_trip(number: float, spelt: tuple[str, Unit]) -> None:
    """A quantity written in SI from the band that was read is read as the same band."""
    spelling, unit = spelt
    first = band(f"{number!r} {spelling}" if "e" not in repr(number) else f"{number:.12f} {spelling}", unit)
    si = {"m2": "mm2", "K": "°C", "A h": "Ah", "N m": "N m", "1": ""}.get(unit, unit)
    scale = 1e6 if unit == "m2" else 1
    again = band(f"{first.nominal * scale:.12g} {si}", unit)
    assert again.nominal == pytest.approx(first.nominal, rel=1e-9, abs=1e-12)


@given(numbers, st.floats(min_value=0.1, max_value=99))
def test_a_tolerance_is_the_same_as_its_range(number: float, percent: float) -> None:
    wide = band(f"{number} V ±{percent:.3f} %", "V")
    assert wide.least <= wide.nominal <= wide.most
    assert band(f"{wide.least!r}..{wide.most!r} V", "V").nominal == pytest.approx(wide.nominal, rel=1e-9)


@given(st.text(max_size=40))
def test_any_text_is_read_or_refused(text: str) -> None:
    for unit in SPELLINGS:
        try:
            found = band(text, unit)
        except Unfit:
            continue
        assert all(map(math.isfinite, (found.nominal, found.least, found.most)))
        assert found.least <= found.nominal <= found.most

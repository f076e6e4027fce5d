"""Quantities as people write them, to bands in SI units.

`62 m`, `205 ft`, `18 AWG`, `12 V ±5 %`, `10.8..13.2 V`, `about 40 m`.  Only the units listed here exist.  Their values come
from numericalunits: a richer library of units takes longer to import than all of a site takes to read.
"""

from __future__ import annotations

import difflib
import math
import re
from collections.abc import Sequence
from functools import cache, lru_cache

import numericalunits

from wiregen.reading.model import Band, Unit

# What may be written for each unit of the model, as products and quotients of the names that numericalunits gives.  Short
# forms first: messages list them in this order.
SPELLINGS: dict[Unit, dict[str, str]] = {
    "m": {"m": "m", "mm": "mm", "cm": "cm", "km": "km", "ft": "foot", "in": "inch"},
    "m2": {"mm2": "mm*mm", "mm²": "mm*mm", "AWG": ""},
    "V": {"V": "V", "mV": "mV", "kV": "kV"},
    "A": {"A": "A", "mA": "mA", "uA": "uA", "µA": "uA"},
    "W": {"W": "W", "mW": "mW", "kW": "kW", "VA": "V*A"},
    "ohm": {"ohm": "ohm", "kohm": "kohm", "Mohm": "Mohm", "mohm": "mohm", "Ω": "ohm", "kΩ": "kohm", "MΩ": "Mohm"},
    "s": {"s": "s", "ms": "ms", "us": "us", "µs": "us", "min": "minute", "h": "hour"},
    "F": {"F": "F", "uF": "uF", "µF": "uF", "nF": "nF", "pF": "pF"},
    "H": {"H": "H", "mH": "mH", "uH": "uH", "µH": "uH"},
    "K": {"°C": "K", "°F": "degFinterval"},
    "A h": {"Ah": "Ah", "A h": "Ah", "mAh": "mAh"},
    "N m": {"N m": "N*m", "Nm": "N*m", "lbf in": "lbf*inch"},
    "N": {"N": "N", "lbf": "lbf"},
    "kg": {"kg": "kg", "g": "g", "lb": "lbm"},
    "m/s": {"m/s": "m/s", "ft/s": "foot/s"},
    "1": {"%": "cm/m", "": ""},
}
SI: dict[Unit, str] = {"m2": "m*m", "A h": "Ah", "N m": "N*m", "1": ""}  # where its own name is not an expression
FREEZING = {"°F": 32.0}  # what a scale with another zero shows at 0 °C
KINDS: dict[Unit, str] = {
    "m": "length", "m2": "wire size", "V": "voltage", "A": "current", "W": "power", "ohm": "resistance", "s": "time",
    "F": "capacitance", "H": "inductance", "K": "temperature", "A h": "battery capacity", "N m": "torque", "N": "force",
    "kg": "mass", "m/s": "speed", "1": "share",
}  # fmt: skip
EXAMPLES: dict[Unit, str] = {
    "m": "62 m", "m2": "0.75 mm2 or 18 AWG", "V": "12 V ±5 %", "A": "450 mA", "W": "3.9 W", "ohm": "40 ohm ±5 %", "s": "5 s",
    "F": "220 uF", "H": "300 mH", "K": "25 °C", "A h": "17 Ah", "N m": "0.5 N m", "N": "2700 N", "kg": "2 kg", "m/s": "1 m/s",
    "1": "86 %",
}  # fmt: skip
POSITIVE: frozenset[Unit] = frozenset({"m", "m2", "V", "ohm", "F", "H", "A h", "N m", "kg"})

NUMBER = r"[-+−]?(?:[0-9]+(?:\.[0-9]*)?|\.[0-9]+)(?:[eE][-+]?[0-9]+)?"
SHAPE = re.compile(
    rf"(?P<about>about\s+)?(?P<first>{NUMBER})(?:\s*\.\.\s*(?P<last>{NUMBER}))?(?:\s*(?P<unit>[^\W\d_%°][^±\d]*?[2²]?|[%°]\w*))??"
    rf"(?:\s*(?:±|\+-|\+/-)\s*(?P<tolerance>[0-9]+(?:\.[0-9]*)?|\.[0-9]+)\s*(?P<in>[^\s\d].*?)?)?\s*"
)


class Unfit(ValueError):
    """A text that is no quantity of the kind due: `wrong` and `instead` are halves of a message."""

    def __init__(self, wrong: str, instead: str) -> None:
        super().__init__(f"{wrong}: {instead}")
        self.wrong = wrong
        self.instead = instead


@cache
def _scale(spelling: str, unit: Unit) -> tuple[float, float]:
    """Factor and offset that turn a number in that spelling into the model's unit."""
    numericalunits.reset_units("SI")
    factor = _product(SPELLINGS[unit][spelling]) / _product(SI.get(unit, unit))
    return factor, -FREEZING.get(spelling, 0.0) * factor


def _product(expression: str) -> float:
    over, _, under = expression.partition("/")
    return _names(over) / _names(under)


def _names(factors: str) -> float:
    return math.prod(float(getattr(numericalunits, name)) for name in factors.split("*") if name)


def awg_area(gauge: int) -> float:
    """Section in m2 of a solid round wire of that gauge (0 for 1/0, -1 for 2/0 ...).

    Diameter 0.005 in x 92^((36 - gauge) / 39): ASTM B258, Standard Specification for Standard Nominal Diameters and
    Cross-Sectional Areas of AWG Sizes of Solid Round Wires.
    """
    diameter: float = 0.005 * 0.0254 * 92 ** ((36 - gauge) / 39)
    return math.pi / 4 * diameter**2


@lru_cache(maxsize=4096)
def band(text: str, *units: Unit) -> Band:
    """The band that `text` says, in whichever of `units` it is written in.  Raises Unfit."""
    due = " or ".join(_a(KINDS[unit]) for unit in units)
    instead = f"write {due}, such as {' or '.join(EXAMPLES[unit] for unit in units)}"
    if gauge := re.fullmatch(r"(?:(\d{1,2})|([1-4])/0)\s*AWG", text.strip()):
        if "m2" not in units:
            raise Unfit(f"{text} is a wire size where {due} is due", instead)
        area = awg_area(int(gauge[1]) if gauge[1] else 1 - int(gauge[2]))
        return Band(area, area, area, "m2", text)
    shape = SHAPE.fullmatch(text.strip())
    if shape is None:
        comma = re.fullmatch(r"(.*\d),(\d.*)", text)
        raise Unfit(f"{text} is not {due}", f"write {comma[1]}.{comma[2]}" if comma else instead)
    spelling = re.sub(r"\s+", " ", shape["unit"] or "")
    unit = next((unit for unit in units if spelling in SPELLINGS[unit]), None)
    if unit is None or spelling == "AWG":
        known = [each for unit in units for each in SPELLINGS[unit] if each]
        other = any(spelling in spellings for spellings in SPELLINGS.values())
        near = [] if other else difflib.get_close_matches(spelling, known, n=1)
        help_ = f"did you mean {near[0]}?" if near else f"{instead}; units: {', '.join(known)}"
        raise Unfit(_unit_wrong(text, spelling, due), help_)
    factor, offset = _scale(spelling, unit)
    ends = [float(end.replace("−", "-")) * factor + offset for end in (shape["first"], shape["last"]) if end]
    return _checked(
        text, unit, ends, _spread(shape, spelling, unit, ends[0], factor, text, instead), bool(shape["about"]), instead
    )


def _spread(
    shape: re.Match[str], spelling: str, unit: Unit, nominal: float, factor: float, text: str, instead: str
) -> float | None:
    if shape["tolerance"] is None:
        return None
    if shape["last"]:
        raise Unfit(f"{text} has both a range and a tolerance", "write one of the two")
    if shape["in"] == "%":
        return abs(nominal) * float(shape["tolerance"]) / 100
    if shape["in"] is None or shape["in"] == spelling:
        return float(shape["tolerance"]) * abs(factor)
    raise Unfit(f"{text} has a tolerance in {shape['in']}", f"write it in % or in {spelling}; {instead}")


def _checked(text: str, unit: Unit, ends: Sequence[float], spread: float | None, about: bool, instead: str) -> Band:
    least, most = (ends[0], ends[-1]) if spread is None else (ends[0] - spread, ends[0] + spread)
    nominal = ends[0] if len(ends) == 1 else (least + most) / 2
    if not all(map(math.isfinite, (least, most, nominal))):
        raise Unfit(f"{text} is not finite", instead)
    if least > most:
        raise Unfit(f"{text} runs backwards", "write the smaller number first")
    if unit != "K" and least < 0:
        raise Unfit(f"{text} is negative" if most < 0 or spread is None else f"{text} reaches below 0", instead)
    if unit in POSITIVE and len(ends) == 1 and nominal == 0:
        raise Unfit(f"{text} is nothing", instead)
    if unit == "K" and least < -273.15:
        raise Unfit(f"{text} is below absolute zero", instead)
    nominal, least, most = (float(f"{value:.12g}") for value in (nominal, least, most))  # 205 ft is 62.484 m, no more
    return Band(nominal, least, most, unit, text, about)


def _a(kind: str) -> str:
    return f"{'an' if kind[0] in 'aeiou' else 'a'} {kind}"


def _unit_wrong(text: str, spelling: str, due: str) -> str:
    if not spelling:
        return f"{text} has no unit where {due} is due"
    other = next((KINDS[unit] for unit, spellings in SPELLINGS.items() if spelling in spellings), None)
    return f"{text} is {_a(other)} where {due} is due" if other else f"{spelling} is no unit for {due}"

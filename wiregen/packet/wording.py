"""Numbers, states and code words as they stand on paper."""

from __future__ import annotations

from collections.abc import Mapping
from math import inf

from wiregen.reading.model import House
from wiregen.study.model import Reading

FOOT = 0.3048  # m, exact by the international definition of 1959

STATES = {
    "idle": "idle",
    "grant": "access granted",
    "call": "called open",
    "exit": "exit asked for",
    "controller-dead": "controller without power",
    "power-dead": "lock supply without power",
    "fire": "fire signal",
    "tamper": "tamper",
}

LEAVING = {
    "handle": "by handle (mechanical)",
    "bar": "by bar (mechanical)",
    "sensor": "by sensor (electrical)",
    "button": "by button (electrical)",
    "call-point": "by call point (electrical)",
    "bar-switch": "by switch in the bar (electrical)",
    "none": "nobody can be inside",
}

_PREFIXED = {"V": "V", "A": "A", "W": "W", "ohm": "Ω", "V AC": "V AC"}
_PREFIXES = ((1e6, "M"), (1e3, "k"), (1.0, ""))


def state(word: str) -> str:
    return STATES.get(word, word)


def leaving(words: tuple[str, ...]) -> str:
    return "; ".join(LEAVING.get(word, word) for word in words)



def typeset(text: str) -> str:
    """A text of a data sheet with units as they are printed: mm² for mm2, Ω for ohm."""
    return text.replace("mm2", "mm²").replace("kohm", "kΩ").replace("ohm", "Ω")


def number(value: float, figures: int = 3) -> str:
    """So many figures, no trailing noughts, an exponent only for what is very small."""
    text = f"{value:.{figures}g}"
    return text if "e+" not in text else f"{float(text):.0f}"


def _scale(value: float, unit: str) -> tuple[float, str]:
    """Factor and prefix: thousands and millions by all units, thousandths by amperes alone, as a meter shows them."""
    if unit not in _PREFIXED or value == inf:
        return 1.0, ""
    small = (1e-3, "m") if unit == "A" and value else (1.0, "")
    return next(((f, p) for f, p in _PREFIXES if abs(value) >= f * 0.9995), small)


def quantity(value: float, unit: str) -> str:
    """"300 mA", "2.2 kΩ", "class 3"."""
    if unit in ("class", "1"):
        return f"class {number(value)}" if unit == "class" else number(value)
    if value == inf:
        return "open"
    factor, prefix = _scale(value, unit)
    return f"{number(value / factor)} {prefix}{_PREFIXED.get(unit, unit)}"


def spread(least: float, most: float, unit: str) -> str:
    """From least to most: "11.4 to 12.6 V", "up to 1 Ω", "over 1 MΩ"; one value where both are one."""
    if most == inf:
        return f"over {quantity(least, unit)}"
    if least == most:
        return quantity(most, unit)
    if least == 0:
        return f"up to {quantity(most, unit)}"
    if unit in ("class", "1"):
        return f"{number(least)} to {quantity(most, unit)}"
    factor, prefix = _scale(most, unit)
    return f"{number(least / factor)} to {number(most / factor)} {prefix}{_PREFIXED.get(unit, unit)}"


def expected(reading: Reading) -> str:
    return spread(reading.least, reading.most, reading.unit)


def length(metres: float, house: House, assumed: bool = False) -> str:
    """In the units of the house: whole feet, or metres to a tenth; an assumed one says so."""
    if not metres:
        return "in one place"
    text = f"{metres / FOOT:.0f} ft" if house.units == "imperial" else f"{metres:.1f}".removesuffix(".0") + " m"
    return f"{text} ASSUMED" if assumed else text


def listed(facts: Mapping[str, str]) -> str:
    """"height 1100 mm, plate single gang"."""
    return ", ".join(f"{name} {value}" for name, value in facts.items())


def by_whom(by: Mapping[str, str]) -> str:
    """Who supplies, mounts and terminates; one name where it is one for all."""
    return by["all"] if list(by) == ["all"] else listed(by)


def plural(count: int, one: str, many: str = "") -> str:
    return f"{count} {one if count == 1 else many or one + 's'}"

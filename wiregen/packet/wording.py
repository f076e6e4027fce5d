"""Numbers, states and code words as they stand on paper."""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping
from math import inf

from wiregen.reading.model import Door, House
from wiregen.study.model import Reading

FOOT = 0.3048  # m, exact by the international definition of 1959

STATES = {
    "idle": "idle",
    "grant": "access granted",
    "call": "called open",
    "exit": "exit asked for",
    "controller-dead": "controller dead",
    "power-dead": "lock supply dead",
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
    "none": "none needed",
}

_PREFIXED = {"V": "V", "A": "A", "W": "W", "ohm": "Ω", "V AC": "V AC"}
_PREFIXES = ((1e6, "M"), (1e3, "k"), (1.0, ""))


def state(word: str) -> str:
    return STATES.get(word, word)


def leaving(door: Door) -> str:
    """"by handle (mechanical)"; where there is no way out, why none is needed."""
    ways = "; ".join(LEAVING.get(word, word) for word in door.leave_by)
    return f"{ways}: {door.why_none}" if door.why_none else ways


def named(names: Iterable[str]) -> str:
    """"A1, Y1 to Y11": each once in the order given, three and more that count up drawn together."""
    runs: list[list[tuple[str, str, int]]] = []
    for name in dict.fromkeys(names):
        stem = name.rstrip("0123456789")
        digits = name[len(stem) :]
        count = int(digits) if digits and not digits.startswith("0") else -1
        if runs and count > 0 and runs[-1][-1][1:] == (stem, count - 1):
            runs[-1].append((name, stem, count))
        else:
            runs.append([(name, stem, count)])
    texts = [f"{r[0][0]} to {r[-1][0]}" if len(r) > 2 else ", ".join(name for name, _, _ in r) for r in runs]
    return ", ".join(texts)


def merged(rows: Iterable[tuple[str, str]]) -> tuple[tuple[str, str], ...]:
    """Names of which the same is said stand together."""
    of: dict[str, list[str]] = {}
    for name, said in rows:
        of.setdefault(said, []).append(name)
    return tuple((named(names), said) for said, names in of.items())



def typeset(text: str) -> str:
    """A text of a data sheet with units as they are printed: mm² for mm2, Ω for ohm, N·m, 2 × 1.5."""
    text = re.sub(r"(?<=\d) x (?=\d)", " × ", text)
    return text.replace("mm2", "mm²").replace("kohm", "kΩ").replace("ohm", "Ω").replace("N m", "N·m")


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
    """Who does what: "network firm" for all of it; "supply, mount: door firm; terminate: installer"."""
    does: dict[str, list[str]] = {}
    for work, who in by.items():
        does.setdefault(who, []).append(work)
    return "; ".join(who if works == ["all"] else f"{', '.join(works)}: {who}" for who, works in does.items())


def plural(count: int, one: str, many: str = "") -> str:
    return f"{count} {one if count == 1 else many or one + 's'}"

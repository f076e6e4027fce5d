"""Numbers, states and code words as they stand on paper."""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping, Sequence
from math import inf, isinf

from wiregen.reading.model import Door, House
from wiregen.study.model import Figure, Reading

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

# Topics of figures in the order in which they are told, with their titles.
TOPICS: Mapping[str, str] = {
    "budget": "Budget: what uses what, and what is left",
    "battery": "Standby battery",
    "port": "Powered port",
    "converter": "Converters and splitters",
    "volts": "Volts along the run",
    "calming": "Calming of coils",
    "contact": "Contacts against their ratings",
    "input": "Supervised inputs",
    "line": "Signal lines",
    "fuse": "Fuses",
    "class": "Circuit classes",
    "conductor": "Conductors",
    "screw": "Screws and splices",
    "conduit": "Conduits",
    "rating": "From ratings",
}

# Unit of a value → what it is printed in: (of so much and more, printed unit), largest first.
_PRINTED: Mapping[str, Sequence[tuple[float, str]]] = {
    **{unit: ((1e6, f"M{sign}"), (1e3, f"k{sign}"), (1.0, sign)) for unit, sign in (("V", "V"), ("ohm", "Ω"))},
    "W": ((1e3, "kW"), (1.0, "W"), (1e-3, "mW")),
    "A": ((1.0, "A"), (1e-3, "mA")),  # no thousandths of volts and ohms, as a meter shows them
    **{unit: ((1.0, unit), (1e-3, f"m{unit}"), (1e-6, f"µ{unit}"), (1e-9, f"n{unit}"), (1e-12, f"p{unit}")) for unit in "sJFH"},
    "m2": ((1e-6, "mm²"),),
    "ohm/m": ((1e-3, "Ω/km"),),
}


_COUNTED = re.compile(r"(.*?(?<![0-9]))([1-9][0-9]*)([^0-9]*)")  # the last number of a name, and what stands around it


_WORD = re.compile(r"([^\s()\[\],;]*)([\s()\[\],;]*)")  # a word, and what parts it from the next


def state(word: str) -> str:
    return STATES.get(word, word)


def leaving(door: Door) -> str:
    """"by handle (mechanical)"; where there is no way out, why none is needed."""
    ways = "; ".join(LEAVING.get(word, word) for word in door.leave_by)
    return f"{ways}: {door.why_none}" if door.why_none else ways


def named(names: Iterable[str]) -> str:
    """"A1, Y1.coil to Y11.coil": each once in the order given, three and more that count up drawn together."""
    runs: list[list[tuple[str, tuple[str, str], int]]] = []
    for name in dict.fromkeys(names):
        match = _COUNTED.fullmatch(name)
        around = (match[1], match[3]) if match else (name, "")
        count = int(match[2]) if match else -1
        if runs and match and runs[-1][-1][1:] == (around, count - 1):
            runs[-1].append((name, around, count))
        else:
            runs.append([(name, around, count)])
    texts = [f"{r[0][0]} to {r[-1][0]}" if len(r) > 2 else ", ".join(name for name, _, _ in r) for r in runs]
    return ", ".join(texts)


def joined(texts: Sequence[str]) -> str:
    """"with V1 (diode)" and "with V2 (diode)" in one; texts that are not built alike stand side by side."""
    words = [_WORD.findall(text) for text in texts]
    if len({tuple(around for _, around in each) for each in words}) > 1:
        return "; ".join(dict.fromkeys(texts))
    columns = zip(*words, strict=True)
    return "".join(named(word for word, _ in column) + column[0][1] for column in columns)


def merged(rows: Iterable[tuple[str, str]]) -> tuple[tuple[str, str], ...]:
    """Names of which the same is said stand together."""
    of: dict[str, list[str]] = {}
    for name, said in rows:
        of.setdefault(said, []).append(name)
    return tuple((named(names), said) for said, names in of.items())


def typeset(text: str) -> str:
    """A text of a data sheet with units as they are printed: mm² for mm2, Ω for ohm, N·m, 2 × 1.5."""
    text = re.sub(r"(?<=\d) x (?=\d)", " × ", text)
    text = re.sub(r"(?<![A-Za-z])(k|m|M)?ohm(?![A-Za-z])", r"\1Ω", text)
    return text.replace("mm2", "mm²").replace("N m", "N·m")


def number(value: float, figures: int = 3) -> str:
    """So many figures, no trailing noughts, an exponent only for what is very small."""
    text = f"{value:.{figures}g}"
    return text if "e+" not in text else f"{float(text):.0f}"


def scale(value: float, unit: str) -> tuple[float, str]:
    """What a value is divided by before it is printed, and the unit that is printed behind it."""
    steps = _PRINTED.get(unit, ((1.0, "" if unit == "1" else typeset(unit)),))
    if value == 0 or isinf(value):
        return next((step for step in steps if step[0] == 1.0), steps[-1])
    return next((step for step in steps if abs(value) >= step[0] * 0.9995), steps[-1])


def quantity(value: float, unit: str) -> str:
    """"300 mA", "2.2 kΩ", "class 3"."""
    if unit == "class":
        return f"class {number(value)}"
    if value == inf:
        return "open" if unit == "ohm" else "no limit"
    factor, printed = scale(value, unit)
    return f"{number(value / factor)} {printed}".rstrip()


def spread(least: float, most: float, unit: str) -> str:
    """From least to most: "11.4 to 12.6 V", "up to 1 Ω", "over 1 MΩ"; one value where both are one."""
    if most == inf:
        return f"over {quantity(least, unit)}"
    if least == most:
        return quantity(most, unit)
    if least == 0:
        return f"up to {quantity(most, unit)}"
    if unit == "class":
        return f"{number(least)} to {quantity(most, unit)}"
    factor, printed = scale(max(abs(least), abs(most)), unit)
    return f"{number(least / factor)} to {number(most / factor)} {printed}".rstrip()


def bound(figure: Figure) -> str:
    """What the worst of a figure must keep to: "at least 10.2 V", "10.8 to 13.2 V"; empty where it is bound to nothing."""
    floor, ceiling = figure.floor, figure.ceiling
    if floor is not None and ceiling is not None:
        return spread(floor, ceiling, figure.unit)
    if floor is not None:
        return f"at least {quantity(floor, figure.unit)}"
    return f"at most {quantity(ceiling, figure.unit)}" if ceiling is not None else ""


def percent(part: float) -> str:
    """With its sign, in whole per cent; one that is nearly nothing in tenths."""
    return f"{100 * part:+.{0 if abs(part) >= 0.095 else 1}f} %"


def by_topic(figures: Iterable[Figure]) -> Mapping[str, tuple[Figure, ...]]:
    """Figures under their topics, topics in the order in which they are told."""
    of: dict[str, list[Figure]] = {topic: [] for topic in TOPICS}
    for figure in figures:
        of[figure.topic].append(figure)
    return {topic: tuple(told) for topic, told in of.items() if told}


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

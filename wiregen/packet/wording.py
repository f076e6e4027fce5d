"""Numbers, states and code words as they stand on paper."""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping, Sequence

from wiregen.quantities import spread
from wiregen.reading.model import DataSheet, Door, Gives, House, Input
from wiregen.study.model import Figure, Reading

FOOT = 0.3048  # m, exact by the international definition of 1959

STATES = {
    "idle": "idle",
    "grant": "access granted",
    "call": "called open",
    "exit": "exit asked for",
    "forced": "opened by force",
    "other-open": "other leaf open",
    "controller-dead": "controller dead",
    "power-dead": "lock supply dead",
    "fire": "fire signal",
    "tamper": "tamper",
    "mains-lost": "mains lost",
    "port-dead": "network port dead",
    "hung-rest": "controller hung, as at rest",
    "hung-moved": "controller hung, as in a grant",
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



_COUNTED = re.compile(r"(.*?(?<![0-9]))([1-9][0-9]*)([^0-9]*)")  # the last number of a name, and what stands around it


_WORD = re.compile(r"([^\s()\[\],;]*)([\s()\[\],;]*)")  # a word, and what parts it from the next


def state(word: str) -> str:
    return f"leaving by {word.removeprefix('exit-').replace('-', ' ')}" if word.startswith("exit-") else STATES.get(word, word)


def leaving(door: Door) -> str:
    """"by handle (mechanical)"; where there is no way out, why none is needed."""
    ways = "; ".join(LEAVING.get(word, word) for word in door.leave_by)
    return f"{ways}: {door.why_none}" if door.why_none else ways


def done_by(sheet: DataSheet, given: Input) -> str:
    """What an input does, outputs by their terminals: "drops V+"."""
    outputs = {name: group.first for name, group in sheet.groups.items() if isinstance(group, Gives)}
    verb, _, rest = (given.does or "").partition(" ")
    if verb not in ("drops", "gives"):
        return given.does or ""
    return " ".join((verb, *(outputs.get(word) or word for word in rest.split(" "))))


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


def by_text(said: Mapping[str, str]) -> dict[str, list[str]]:
    """What is said of names → the names of which it is said, in the order in which it is said first."""
    found: dict[str, list[str]] = {}
    for name, text in said.items():
        found.setdefault(text, []).append(name)
    return found


def merged(rows: Iterable[tuple[str, str]]) -> tuple[tuple[str, str], ...]:
    """Names of which the same is said stand together."""
    return tuple((named(names), said) for said, names in by_text(dict(rows)).items())


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

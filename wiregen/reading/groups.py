"""Groups of terminals, from their tables in a data sheet to the frozen classes of the model, one entry a key."""

from __future__ import annotations

import re
from collections.abc import Callable, Mapping
from dataclasses import replace
from typing import Any

from wiregen.reading import model
from wiregen.reading.document import Table, Text
from wiregen.reading.model import Condition, LineEndValues, Rating, Surge, Unit
from wiregen.reading.quantity import Unfit, band

Fields = dict[str, Any]
Reader = Callable[[str, Any], Fields]

ROLES = ("a", "b", "d0", "d1", "tx", "rx")


def field_name(key: str) -> str:
    """`pulls-in` as pulls_in; `in` and `break` are words of Python and take a `_`."""
    return f"{key}_" if key in ("in", "break") else key.replace("-", "_")


def plain(key: str, value: Any) -> Fields:
    return {field_name(key): str(value)}


def number(key: str, value: Any) -> Fields:
    return {field_name(key): int(value)}


def yes(key: str, value: Any) -> Fields:
    return {field_name(key): value == "true"}


def pair(key: str, value: Any) -> Fields:
    return {field_name(key): (str(value[0]), str(value[1]))}


def listed(value: Any) -> tuple[str, ...]:
    """A text or a list of texts as a tuple."""
    return (str(value),) if isinstance(value, Text) else tuple(map(str, value))


def several(key: str, value: Any) -> Fields:
    return {field_name(key): listed(value)}


def quantity(*units: Unit) -> Reader:
    return lambda key, value: {field_name(key): band(str(value), *units)}


def condition(word: str) -> Condition:
    """`not pressed`, `open or inner`."""
    negated = word.startswith("not ")
    return Condition(tuple(re.split(r"\s+or\s+", word[4:] if negated else word)), negated)


def conditions(key: str, value: Any) -> Fields:
    return {field_name(key): tuple(map(condition, listed(value)))}


def rating(value: str) -> Rating:
    """`3 A 30 V`, of no category yet."""
    amps, volts = _two(value, r"\bm?A", "a current, then volts, such as 3 A 30 V")
    return Rating("", band(amps, "A").nominal, band(volts, "V").nominal if volts else None, value)


def ratings(key: str, value: Any) -> Fields:
    return {"rating": tuple(replace(rating(str(rated)), category=str(category)) for category, rated in value.items())}


def surge(value: str) -> Surge:
    """`16 A 150 ms`."""
    amps, seconds = _two(value, r"\b[mk]?A", "a current, then a time, such as 16 A 150 ms")
    return Surge(band(amps, "A").most, band(seconds, "s").most if seconds else None, value)


def volts(value: str) -> Fields:
    """`24 V ±5 %`, or `as in`: what the group `in` gets."""
    return {"volts_as": value[3:]} if value.startswith("as ") else {"volts": band(value, "V")}


def limit(value: str) -> Fields:
    """`520 mA`, or `1 A fuse` where a fuse sets it."""
    amps = value.removesuffix(" fuse")
    return {"limit": band(amps, "A"), **({"limit_kind": "fuse"} if amps != value else {})}


def pull_up(value: str) -> Fields:
    """`2.2 kohm to 5 V`."""
    ohms, _, to = value.partition(" to ")
    return {"pull_up": band(ohms, "ohm"), **({"pull_up_to": band(to, "V")} if to else {})}


def level(value: str) -> Fields:
    """`3.3 V 8 mA`."""
    high, amps = _two(value, r"\bm?V", "volts, then a current, such as 3.3 V 8 mA")
    return {"level": band(high, "V"), **({"level_amps": band(amps, "A")} if amps else {})}


def wets(value: str) -> Fields:
    """`24 V 15 mA`, as written and read."""
    read = level(value)
    return {"wets": value, "wets_volts": read["level"], "wets_amps": read.get("level_amps")}


def budget(value: str) -> Fields:
    """`240 W together`."""
    return {"budget": band(value.removesuffix(" together"), "W")}


def screw_ways(value: str) -> tuple[tuple[int, float], ...]:
    """`1 x 2.5 mm2 or 2 x 0.75 mm2`: each way as number of wires and largest section in m2."""
    ways = []
    for way in value.split(" or "):
        number, cross, size = way.partition(" x ")
        if not cross or not re.fullmatch(r"[1-9]", number):
            raise Unfit(f"{value} is not what a screw takes", "write 1 x 2.5 mm2 or 2 x 0.75 mm2")
        ways.append((int(number), band(size, "m2").most))
    return tuple(ways)


def leads(value: str) -> None:
    """`300 mm 0.34 mm2`: length, maybe section and more words."""
    length, rest = _two(value, r"\b(?:m|mm|cm|ft|in)\b(?!\s*2)", "a length, maybe a section, such as 300 mm 0.34 mm2")
    band(length, "m")
    size = re.match(r"[\d.]+ (?:mm2|mm²|AWG)", rest)
    if size:
        band(size[0], "m2")


def duty(value: str) -> None:
    """`continuous`, or `1 s in 60 s`."""
    if value != "continuous":
        on, _, cycle = value.partition(" in ")
        if not cycle:
            raise Unfit(f"{value} is no duty", "write continuous, or a time in a time: 1 s in 60 s")
        if band(on, "s").most > band(cycle, "s").most:
            raise Unfit(f"{value} is longer on than its cycle", "write the shorter time first")


def _two(value: str, unit: str, instead: str) -> tuple[str, str]:
    """The text cut after its first unit; the second half may be empty."""
    found = re.fullmatch(rf"(.*?{unit}(?:\s*±[^A-Za-z]*%)?)(?:\s+(.+))?", value)
    if found is None:
        raise Unfit(f"{value} cannot be read", f"write {instead}")
    return found[1], found[2] or ""


def bands(key: str, value: Any) -> Fields:
    return {key: {str(state): band(str(volts), "V") for state, volts in value.items()}}


def line_end_values(value: Mapping[str, str]) -> LineEndValues:
    return LineEndValues(band(str(value["series"]), "ohm"), band(str(value["across"]), "ohm"))


def line_end(key: str, value: Any) -> Fields:
    return {"line_end": line_end_values(value)}


def whole(read: Callable[[str], Fields]) -> Reader:
    """A reader whose text says more than one field."""
    return lambda key, value: read(str(value))


def one(read: Callable[[str], Any]) -> Reader:
    return lambda key, value: {field_name(key): read(str(value))}


POLES: dict[str, Reader] = {"plus": plain, "minus": plain, "poles": pair, "current": plain}

READERS: dict[str, dict[str, Reader]] = {
    "takes": {
        **POLES,
        "live": plain, "neutral": plain, "earth": plain, "either-way": yes, "range": quantity("V"), "load": quantity("A", "W"),
        "peak": quantity("A", "W"), "inrush": one(surge), "capacitance": quantity("F"), "esr": quantity("ohm"),
        "brown-out": quantity("V"), "fed-by": plain, "each-relay": quantity("A", "W"), "charge": quantity("A"), "does": plain,
    },
    "gives": {
        **POLES,
        "volts": whole(volts), "on-battery": quantity("V"), "capacity": quantity("A h"), "limit": whole(limit),
        "peak": one(surge), "overload": plain, "out-of": several, "efficiency": quantity("1"), "circuit": plain,
        "gives-when": conditions,
        "resistance": quantity("ohm"),
    },
    "contact": {"between": pair, "closed-when": conditions, "stays": plain, "line-end": line_end, "rating": ratings},
    "changeover": {
        "common": plain, "make": plain, "break": plain, "moves-when": conditions, "stays": plain, "sense": plain,
        "rating": ratings,
    },
    "pass": {"between": pair, "jacks": pair, "size": quantity("m2"), "rating": ratings},
    "input": {
        "in": plain, "ref": plain, "pull-up": whole(pull_up), "pull-down": quantity("ohm"), "active": plain,
        "at-least": quantity("s"),
        "does": plain, "wets": whole(wets), "draws": quantity("A"), "stays": plain, "plain": bands, "supervised": bands,
    },
    "drive": {"out": plain, "ref": plain, "sinks": quantity("A"), "level": whole(level), "boot": plain},
    "line": {"protocol": plain, "ref": plain, "screen": plain, "line-end": plain, "drops": number,
        "reach": quantity("m"), "speed": number,
    },
    "jack": {"mark": plain, "poe": plain, "poe-class": number, "own": quantity("W"), "budget": whole(budget), "allots": plain},
    "earth": {"mark": plain},
}  # fmt: skip

CLASSES: dict[str, type[model.Group]] = {
    "takes": model.Takes, "gives": model.Gives, "contact": model.Contact, "changeover": model.Changeover, "pass": model.Pass,
    "input": model.Input, "drive": model.Drive, "line": model.Line, "jack": model.Jack, "earth": model.Earth,
}  # fmt: skip


def group(name: Text, written: Table) -> model.Group:
    """The group of that name.  `written` satisfies the schema."""
    kind = written["kind"]
    fields: Fields = {"name": str(name), "where": name.where}
    if kind == "line":
        fields["roles"] = {role: str(written[role]) for role in ROLES if role in written}
    for key, value in written.items():
        if reader := READERS[kind].get(key):
            fields.update(reader(key, value))
    return CLASSES[kind](**fields)

"""Groups of terminals, from their tables in a data sheet to the frozen classes of the model, one entry a key."""

from __future__ import annotations

import re
from collections.abc import Callable, Mapping
from typing import Any

from wiregen.reading import model
from wiregen.reading.document import Table, Text
from wiregen.reading.model import Condition, LineEndValues, Rating, Surge, Unit
from wiregen.reading.quantity import band

Fields = dict[str, Any]
Reader = Callable[[str, Any], Fields]

ROLES = ("a", "b", "d0", "d1", "tx", "rx")
SURGE = re.compile(r"(.*\bm?A)(?:\s+(?:for\s+)?(.+))?")
RATING = re.compile(r"(.*?\bm?A)(?:\s+(.*\bm?V))?")


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


def ratings(key: str, value: Any) -> Fields:
    made = []
    for category, rated in value.items():
        found = RATING.fullmatch(rated)
        amps, volts = (found[1], found[2]) if found else (rated, None)
        made.append(Rating(str(category), band(amps, "A").nominal, band(volts, "V").nominal if volts else None, str(rated)))
    return {field_name(key): tuple(made)}


def surge(key: str, value: Any) -> Fields:
    found = SURGE.fullmatch(value)
    amps, seconds = (found[1], found[2]) if found else (str(value), None)
    return {field_name(key): Surge(band(amps, "A").most, band(seconds, "s").most if seconds else None, str(value))}


def volts(key: str, value: Any) -> Fields:
    """`24 V ±5 %`, or `as in`: what the group `in` gets."""
    return {"volts_as": str(value[3:])} if value.startswith("as ") else {"volts": band(str(value), "V")}


def limit(key: str, value: Any) -> Fields:
    amps = value.removesuffix(" fuse")
    return {"limit": band(amps, "A"), **({"limit_kind": "fuse"} if amps != value else {})}


def pull_up(key: str, value: Any) -> Fields:
    ohms, _, to = value.partition(" to ")
    return {"pull_up": band(ohms, "ohm"), **({"pull_up_to": band(to, "V")} if to else {})}


def level(key: str, value: Any) -> Fields:
    found = re.fullmatch(r"(.*\bm?V)(?:\s+(.*\bm?A))?", value)
    high, amps = (found[1], found[2]) if found else (str(value), None)
    return {"level": band(high, "V"), **({"level_amps": band(amps, "A")} if amps else {})}


def budget(key: str, value: Any) -> Fields:
    return {"budget": band(value.removesuffix(" together"), "W")}


def bands(key: str, value: Any) -> Fields:
    return {key: {str(state): band(str(volts), "V") for state, volts in value.items()}}


def line_end_values(value: Mapping[str, str]) -> LineEndValues:
    return LineEndValues(band(str(value["series"]), "ohm"), band(str(value["across"]), "ohm"))


def line_end(key: str, value: Any) -> Fields:
    return {"line_end": line_end_values(value)}


POLES: dict[str, Reader] = {"plus": plain, "minus": plain, "poles": pair, "current": plain}

READERS: dict[str, dict[str, Reader]] = {
    "takes": {
        **POLES,
        "live": plain, "neutral": plain, "earth": plain, "either-way": yes, "range": quantity("V"), "load": quantity("A", "W"),
        "peak": quantity("A", "W"), "inrush": surge, "capacitance": quantity("F"), "esr": quantity("ohm"),
        "brown-out": quantity("V"), "fed-by": plain, "each-relay": quantity("A", "W"), "charge": quantity("A"), "does": plain,
    },
    "gives": {
        **POLES,
        "volts": volts, "on-battery": quantity("V"), "capacity": quantity("A h"), "limit": limit, "peak": surge,
        "overload": plain, "out-of": several, "efficiency": quantity("1"), "circuit": plain, "gives-when": conditions,
        "resistance": quantity("ohm"),
    },
    "contact": {"between": pair, "closed-when": conditions, "stays": plain, "line-end": line_end, "rating": ratings},
    "changeover": {
        "common": plain, "make": plain, "break": plain, "moves-when": conditions, "stays": plain, "sense": plain,
        "rating": ratings,
    },
    "pass": {"between": pair, "jacks": pair, "size": quantity("m2"), "rating": ratings},
    "input": {
        "in": plain, "ref": plain, "pull-up": pull_up, "pull-down": quantity("ohm"), "active": plain, "at-least": quantity("s"),
        "does": plain, "wets": plain, "draws": quantity("A"), "stays": plain, "plain": bands, "supervised": bands,
    },
    "drive": {"out": plain, "ref": plain, "sinks": quantity("A"), "level": level, "boot": plain},
    "line": {"protocol": plain, "ref": plain, "screen": plain, "line-end": plain, "drops": number},
    "jack": {"mark": plain, "poe": plain, "poe-class": number, "own": quantity("W"), "budget": budget},
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

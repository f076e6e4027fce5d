"""What else stands in a list of the record: devices, links, cables, joints; each known by what names it."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field
from typing import Any

from wiregen.changes.conductors import told, told_of
from wiregen.changes.model import Change, How, Of

Json = dict[str, Any]


@dataclass(frozen=True)
class Things:
    """A list of the record: its key, what its rows are, which keys name a row, which ways to change have a word of their own.

    `silent` keys only repeat what is told of conductors.
    """

    key: str
    of: Of
    name: tuple[str, ...]
    words: Mapping[str, How] = field(default_factory=dict)
    silent: tuple[str, ...] = ()


THINGS = (
    Things("devices", "device", ("ref",), {"type": "swapped", "place": "moved", "set": "set"}, ("origin",)),
    Things("links", "link", ("ref",), {"from": "moved", "to": "moved", "type": "swapped"}),
    Things("cables", "cable", ("ref",), {"type": "swapped", "along": "moved"}, ("cores", "serves")),
    Things("splices", "joint", ("at",), {"place": "moved"}, ("potential", "wire", "lead")),
    Things("calmers", "calmer", ("lock", "coil"), {"what": "swapped", "type": "swapped", "band-at": "moved"}),
    Things("line-ends", "line end", ("sensor", "group"), {"input": "moved"}),
    Things("unused", "unused", ("at",)),
)


def thing_changes(things: Things, old: Json, new: Json) -> Iterator[Change]:
    """Rows of that list of two doors of the record."""
    then, now = _named(things, old), _named(things, new)
    for name, row in then.items():
        if name not in now:
            yield Change(things.of, "removed", name, old=_said(things, row))
    for name, row in now.items():
        if name not in then:
            yield Change(things.of, "added", name, new=_said(things, row))
        elif row != then[name]:
            yield from _of_row(things, name, then[name], row)


def _named(things: Things, door: Json) -> dict[str, Json]:
    """By name; the second of a name and further ones count on."""
    found: dict[str, Json] = {}
    for row in door.get(things.key, ()):
        name = at = ".".join(row[key] for key in things.name)
        again = 2
        while at in found:
            at, again = f"{name} ({again})", again + 1
        found[at] = row
    return found


def _said(things: Things, row: Json) -> str:
    """What a person needs of a row that comes or goes."""
    keys = [key for key in row if key not in (*things.name, *things.silent) and row[key] not in (None, "", [], {}, False)]
    return told_of(row, keys)


def _of_row(things: Things, name: str, then: Json, now: Json) -> Iterator[Change]:
    by_how: dict[How, list[str]] = {}
    for key in dict.fromkeys((*then, *now)):
        if key not in things.silent and then.get(key) != now.get(key):
            by_how.setdefault(things.words.get(key, "changed"), []).append(key)
    for how, keys in by_how.items():
        parts = [_parted(key, then.get(key), now.get(key)) for key in keys]
        yield Change(things.of, how, name, "; ".join(old for old, _ in parts), "; ".join(new for _, new in parts))


def _parted(key: str, then: Any, now: Any) -> tuple[str, str]:
    """A value in words; of a table the entries alone that are not as they were."""
    if isinstance(then, dict) and isinstance(now, dict):
        other = [name for name in dict.fromkeys((*then, *now)) if then.get(name) != now.get(name)]
        return told_of(then, other), told_of(now, other)
    word = key.removesuffix("_m").replace("-", " ")
    return f"{word} {told(then, key)}", f"{word} {told(now, key)}"

"""Which cable is which: designations count up, so that one which goes lets others move up; a cable is known by its two ends."""

from __future__ import annotations

from collections.abc import Callable, Hashable, Sequence
from typing import Any, Literal

from wiregen.changes.model import Change

Json = dict[str, Any]
Key = Callable[[Json], Hashable]
LISTS: tuple[tuple[str, Literal["cable", "link"], Key], ...] = (
    ("cables", "cable", lambda row: (frozenset(row["along"]), row["type"])),
    ("links", "link", lambda row: (frozenset((row["from"], row["to"])), row["type"])),
)


def called_anew(old: Json, new: Json) -> tuple[Json, tuple[Change, ...]]:
    """A door as it was with its cables and links called as they are now, and which are to be relabelled for that."""
    changes: list[Change] = []
    called = dict(old)
    for key, of, ends in LISTS:
        names, there = _names(old[key], new[key], ends), _refs(new[key])
        changes += [Change(of, "relabelled", now, then, now) for then, now in names.items() if now in there and now != then]
        called[key] = [{**row, "ref": names[row["ref"]]} for row in old[key]]
        if of == "cable":
            called["conductors"] = [{**c, "cable": names.get(c["cable"], c["cable"])} for c in old["conductors"]]
    return called, tuple(changes)


def _refs(rows: Sequence[Json]) -> list[str]:
    return [row["ref"] for row in rows]


def _names(old: Sequence[Json], new: Sequence[Json], ends: Key) -> dict[str, str]:
    """Old designation → new one; of what is gone its own, or one that nothing new has."""
    names: dict[str, str] = {}
    left = list(new)
    for key in (lambda row: (row["ref"], ends(row)), ends, lambda row: row["ref"]):
        for row in old:
            same = None if row["ref"] in names else next((n for n in left if key(n) == key(row)), None)
            if same is not None:
                names[row["ref"]] = same["ref"]
                left.remove(same)
    taken = set(_refs(new))
    return {ref: names.get(ref, f"{ref} (as it was)" if ref in taken else ref) for ref in _refs(old)}

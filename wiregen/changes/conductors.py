"""Which conductor is which: pairs of then and now, and what became of each.

A number is made from a terminal and a letter for the piece, so a piece that goes lets the letters of others move up: copper is
known by its two ends first, by its number second; last by one end and its core in a cable, or what it is for.
"""

from __future__ import annotations

from collections.abc import Callable, Hashable, Iterator, Sequence
from typing import Any

from wiregen.changes.model import Change

Json = dict[str, Any]
Pair = tuple[Json, Json]
TOLD = ("size", "kind", "function", "place")  # beside number, ends, colour and core
OF_WIRE = ("length_m", "assumed")  # of a core its cable tells them


def conductor_changes(old: Sequence[Json], new: Sequence[Json]) -> Iterator[Change]:
    """Conductors as the record holds them."""
    pairs, gone, come = _pairs(old, new)
    for then, now in pairs:
        yield from _of_pair(then, now)
    yield from (Change("conductor", "removed", c["wire"], old=_lies(c)) for c in gone)
    yield from (Change("conductor", "added", c["wire"], new=_lies(c)) for c in come)


def _ends(c: Json) -> frozenset[str]:
    return frozenset((c["from"], c["to"]))


def _pairs(old: Sequence[Json], new: Sequence[Json]) -> tuple[list[Pair], list[Json], list[Json]]:
    """Those that are one piece of copper; those that are there no more; those that are new."""
    pairs: list[Pair] = []
    gone, come = list(old), list(new)
    known: tuple[tuple[Callable[[Json], Hashable], Callable[[Json, Json], bool]], ...] = (
        (lambda c: (c["wire"], _ends(c)), lambda a, b: True),
        (_ends, lambda a, b: True),
        (lambda c: c["wire"], _alike),
        (lambda c: (c["cable"], c["core"] if c["cable"] else (c["colour"], c["function"])), _at_one_end),
    )
    for key, fits in known:
        waiting: dict[Hashable, list[Json]] = {}
        for c in come:
            waiting.setdefault(key(c), []).append(c)
        left = []
        for then in gone:
            now = next((c for c in waiting.get(key(then), ()) if fits(then, c)), None)
            if now is None:
                left.append(then)
            else:
                pairs.append((then, now))
                waiting[key(then)].remove(now)
        gone, come = left, [c for c in come if any(c is w for w in waiting[key(c)])]
    order = {id(c): n for n, c in enumerate(new)}
    return sorted(pairs, key=lambda pair: order[id(pair[1])]), gone, come


def _alike(a: Json, b: Json) -> bool:
    """Whether two of one number are one piece: an end stayed, or the core in its cable."""
    return bool(_ends(a) & _ends(b)) or (a["cable"] is not None and (a["cable"], a["core"]) == (b["cable"], b["core"]))


def _at_one_end(a: Json, b: Json) -> bool:
    return bool(_ends(a) & _ends(b))


def _of_pair(then: Json, now: Json) -> Iterator[Change]:
    wire = now["wire"]
    if then["wire"] != wire:
        yield Change("conductor", "relabelled", wire, then["wire"], wire)
    if _ends(then) != _ends(now):
        yield Change("conductor", "moved", wire, _between(then), _between(now))
    if then["colour"] != now["colour"]:
        yield Change("conductor", "recoloured", wire, then["colour"], now["colour"])
    if (then["cable"], then["core"]) != (now["cable"], now["core"]):
        yield Change("conductor", "recored", wire, _in(then), _in(now))
    other = [key for key in (*TOLD, *(() if now["cable"] else OF_WIRE)) if then.get(key) != now.get(key)]
    if other:
        yield Change("conductor", "changed", wire, told_of(then, other), told_of(now, other))


def _between(c: Json) -> str:
    return f"{c['from']} to {c['to']}"


def _in(c: Json) -> str:
    return f"{c['cable']} core {c['core']}" if c["cable"] else c["kind"]


def _lies(c: Json) -> str:
    return f"{c['colour']}, {_between(c)}, {_in(c)}, {c['size']}"


def told_of(row: Json, keys: Sequence[str]) -> str:
    """Those facts of a row of the record, in words."""
    return "; ".join(f"{key.removesuffix('_m').replace('-', ' ')} {told(row.get(key), key)}" for key in keys)


def told(value: Any, key: str = "") -> str:
    """A value of the record in words; one whose key ends in _m is a length in metres."""
    if value is None or value in ("", [], {}):
        return "none"
    if isinstance(value, bool):
        return "yes" if value else "no"
    if isinstance(value, dict):
        return ", ".join(f"{name} {told(part)}" for name, part in value.items())
    if isinstance(value, list):
        return ", ".join(map(told, value))
    if isinstance(value, float):
        return f"{value:g} m" if key.endswith("_m") else f"{value:g}"
    return str(value)

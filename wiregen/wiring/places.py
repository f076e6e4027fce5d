"""The places of a door: the hub, the order in which cable passes through them, and the boxes that hold joints."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from itertools import pairwise

from wiregen.wiring.cast import Cast
from wiregen.wiring.circuits import Circuits
from wiregen.wiring.joins import Join
from wiregen.wiring.model import Box
from wiregen.wiring.names import Names


def hub_of(cast: Cast, joins: Iterable[Join], places: Mapping[str, str]) -> str:
    """The place where most runs branch; of several, the one with the most terminals landed."""
    count: dict[str, int] = {}
    branches: dict[str, set[str]] = {}
    for join in joins:
        for end in (join.a, join.b):
            path = cast.path(places.get(end.device) or cast.place(end.device))
            count[path[0]] = count.get(path[0], 0) + 1
            for outer, inner in pairwise(path):
                branches.setdefault(inner, set()).add(outer)
    seen = [*count, *(place for place in branches if place not in count)]
    if not seen:
        return next(iter(cast.door.runs), cast.site.id) if cast.door else next(iter(cast.site.runs), cast.site.id)
    return max(seen, key=lambda place: (len(branches.get(place, ())), count.get(place, 0)))


def in_order(cast: Cast, used: Iterable[str], circuits: Circuits) -> list[str]:
    """Places from the closet outwards, in the order in which cable passes through them."""
    wanted: dict[str, None] = {}
    jacks = [fit for fit in circuits.fits if fit.row in ("T4", "T14") and cast.is_own(fit.own.device)]
    starts = [*used, *(cast.place(key) for key in cast.own)]
    starts += [cast.place(at.device) for fit in jacks for at in (fit.own, fit.target)]
    for start in starts:
        for place in reversed(cast.path(start)):
            wanted.setdefault(place)
    written = list(cast.door.runs) if cast.door else list(cast.site.runs)
    rank = {place: n for n, place in enumerate(written)}

    def outward(place: str) -> list[str]:
        inner = [p for p in wanted if (run := cast.run(p)) is not None and run.parent == place]
        return [place, *(q for p in sorted(inner, key=lambda p: rank.get(p, -1)) for q in outward(p))]

    return [q for place in wanted if len(cast.path(place)) == 1 for q in outward(place)]


class Boxes:
    """The box at a place: the device written there, or one named X1, X2 ..."""

    def __init__(self, cast: Cast, names: Names) -> None:
        self._cast = cast
        self._names = names
        self._boxes: dict[str, Box] = {}

    def at(self, place: str) -> Box:
        if place not in self._boxes:
            written = (k for k, d in self._cast.own.items() if d.sheet.is_ == "box" and self._cast.place(k) == place)
            ref = next(written, None) or self._names.numbered("X")
            self._boxes[place] = Box(ref, place, self._cast.exposed(place))
        return self._boxes[place]

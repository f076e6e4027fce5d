"""Potentials: terminals that are joined, by copper or inside a device, in one set."""

from __future__ import annotations

from collections.abc import Hashable, Iterable
from typing import Generic, TypeVar

from wiregen.reading.model import DataSheet, Pass
from wiregen.wiring.model import End

Thing = TypeVar("Thing", bound=Hashable)


class Joined(Generic[Thing]):
    """Sets of things that are joined to one another; a thing never named is alone."""

    def __init__(self) -> None:
        self._above: dict[Thing, Thing] = {}

    def find(self, thing: Thing) -> Thing:
        """The one thing that stands for the set."""
        above = self._above
        while (up := above.get(thing, thing)) != thing:
            above[thing] = above.get(up, up)
            thing = up
        return thing

    def join(self, one: Thing, other: Thing) -> bool:
        """Join two sets; False if they were one already.  The first one's stands for both."""
        one, other = self.find(one), self.find(other)
        if one == other:
            return False
        self._above[other] = one
        return True

    def same(self, one: Thing, other: Thing) -> bool:
        return self.find(one) == self.find(other)

    def sets(self, things: Iterable[Thing]) -> dict[Thing, list[Thing]]:
        """The things by the set they are in, both in the order given."""
        found: dict[Thing, list[Thing]] = {}
        for thing in things:
            found.setdefault(self.find(thing), []).append(thing)
        return found


def ties(key: str, sheet: DataSheet) -> list[tuple[End, ...]]:
    """Terminals joined inside a device: those tied, and the two ends of what leads straight through."""
    tied = [tuple(End(key, mark) for mark in marks) for marks in sheet.tied]
    passes = (g.between for g in sheet.groups.values() if isinstance(g, Pass) and g.between is not None)
    return [*tied, *(tuple(End(key, mark) for mark in pair) for pair in passes)]

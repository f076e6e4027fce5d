"""Where runs lead from a door: they make trees, and no cable goes from one tree to another."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Mapping
from functools import cache

from wiregen.reading.model import Door, Site

Node = str  # "closet-1" for a place of the site, "D104/box" for one that a door's runs name


class Reach:
    """The shared devices of a site that cable from a door can come to."""

    def __init__(self, site: Site) -> None:
        parents: dict[Node, Node] = {place: str(run.parent) for place, run in site.runs.items()}
        for door in site.doors.values():
            parents |= {_node(door, place): _node(door, str(run.parent)) for place, run in door.runs.items()}
        self._root = cache(lambda node: root(node, parents))
        found: dict[Node | None, set[str]] = defaultdict(set)
        for ref, device in site.shared.items():
            found[self._root(device.place)].add(ref)
        self._standing = {at: frozenset(refs) for at, refs in found.items()}

    def of(self, door: Door) -> frozenset[str]:
        """Designations of what stands where runs lead from any place of the door, which is one of the site's."""
        places = (*door.runs, *(device.place for device in door.devices.values()))
        tops = {self._root(_node(door, place)) for place in places}
        return frozenset().union(*(self._standing.get(top, ()) for top in tops))


def _node(door: Door, place: str) -> Node:
    return f"{door.id}/{place}" if place in door.runs else place


def root(start: Node, parents: Mapping[Node, Node]) -> Node | None:
    """Where runs lead from there in the end; None where they go round in a loop."""
    seen = [start]
    while (above := parents.get(seen[-1])) is not None:
        if above in seen:
            return None
        seen.append(above)
    return seen[-1]

"""Every jacket and link as it is pulled, and what is pulled together."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass
from itertools import pairwise

from wiregen.reading.model import CableSheet, Site
from wiregen.reading.shared import wired
from wiregen.wiring.model import Wiring


@dataclass(frozen=True)
class Pull:
    """One piece of cable or one link to be pulled.  `length` in metres; `along` from the closet outwards."""

    door: str
    ref: str
    sheet: CableSheet
    along: tuple[str, ...]
    length: float
    assumed: bool
    serves: tuple[str, ...]
    used: int
    spares: tuple[str, ...]
    screen: str
    existing: bool
    by: str
    link: bool
    ways: tuple[str, ...]  # conduits or trays of its runs, as the spec says


@dataclass(frozen=True)
class Bundle:
    """What goes together from one place to another: of one door, over the same places.  `longest` in metres."""

    door: str
    along: tuple[str, ...]
    ways: tuple[str, ...]
    pulls: tuple[Pull, ...]

    @property
    def longest(self) -> float:
        return max(pull.length for pull in self.pulls)


def pulls(site: Site, wirings: Mapping[str, Wiring]) -> Iterator[Pull]:
    """What is shared, then door by door; cables and links in the order of their designations."""
    for door in wired(site):
        if door in wirings:
            yield from sorted(_of_door(door, wirings[door]), key=lambda p: (len(p.ref), p.ref))


def _of_door(door: str, wiring: Wiring) -> Iterator[Pull]:
    for c in wiring.cables.values():
        used = len(c.cores) - len(c.spares)
        along, ways = outwards(wiring, c.along)
        yield Pull(
            door, c.ref, c.sheet, along, c.length, c.assumed, c.serves, used, c.spares, c.screen_why, c.existing,
            c.by or "", link=False, ways=ways,
        )  # fmt: skip
    for link in wiring.links:
        ends = (str(link.a), str(link.b))
        along, ways = outwards(wiring, link.along)
        yield Pull(
            door, link.ref, link.sheet, along, link.length, link.assumed, ends, len(link.sheet.cores), (), "", False,
            "", link=True, ways=ways,
        )  # fmt: skip


def outwards(wiring: Wiring, along: tuple[str, ...]) -> tuple[tuple[str, ...], tuple[str, ...]]:
    """The places in the order in which cable passes them from the closet, and the ways of the runs between them."""
    order = {place: n for n, place in enumerate(wiring.places)}
    turned = along[::-1] if order.get(along[0], 0) > order.get(along[-1], 0) else along
    runs = [wiring.runs[place] for place in turned if place in wiring.runs and wiring.runs[place].parent in turned]
    return turned, tuple(dict.fromkeys(run.way for run in runs if run.way))


def bundles(site: Site, listed: Iterable[Pull]) -> Iterator[Bundle]:
    """What is new and leaves its place, by where it begins: first what leaves places of the site, then what stays at a door."""
    together: dict[tuple[str, tuple[str, ...]], list[Pull]] = {}
    for pull in listed:
        if not pull.existing and len(pull.along) > 1:
            together.setdefault((pull.door, pull.along), []).append(pull)
    found = [Bundle(door, along, of[0].ways, tuple(of)) for (door, along), of in together.items()]
    return iter(sorted(found, key=lambda b: (1, "") if at_door(site, b) else (0, b.along[0])))


def at_door(site: Site, bundle: Bundle) -> bool:
    """Whether it begins at a place that its door's runs name, or another door's ("D116/box")."""
    begins = bundle.along[0]
    return "/" in begins or (bundle.door in site.doors and begins in site.doors[bundle.door].runs)


def trunks(site: Site, listed: Iterable[Pull]) -> Mapping[str, tuple[Pull, ...]]:
    """Place that a run of the site leads to → all that lies in that run."""
    found: dict[str, list[Pull]] = {}
    for pull in listed:
        for near, far in pairwise(pull.along):
            for place, other in ((far, near), (near, far)):
                run = site.runs.get(place)
                if run and run.parent == other and not (pull.door in site.doors and place in site.doors[pull.door].runs):
                    found.setdefault(place, []).append(pull)
    return {place: tuple(found[place]) for place in site.runs if place in found}

"""Parts of a wiring that nothing joins, neither a wire nor a place: each is drawn on pages of its own.

A door has one.  What the doors of a large site share has one for the closets of each building, so that its pages can be read
building by building, and what they cost grows with the site and not with its square.
"""

from __future__ import annotations

from collections import Counter, defaultdict
from collections.abc import Callable, Iterable, Iterator, Mapping
from dataclasses import replace
from typing import TypeVar

from wiregen.wiring.model import Conductor, Link, Wiring

FEW = 40  # wires of small areas that are drawn together

Part = TypeVar("Part")


def areas(wiring: Wiring) -> Iterator[Wiring]:
    """In the order of the devices; neighbours are one while they have but a few wires, and what has none goes with another."""
    gathered: list[set[str]] = []
    load = 0
    for places, wires in _joined(wiring):
        if gathered and (not load or not wires or load + wires <= FEW):
            gathered[-1] |= places
            load += wires
        else:
            gathered.append(set(places))
            load = wires
    if len(gathered) < 2:
        yield wiring
    else:
        yield from _parted(wiring, {place: n for n, places in enumerate(gathered) for place in places}, len(gathered))


def _joined(wiring: Wiring) -> list[tuple[set[str], int]]:
    """Places between which wires go, with how many these are."""
    head: dict[str, str] = {}

    def root(place: str) -> str:
        while head.setdefault(place, place) != place:
            head[place] = place = head[head[place]]
        return place

    at = _places(wiring)
    wires: tuple[Conductor | Link, ...] = (*wiring.conductors, *wiring.links)
    for wire in wires:
        head[root(at[wire.b.device])] = root(at[wire.a.device])
    places: dict[str, set[str]] = defaultdict(set)
    for place in at.values():
        places[root(place)].add(place)
    load = Counter(root(at[wire.a.device]) for wire in wires)
    return [(there, load[key]) for key, there in places.items()]


def _places(wiring: Wiring) -> dict[str, str]:
    """Of each device and box."""
    return {ref: each.place for of in (wiring.devices, wiring.boxes) for ref, each in of.items()}


def _parted(wiring: Wiring, area: Mapping[str, int], count: int) -> Iterator[Wiring]:
    at = {ref: area[place] for ref, place in _places(wiring).items()}
    of_cable = {c.cable: at[c.a.device] for c in wiring.conductors}

    def dealt(each: Iterable[Part], where: Callable[[Part], int | None]) -> list[list[Part]]:
        found: dict[int | None, list[Part]] = defaultdict(list)
        for one in each:
            found[where(one)].append(one)
        return [found[n] for n in range(count)]

    parts = zip(
        dealt(wiring.devices.items(), lambda device: at[device[0]]),
        dealt(wiring.boxes.items(), lambda box: at[box[0]]),
        dealt(wiring.cables.items(), lambda cable: of_cable.get(cable[0])),
        dealt(wiring.conductors, lambda conductor: at[conductor.a.device]),
        dealt(wiring.links, lambda link: at[link.a.device]),
        dealt(wiring.junctions, lambda junction: area[junction.place]),
        dealt(wiring.places, area.get),
        strict=True,
    )
    for devices, boxes, cables, conductors, links, junctions, places in parts:
        yield replace(
            wiring, devices=dict(devices), boxes=dict(boxes), cables=dict(cables), conductors=tuple(conductors),
            links=tuple(links), junctions=tuple(junctions), places=tuple(places),
        )  # fmt: skip

"""Parts of a wiring that nothing joins, neither a wire nor a place: each is drawn on pages of its own.

A door has one.  What the doors of a large site share has one for the closets of each building, so that its pages can be read
building by building, and what they cost grows with the site and not with its square.
"""

from __future__ import annotations

from collections import Counter, defaultdict
from collections.abc import Callable, Iterable, Iterator, Mapping
from dataclasses import replace
from functools import partial
from operator import attrgetter
from typing import Any, TypeVar, cast

from wiregen.wiring.model import Conductor, Link, Revised, Wiring
from wiregen.wiring.potentials import Joined

FEW = 40  # wires of small areas that are drawn together

Part = TypeVar("Part")
DEVICE: Mapping[str, Callable[[Any], str]] = {  # with which device it goes, by field of a wiring
    "conductors": attrgetter("a.device"),
    "links": attrgetter("a.device"),
    "junctions": attrgetter("end.device"),
    "lead_joints": attrgetter("end.device"),
    "calmers": attrgetter("lock"),
    "line_ends": attrgetter("sensor"),
    "unused": attrgetter("device"),
    "chains": attrgetter("load"),
    "behaviours": attrgetter("lock"),
    "mains": attrgetter("device"),
    "ties": lambda tie: cast("str", tie[0].device),
}


def areas(wiring: Wiring) -> Iterator[Wiring]:
    """In the order of the devices; neighbours are one while they have but a few wires, and what has none goes with another."""
    gathered: list[list[str]] = []
    load = 0
    for places, wires in _joined(wiring):
        if gathered and (not load or not wires or load + wires <= FEW):
            gathered[-1] += places
            load += wires
        else:
            gathered.append(places)
            load = wires
    if len(gathered) < 2:
        yield wiring
    else:
        yield from _parted(wiring, {place: n for n, places in enumerate(gathered) for place in places}, len(gathered))


def _joined(wiring: Wiring) -> list[tuple[list[str], int]]:
    """Places between which wires go, with how many these are."""
    at = _places(wiring)
    wires: tuple[Conductor | Link, ...] = (*wiring.conductors, *wiring.links)
    joined: Joined[str] = Joined()
    for wire in wires:
        joined.join(at[wire.a.device], at[wire.b.device])
    load = Counter(joined.find(at[wire.a.device]) for wire in wires)
    return [(there, load[one]) for one, there in joined.sets(dict.fromkeys(at.values())).items()]


def _places(wiring: Wiring) -> dict[str, str]:
    """Of each device and box."""
    return {ref: each.place for of in (wiring.devices, wiring.boxes) for ref, each in of.items()}


def _parted(wiring: Wiring, area: Mapping[str, int], count: int) -> Iterator[Wiring]:
    at = {ref: area[place] for ref, place in _places(wiring).items()}
    of_cable = {c.cable: at[c.a.device] for c in wiring.conductors}
    named = {of: _dealt(getattr(wiring, of).items(), lambda item: at[item[0]], count) for of in ("devices", "boxes")}
    named["cables"] = _dealt(wiring.cables.items(), lambda item: of_cable.get(item[0]), count)
    listed = {of: _dealt(getattr(wiring, of), partial(_at, at, device), count) for of, device in DEVICE.items()}
    listed["places"] = _dealt(wiring.places, area.get, count)
    for n in range(count):
        part: dict[str, Any] = {of: tuple(each[n]) for of, each in listed.items()}
        part |= {of: dict(each[n]) for of, each in named.items()}
        yield replace(wiring, **part, revised=wiring.revised and _revised(wiring.revised, part, first=n == 0))


def _at(at: Mapping[str, int], device: Callable[[Any], str], one: Any) -> int:
    return at[device(one)]


def _dealt(each: Iterable[Part], where: Callable[[Part], int | None], count: int) -> list[list[Part]]:
    found: dict[int | None, list[Part]] = defaultdict(list)
    for one in each:
        found[where(one)].append(one)
    return [found[n] for n in range(count)]


def _revised(revised: Revised, part: Mapping[str, Any], *, first: bool) -> Revised:
    """What of it is in one part; what is gone is told with the `first`."""
    here = {*(c.wire for c in part["conductors"]), *(link.ref for link in part["links"])}
    wires = tuple(wire for wire in revised.wires if wire in here)
    return replace(revised, wires=wires, gone=revised.gone if first else ())

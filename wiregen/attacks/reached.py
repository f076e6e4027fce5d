"""What a stranger can join, cut and pull off: the copper in reach, a node of the network each."""

from __future__ import annotations

from dataclasses import dataclass

from wiregen.attacks.reach import Reach
from wiregen.reading.model import Door, Site
from wiregen.states.settle import Settler
from wiregen.study.copper import Copper
from wiregen.wiring.model import Conductor, End, Wiring


@dataclass(frozen=True)
class Reached:
    """`ends` is one terminal for each piece of copper in reach, outside where it has one there; `off` the conductors at each
    device that can be pulled off its wall; `bare` terminals in reach have nothing landed on them."""

    ends: tuple[End, ...]
    bare: frozenset[End]
    conductors: tuple[Conductor, ...]
    off: tuple[tuple[str, tuple[Conductor, ...]], ...]


def reached(site: Site, door: Door, wiring: Wiring, settler: Settler) -> Reached:
    copper = Copper(wiring)
    reach = Reach(site, door, wiring, copper)
    run = [end for c in reach.conductors for end in (c.a, c.b)]
    found = dict[End, End]()
    for end in (*reach.held, *(end for end in run if end.device in reach.devices), *run):
        if settler.circuit.nodes.get(end, end) in settler.network.index:
            found.setdefault(copper.root(end), end)
    exposed = [ref for ref, device in wiring.devices.items() if device.exposed]
    off = ((ref, tuple(c for c in reach.conductors if ref in (c.a.device, c.b.device))) for ref in exposed)
    bare = frozenset(end for end in reach.held if not copper.landed(end))
    return Reached(tuple(found.values()), bare, reach.conductors, tuple((ref, own) for ref, own in off if own))

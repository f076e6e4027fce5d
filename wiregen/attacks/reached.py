"""What a stranger can lay hands on: the copper in reach, a node of the network each, and the conductors there is to cut."""

from __future__ import annotations

from dataclasses import dataclass

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
    """Terminals of devices outside (those that hang out once it is pulled off, where its data sheet says which), and every
    conductor that runs outside or ends there."""
    places = door.exposed | site.exposed
    cables = {ref for ref, cable in wiring.cables.items() if places & set(cable.along)}
    there = {ref for ref, device in wiring.devices.items() if device.exposed}
    there |= {junction.end.device for junction in wiring.junctions if junction.place in places}
    conductors = tuple(
        c for c in wiring.conductors if c.cable in cables or c.place in places or {c.a.device, c.b.device} & there
    )
    held = [
        End(ref, mark)
        for ref, device in wiring.devices.items()
        if device.exposed
        for mark in device.sheet.pulled_off or tuple(terminal.mark for terminal in device.sheet.terminals)
    ]
    run = [end for c in conductors for end in (c.a, c.b)]
    copper, found = Copper(wiring), dict[End, End]()
    for end in (*held, *(end for end in run if end.device in there), *run):
        if settler.circuit.nodes.get(end, end) in settler.network.index:
            found.setdefault(copper.root(end), end)
    off = (
        (ref, tuple(c for c in conductors if ref in (c.a.device, c.b.device))) for ref, d in wiring.devices.items() if d.exposed
    )
    bare = frozenset(end for end in held if not copper.landed(end))
    return Reached(tuple(found.values()), bare, conductors, tuple((ref, own) for ref, own in off if own))

"""Labels: for both ends of every conductor, cable, spare core and link, and for every device; short, from the wiring."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass

from wiregen.packet.pulls import outwards
from wiregen.reading.shared import SITE
from wiregen.wiring.model import End, Wiring

ARROW = "→"


@dataclass(frozen=True)
class Label:
    """`lines` as printed: what it is under its door (in bold), this end, the far end.  `place` is where it is put on."""

    kind: str  # device, cable, spare core, link, conductor
    door: str
    item: str  # designation or wire number
    place: str
    lines: tuple[str, ...]


def labels(wirings: Mapping[str, Wiring]) -> Iterator[Label]:
    """Door by door, what is shared first; within one by place, from the closet outwards, as a technician comes by."""
    for wiring in wirings.values():
        order = {place: n for n, place in enumerate(wiring.places)}
        yield from sorted(_of(wiring), key=lambda label: order.get(label.place, len(order)))


def _of(wiring: Wiring) -> Iterator[Label]:
    door = wiring.door
    own = ("site", "stock") if door == SITE else ("door", "stock")
    for d in wiring.devices.values():
        if d.origin in own:
            yield Label("device", door, d.ref, d.place, (f"{door} {d.ref}", d.sheet.name))
    for cable in wiring.cables.values():
        along, _ = outwards(wiring, cable.along)
        for here, there in ((along[0], along[-1]), (along[-1], along[0])):
            lines = (f"{door} {cable.ref}", f"{ARROW} {there}", ", ".join(cable.serves))
            yield Label("cable", door, cable.ref, here, tuple(filter(None, lines)))
            for core in cable.spares:
                yield Label("spare core", door, f"{cable.ref} {core}", here, (f"{door} {cable.ref} {core}", "spare", lines[1]))
    for link in wiring.links:
        for near, far in ((link.a, link.b), (link.b, link.a)):
            yield _end("link", wiring, link.ref, near, far)
    for c in wiring.conductors:
        for near, far in ((c.a, c.b), (c.b, c.a)):
            yield _end("conductor", wiring, c.wire, near, far)


def _end(kind: str, wiring: Wiring, item: str, near: End, far: End) -> Label:
    lines = (f"{wiring.door} {item}", str(near), f"{ARROW} {far}")
    return Label(kind, wiring.door, item, _place(wiring, near), lines)


def _place(wiring: Wiring, end: End) -> str:
    at = wiring.devices.get(end.device) or wiring.boxes.get(end.device)
    return at.place if at else ""

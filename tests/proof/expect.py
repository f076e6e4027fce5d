"""What a page has to show, as plain values: taken from the record of a door, or from the wiring it was written from."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

Terminal = tuple[str, str]  # designation and mark


@dataclass(frozen=True)
class Copper:
    """One conductor: its number, colour letters and two ends."""

    wire: str
    colour: str
    ends: tuple[Terminal, Terminal]


@dataclass(frozen=True)
class Expected:
    """Everything of a door that its wiring sheet must show."""

    door: str
    conductors: tuple[Copper, ...]
    joints: frozenset[Terminal]
    links: tuple[tuple[Terminal, Terminal], ...]
    exposed: Mapping[str, bool]  # devices and boxes
    unused: tuple[tuple[str, str, str | None], ...]  # designation, mark, colour of a lead
    leads: Mapping[Terminal, str]  # colour of each flying lead
    cables: Mapping[str, str]  # wire number -> cable designation


def end(text: str) -> Terminal:
    """ "A1:NO" as designation and mark."""
    device, _, mark = text.partition(":")
    return device, mark


def from_wiring(wiring: Any) -> Expected:
    """From the values that drafting was given."""
    pair = lambda e: (e.device, e.terminal)  # noqa: E731
    return Expected(
        door=wiring.door,
        conductors=tuple(Copper(c.wire, c.colour, (pair(c.a), pair(c.b))) for c in wiring.conductors),
        joints=frozenset(pair(j.end) for j in wiring.junctions),
        links=tuple((pair(k.a), pair(k.b)) for k in wiring.links),
        exposed={d.ref: d.exposed for d in wiring.devices.values()} | {b.ref: b.exposed for b in wiring.boxes.values()},
        unused=tuple((u.device, u.terminal, u.colour) for u in wiring.unused),
        leads={(d.ref, t.mark): t.colour for d in wiring.devices.values() for t in d.sheet.terminals if t.colour},
        cables={c.wire: c.cable for c in wiring.conductors if c.cable},
    )

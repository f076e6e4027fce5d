"""Which rows of the termination table and which landing rules a wired door makes use of, seen from what came out."""

from __future__ import annotations

import re
from collections.abc import Iterator

from tests.proof.against import sides_of
from tests.proof.oracle import Oracle, needed, ties
from wiregen.reading.model import Door, Site
from wiregen.wiring.model import Wiring

TABLE = tuple(f"T{n}" for n in range(1, 17))
LANDING = tuple(f"L{n}" for n in range(1, 11))


def rows_of(site: Site, door: Door, wiring: Wiring) -> Iterator[str]:
    """Names of rows, each as often as it was met."""
    for conductor in wiring.conductors:
        yield from re.findall(r"\b[TL]\d+\b", conductor.why)
    yield from ("T3" for _ in wiring.mains)
    yield from ("T4" if link.poe else "T14" for link in wiring.links)
    yield from ("T5" for chain in wiring.chains for _ in chain.links)
    yield from _landing(site, door, wiring)


def _landing(site: Site, door: Door, wiring: Wiring) -> Iterator[str]:
    yield from ("L1" for cable in wiring.cables.values() if len(cable.serves) == 1)
    meeting = {j.end: sum(j.end in (c.a, c.b) for c in wiring.conductors) for j in wiring.junctions}
    yield from ("L2" for j in wiring.junctions if j.place == wiring.hub and meeting[j.end] > 2)
    answer = Oracle(site, door, sides_of(wiring)).solve()
    edges = needed(answer, list(ties(site, door)), [])
    yield from ("L3" for a, b, _ in answer.refs if (a, b) not in edges)
    transfers = {run.transfer for run in wiring.runs.values() if run.transfer}
    yield from ("L5" for c in wiring.conductors if {c.a.device, c.b.device} & transfers)
    leads = {(d.ref, t.mark): t.colour for d in wiring.devices.values() for t in d.sheet.terminals if t.colour}
    yield from (
        "L6"
        for c in wiring.conductors
        for e in (c.a, c.b)
        if c.kind == "core" and leads.get((e.device, e.terminal)) == c.colour
    )
    yield from ("L7" for cable in wiring.cables.values() if cable.sheet.screen and cable.screen_at)
    yield from ("L8" for item in (*wiring.calmers, *wiring.line_ends) if item.ref)
    yield from ("L9" for a, b, _ in answer.edges if a[0] in site.shared and b[0] in site.shared)
    ends = {run.place for run in wiring.runs.values()} - {run.parent for run in wiring.runs.values()}
    yield from ("L10" for j in wiring.junctions if j.place in ends)  # a strip where no runs branch: a screw took no more

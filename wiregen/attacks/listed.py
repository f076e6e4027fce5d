"""Every attack of one step on what is in reach, at rest and with the tamper contact worked."""

from __future__ import annotations

from collections.abc import Iterator
from itertools import combinations

from wiregen.attacks.model import Attack
from wiregen.attacks.reached import Reached
from wiregen.faults.listed import TOUCH, Lister
from wiregen.reading.model import Input, Jack, Takes
from wiregen.states.gauge import ABOVE
from wiregen.states.happenings import STILL
from wiregen.states.settle import Point
from wiregen.states.struck import Strike
from wiregen.study.network import Link
from wiregen.study.solution import OPEN
from wiregen.wiring.fitting import At
from wiregen.wiring.logic import IDLE, Case
from wiregen.wiring.model import Conductor, End

FOREIGN = (12.0, 24.0)  # V that a stranger brings: common practice, no source
BEHIND = 0.5  # ohm of a small battery with its leads: common practice, no source
CASES = (IDLE, Case("tamper"))


def attacks(reached: Reached, lister: Lister) -> Iterator[Attack]:
    for case in CASES:
        yield from _pairs(case, reached, lister)
        yield from _spare(case, reached, lister)
        for c in reached.conductors:
            yield Attack("cut", _cut(case, (c,), lister), (c.a, c.b), (c.wire,))
        for ref, own in reached.off:
            yield Attack("pulled off", _pulled(case, ref, own, lister), wires=tuple(c.wire for c in own))
        for link in lister.wiring.links:
            out = next((f for f in lister.links_out() if link.ref in f.wires), None)
            outside = {ref for ref, _ in reached.off} & {link.a.device, link.b.device}
            if out is not None and outside:
                yield Attack("cut", Point(case, STILL.and_(out.strike)), (link.a, link.b), (link.ref,))


def _pairs(case: Case, reached: Reached, lister: Lister) -> Iterator[Attack]:
    for one, other in combinations(reached.ends, 2):
        a, b = lister.node(one), lister.node(other)
        if a == b:
            continue
        silent = STILL.and_(Strike(cut=lister.lines.on(one) | lister.lines.on(other)))
        yield Attack("joined", Point(case, silent, (Link(a, b, 1 / TOUCH),)), (one, other))
        for volts in (v * sign for v in FOREIGN for sign in (1, -1)):
            fed = Link(a, b, 1 / BEHIND, volts / BEHIND)
            yield Attack("fed", Point(case, silent, (fed,)), (one, other), volts=volts)


def _spare(case: Case, reached: Reached, lister: Lister) -> Iterator[Attack]:
    """Inputs in reach with nothing landed on them, which the network does not hold: worked as their data sheet says."""
    for ref, device in lister.wiring.devices.items():
        for group in device.sheet.groups.values():
            if not isinstance(group, Input) or End(ref, group.in_) not in reached.bare or group.active == "open":
                continue
            worked = Point(case, STILL.and_(Strike(active=frozenset({At(ref, group.name)}))))
            at = (End(ref, group.in_), End(ref, group.ref))
            fed = (group.active or "").startswith(ABOVE)
            yield Attack("fed" if fed else "joined", worked, at, volts=FOREIGN[0] if fed else 0.0)


def _cut(case: Case, conductors: tuple[Conductor, ...], lister: Lister) -> Point:
    wires = [wire for c in conductors if (wire := lister.wire(c)) is not None]
    severed = frozenset(at for c in conductors for at in lister.lines.severed(c))
    links = tuple(Link(w.a, w.b, OPEN - 1 / w.ohms) for w in wires)
    return Point(case, STILL.and_(Strike(cut=severed)), links)


def _pulled(case: Case, ref: str, own: tuple[Conductor, ...], lister: Lister) -> Point:
    point = _cut(case, own, lister)
    groups = lister.wiring.devices[ref].sheet.groups.values()
    fed = frozenset(At(ref, g.name) for g in groups if isinstance(g, Takes) or (isinstance(g, Jack) and g.poe == "in"))
    return Point(case, point.strike.and_(Strike(dead=frozenset({ref}), unfed=fed)), point.links)

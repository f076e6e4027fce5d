"""Holds the wiring of a door against the oracle: potentials and links."""

from __future__ import annotations

from collections.abc import Iterator

from tests.proof.oracle import Oracle, Terminal, joined, needed, ties
from tests.proof.trace import Groups
from wiregen.reading.model import Door, Pass, Site, Takes
from wiregen.wiring.model import Wiring


def differences(site: Site, door: Door, wiring: Wiring) -> Iterator[str]:
    """Everything in which the wiring and the oracle differ, in words."""
    answer = Oracle(site, door, sides_of(wiring)).solve()
    copper = [((c.a.device, c.a.terminal), (c.b.device, c.b.terminal)) for c in wiring.conductors]
    aside = _aside(wiring)
    tied = list(ties(site, door))
    passes, series = list(_passes(wiring)), list(_series(wiring))
    firm, edges = [(a, b) for a, b, _ in answer.edges], needed(answer, tied, passes)
    of_site = [(a, b) for a, b in edges if a[0] not in door.devices and b[0] not in door.devices]  # L9
    named = {t for e in edges for t in e} | {t for e in copper for t in e if t[0] not in aside}
    have = joined([*copper, *of_site], [*tied, *series])
    for a, b in firm:
        if have.root(a) != have.root(b):
            yield f"{door.id}: {a} and {b} are not joined"
    apart = joined(edges, tied)
    for a, b in passes:
        if (a, b) not in series and have.root(a) == have.root(b) and apart.root(a) != apart.root(b):
            yield f"{door.id}: {a} and {b} are one potential: what lies between them is bypassed"
    want = _partition(joined(edges, [*tied, *passes]), named)
    got = _partition(joined([*copper, *of_site], [*tied, *series, *passes]), named)
    for group in sorted(map(sorted, want - got)):
        yield f"{door.id}: by the table one potential, not so wired: {group}"
    for group in sorted(map(sorted, got - want)):
        yield f"{door.id}: wired as one potential, not so by the table: {group}"
    yield from _calmers(door, wiring)
    links = sorted(sorted((_port(site, a), _port(site, b))) for a, b in answer.links)
    wired = sorted(
        sorted((_port(site, (k.a.device, k.a.terminal)), _port(site, (k.b.device, k.b.terminal)))) for k in wiring.links
    )
    if links != wired:
        yield f"{door.id}: links {wired}, by the table {links}"


def sides_of(wiring: Wiring) -> dict[tuple[str, str, str, str, str], str | None]:
    """Make, break or None for each contact in a lock circuit, as the wiring chose."""
    return {
        (chain.load, chain.load_group, link.pole, link.device, link.group): link.side
        for chain in wiring.chains
        for link in chain.links
    }


def _calmers(door: Door, wiring: Wiring) -> Iterator[str]:
    """L8: what tames a coil lies across it, a diode cathode to plus, a limiter in the plus; never what is forbidden."""
    groups = joined([((c.a.device, c.a.terminal), (c.b.device, c.b.terminal)) for c in wiring.conductors], list(_ties(wiring)))
    for calmer in wiring.calmers:
        device = wiring.devices[calmer.lock]
        calm = device.sheet.calm
        if calm and calmer.ref and calmer.word in calm.never:
            yield f"{door.id}: {calmer.lock} has a {calmer.word}, which it must never have"
        fed = any(r.kind in ("from", "obeys") for r in door.devices[calmer.lock].relations)
        if calmer.ref is None or not fed:
            continue
        coil = device.sheet.groups[calmer.coil]
        assert isinstance(coil, Takes)
        plus, minus = groups.root((calmer.lock, coil.first)), groups.root((calmer.lock, coil.second))
        part = wiring.devices[calmer.ref].sheet.inside[0]
        anode, cathode = (groups.root((calmer.ref, mark)) for mark in part.between)
        right = {
            "diode": (anode, cathode) == (minus, plus),
            "limiter": plus in (anode, cathode) and minus not in (anode, cathode),
        }
        if not right.get(part.kind, {anode, cathode} == {plus, minus}):
            yield f"{door.id}: {calmer.ref} ({part.kind}) does not lie as it must at {calmer.lock}"
    for ref, own in door.devices.items():
        calm, coils = own.sheet.calm, [p for p in own.sheet.inside if p.kind == "coil"]
        fed = any(r.kind in ("from", "obeys") for r in own.relations)
        if fed and coils and calm and calm.wants and not calm.fitted and not any(c.lock == ref for c in wiring.calmers):
            yield f"{door.id}: {ref} wants {' or '.join(calm.wants)} and has none"


def _ties(wiring: Wiring) -> Iterator[tuple[Terminal, ...]]:
    for ref, device in wiring.devices.items():
        for tie in device.sheet.tied:
            yield tuple((ref, mark) for mark in tie)
    yield from _cores(wiring)


def _partition(groups: Groups, among: set[Terminal]) -> set[frozenset[Terminal]]:
    return {frozenset(g) for g in groups.groups(among).values()}  # type: ignore[arg-type]


def _passes(wiring: Wiring) -> Iterator[tuple[Terminal, ...]]:
    """Both ends of everything that leads straight through."""
    for ref, device in wiring.devices.items():
        for group in device.sheet.groups.values():
            if isinstance(group, Pass) and group.between:
                yield tuple((ref, mark) for mark in group.between)


def _aside(wiring: Wiring) -> set[str]:
    """Boxes, transfers and what was added from stock: the table does not name them."""
    stock = {d.ref for d in wiring.devices.values() if d.origin == "stock"}
    return set(wiring.boxes) | _transfers(wiring) | stock


def _transfers(wiring: Wiring) -> set[str]:
    return {run.transfer for run in wiring.runs.values() if run.transfer}


def _cores(wiring: Wiring) -> Iterator[tuple[Terminal, ...]]:
    """Both ends of each core of a power transfer."""
    for ref in sorted(_transfers(wiring)):
        if ref in wiring.devices:
            for group in wiring.devices[ref].sheet.groups.values():
                if isinstance(group, Pass) and group.between:
                    yield tuple((ref, mark) for mark in group.between)


def _series(wiring: Wiring) -> Iterator[tuple[Terminal, ...]]:
    """A core of a transfer, a limiter or a line-end goes on: what comes in comes out."""
    yield from _cores(wiring)
    for calmer in wiring.calmers:
        if calmer.word == "limiter" and calmer.ref:
            yield tuple((calmer.ref, t.mark) for t in wiring.devices[calmer.ref].sheet.terminals)
    for end in wiring.line_ends:
        if end.ref:
            yield from (((end.ref, "1"), (end.ref, "3")), ((end.ref, "2"), (end.ref, "4")))


def _port(site: Site, jack: Terminal) -> str:
    """A jack; the two of a patch port are one, as nobody can tell front from back."""
    device = site.shared.get(jack[0])
    for group in device.sheet.groups.values() if device else ():
        if isinstance(group, Pass) and group.jacks and jack[1] in group.jacks:
            return f"{jack[0]}.{group.name}"
    return f"{jack[0]}:{jack[1]}"

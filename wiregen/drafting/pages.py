"""Cutting a door that is too large for one page: by circuit, and within a circuit by the device that its cables serve.

Every conductor is whole on one page.  What has conductors on several pages, a strip or a screw, appears on each of them;
strips carry a reference to the page and grid zone where they come back.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Callable, Collection, Mapping, Sequence
from dataclasses import replace

from wiregen.drafting.frame import zone_at
from wiregen.drafting.model import Layout
from wiregen.reading.model import Changeover, Contact, House
from wiregen.wiring.model import End, WiredDevice, Wiring

CIRCUITS = ("lock power", "power", "fire", "drive", "input", "data", "earth")  # in the order of the pages

Cluster = tuple[str, ...]


def clusters(wiring: Wiring, over_contacts: bool) -> list[Cluster]:
    """Wires that should stay together, in the order of their circuits.

    What is landed on one device away from the hub, and on those that hang on it without passing the hub (a lock behind a
    hinge, a calmer), stays together with the cables that serve them, and if `over_contacts` with what is landed on the other
    side of a contact that leads there; other wires of the hub go by circuit.
    """
    far = {ref for ref, d in wiring.devices.items() if d.place != wiring.hub and not _above(wiring, d.place)}
    head = {ref: ref for ref in wiring.devices}

    def root(ref: str) -> str:
        while head[ref] != ref:
            ref = head[ref]
        return ref

    for c in wiring.conductors:
        if {c.a.device, c.b.device} <= far and _behind(wiring.devices[c.a.device], wiring.devices[c.b.device]):
            head[root(c.b.device)] = root(c.a.device)
    served = {ref: next((s for s in cable.serves if s in far), None) for ref, cable in wiring.cables.items()}
    order = {ref: n for n, ref in enumerate(wiring.devices)}
    outer = {
        c.wire: next((e.device for e in (c.a, c.b) if e.device in far), served.get(c.cable or "")) for c in wiring.conductors
    }
    across = _across(wiring) if over_contacts else {}
    leads: dict[End, list[str]] = defaultdict(list)  # to which devices away from the hub a terminal leads
    for c in wiring.conductors:
        if (ref := outer[c.wire]) is not None:
            for end in (c.a, c.b):
                leads[end].append(ref)
    for c in wiring.conductors:
        if outer[c.wire] is None:  # of several, as along a row of jumpers, the last: to it the wire leads
            behind = [ref for end in (c.a, c.b) for other in across.get(end, ()) for ref in leads.get(other, ())]
            outer[c.wire] = max(behind, key=lambda ref: order[ref], default=None)
    groups: dict[tuple[int, int], list[str]] = defaultdict(list)
    rank: dict[str, int] = {}
    for c in wiring.conductors:
        circuit = CIRCUITS.index(c.circuit) if c.circuit in CIRCUITS else len(CIRCUITS)
        if (ref := outer[c.wire]) is None:
            groups[circuit, -1].append(c.wire)
        else:
            groups[rank.setdefault(root(ref), circuit), order[root(ref)]].append(c.wire)
    groups[len(CIRCUITS) + 1, -1] = [link.ref for link in wiring.links]
    return [tuple(groups[key]) for key in sorted(groups) if groups[key]]


def _across(wiring: Wiring) -> dict[End, list[End]]:
    """What lies on the other side of each contact."""
    found: dict[End, list[End]] = defaultdict(list)
    for ref, device in wiring.devices.items():
        for group in device.sheet.groups.values():
            if isinstance(group, Contact | Changeover):
                first, *others = (End(ref, mark) for mark in group.marks)
                for other in others:
                    found[first].append(other)
                    found[other].append(first)
    return found


def _behind(a: WiredDevice, b: WiredDevice) -> bool:
    """Whether one of two devices that are joined is reached over the other: in another place, or a part at its terminals."""
    return a.place != b.place or "stock" in (a.origin, b.origin)


def _above(wiring: Wiring, place: str) -> bool:
    at, seen = wiring.hub, set()
    while at in wiring.runs and at not in seen:
        seen.add(at)
        at = wiring.runs[at].parent
        if at == place:
            return True
    return False


Draw = Callable[[frozenset[str], bool, Mapping[End, Sequence[int]], bool], tuple[Layout, int] | None]


def cut(wiring: Wiring, draw: Draw, before: int = 0) -> list[Layout] | None:
    """Pages of which each can be drawn and, if possible, has room for all that it says; None if that cannot be.  A contact
    stays whole on a page where that takes no more pages.

    `draw` gets the wires of a page, whether it is the last one, which takes the devices without any, the other pages of
    each junction, and whether a page on which something lacks room is of no use, for it can be cut; it gives the page and
    how much lacks room on it.  Pages count from `before`.
    """
    whole = _cut(wiring, draw, clusters(wiring, over_contacts=True), before)
    if whole is not None and len(whole) < 3:  # no fewer would do: one page has all wires, whatever stays together
        return whole
    plain = _cut(wiring, draw, clusters(wiring, over_contacts=False), before)
    return plain if whole is None or (plain is not None and len(plain) < len(whole)) else whole


def _cut(wiring: Wiring, draw: Draw, together: list[Cluster], before: int) -> list[Layout] | None:
    landed = {j.end: {c.wire for c in wiring.conductors if j.end in (c.a, c.b)} for j in wiring.junctions}
    bridges = {c.wire for c in wiring.conductors if {c.a, c.b} <= landed.keys()}
    shares: list[list[Cluster]] = [together]
    while True:
        wires = [frozenset(w for cluster in share for w in cluster) for share in shares]
        on = {end: [n for n, there in enumerate(wires) if there & all_] for end, all_ in landed.items()}
        halves = [_halves(share, bridges) for share in shares]
        pages = [
            draw(
                here,
                n == len(shares) - 1,
                {end: [before + m + 1 for m in there if m != n] for end, there in on.items() if n in there},
                len(halves[n]) > 1,
            )
            for n, here in enumerate(wires)
        ]
        halves = [
            [share] if page is not None and not page[1] else parts
            for share, parts, page in zip(shares, halves, pages, strict=True)
        ]
        if all(len(parts) == 1 for parts in halves):
            whole = [page[0] for page in pages if page is not None]
            return whole if len(whole) == len(pages) else None
        shares = [part for parts in halves for part in parts]


def _halves(share: list[Cluster], bridges: Collection[str]) -> list[list[Cluster]]:
    """A page's wires in two parts of about equal load: between clusters, else within the only one; itself if it is one wire.

    `bridges` join two junctions: a page of these alone would have no device, so they stay with a neighbour.
    """
    parts: list[Cluster] = []
    for cluster in share if len(share) > 1 else [(wire,) for wire in share[0]]:
        if parts and (set(cluster) <= set(bridges) or set(parts[-1]) <= set(bridges)):
            parts[-1] += cluster
        else:
            parts.append(cluster)
    if len(parts) == 1 and len(share) > 1:
        return _halves(parts, bridges)
    share = parts
    half, done = sum(map(len, share)) / 2, 0
    for n, cluster in enumerate(share):
        if n and done + len(cluster) / 2 > half:
            return [share[:n], share[n:]]
        done += len(cluster)
    return [share] if len(share) < 2 else [share[:-1], share[-1:]]


def numbered(pages: Sequence[Layout], house: House) -> tuple[Layout, ...]:
    """Pages with their numbers, and references between them with the grid zone of the bar that they lead to."""
    zones = {(bar.end, n): zone_at(house, bar.points[0]) for n, page in enumerate(pages, 1) for bar in page.bars}
    return tuple(
        replace(page, page=n, pages=len(pages), offs=tuple(replace(o, zone=zones[o.end, o.page]) for o in page.offs))
        for n, page in enumerate(pages, 1)
    )

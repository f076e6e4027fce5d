"""Cutting a door that is too large for one page: by circuit, and within a circuit by the device that its cables serve.

Every conductor is whole on one page.  What has conductors on several pages, a strip or a screw, appears on each of them;
strips carry a reference to the page and grid zone where they come back.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import replace

from wiregen.drafting.frame import zone_at
from wiregen.drafting.model import Layout
from wiregen.reading.model import House
from wiregen.wiring.model import End, WiredDevice, Wiring

CIRCUITS = ("lock power", "power", "fire", "drive", "input", "data", "earth")  # in the order of the pages

Cluster = tuple[str, ...]


def clusters(wiring: Wiring) -> list[Cluster]:
    """Wires that should stay together, in the order of their circuits.

    What is landed on one device away from the hub, and on those that hang on it without passing the hub (a lock behind a
    hinge, a calmer), stays together with the cables that serve them; wires of the hub go by circuit.
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
    groups: dict[tuple[int, int], list[str]] = defaultdict(list)
    rank: dict[str, int] = {}
    for c in wiring.conductors:
        outer = next((e.device for e in (c.a, c.b) if e.device in far), served.get(c.cable or ""))
        circuit = CIRCUITS.index(c.circuit) if c.circuit in CIRCUITS else len(CIRCUITS)
        if outer is None:
            groups[circuit, -1].append(c.wire)
        else:
            groups[rank.setdefault(root(outer), circuit), order[root(outer)]].append(c.wire)
    groups[len(CIRCUITS) + 1, -1] = [link.ref for link in wiring.links]
    return [tuple(groups[key]) for key in sorted(groups) if groups[key]]


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


Draw = Callable[[frozenset[str], bool, Mapping[End, Sequence[int]]], Layout | None]


def cut(wiring: Wiring, parts: Sequence[Cluster], draw: Draw, most: int) -> list[Layout] | None:
    """The fewest pages of about equal load, each of which can be drawn; None if that takes more than `most`.

    `draw` gets the wires of a page, whether it is the last one, which takes the devices without any, and the other pages
    of each junction.
    """
    total = sum(map(len, parts))
    landed = {j.end: {c.wire for c in wiring.conductors if j.end in (c.a, c.b)} for j in wiring.junctions}
    for pages in range(2, min(len(parts), most) + 1):
        shares = [frozenset(w for cluster in part for w in cluster) for part in _shares(parts, total / pages)]
        on = {
            j.end: [n for n, wires in enumerate(shares, 1) if wires & landed[j.end]] for j in wiring.junctions
        }
        found = []
        for n, wires in enumerate(shares, 1):
            page = draw(wires, n == len(shares), {end: [m for m in there if m != n] for end, there in on.items()})
            if page is None:
                break
            found.append(page)
        else:
            return found
    single = [(w,) for cluster in parts for w in cluster]
    if len(parts) < min(len(single), most):
        return cut(wiring, single, draw, most)
    return None


def _shares(parts: Sequence[Cluster], load: float) -> Iterator[list[Cluster]]:
    share: list[Cluster] = []
    done, bound = 0, load
    for part in parts:
        if share and done + len(part) / 2 > bound:
            yield share
            share, bound = [], bound + load
        share.append(part)
        done += len(part)
    yield share


def numbered(pages: Sequence[Layout], house: House) -> tuple[Layout, ...]:
    """Pages with their numbers, and references between them with the grid zone of the bar that they lead to."""
    zones = {(bar.end, n): zone_at(house, bar.points[0]) for n, page in enumerate(pages, 1) for bar in page.bars}
    return tuple(
        replace(page, page=n, pages=len(pages), offs=tuple(replace(o, zone=zones[o.end, o.page]) for o in page.offs))
        for n, page in enumerate(pages, 1)
    )

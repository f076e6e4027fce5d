"""What a page has to show, as a bare graph: devices, junctions, and nets of two ends between them."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Collection, Iterator, Mapping
from dataclasses import dataclass, replace

from wiregen.reading.model import Changeover, Contact, DataSheet, Group, Pass
from wiregen.wiring.model import End, Wiring

NO_BLANKS: Mapping[str, str] = {}


@dataclass(frozen=True)
class Net:
    """A conductor or link.  An end is the index of a device, or ~index of a junction."""

    wire: str
    ends: tuple[int, int]
    at: tuple[End, End]
    colour: str
    label: str
    cable: str | None
    link: bool


@dataclass(frozen=True)
class Node:
    """A device; `nets` are (net, which end) in the order of the wiring.  `host`: the one device that it lies across."""

    ref: str
    place: str
    exposed: bool
    name: str
    nets: tuple[tuple[int, int], ...]
    ordinal: dict[str, int]
    across: tuple[tuple[str, str], ...]  # terminals between which a contact or a core lies inside
    sheet: DataSheet
    host: int | None = None


@dataclass(frozen=True)
class Joint:
    """A junction, its box and the place of that."""

    end: End
    place: str
    nets: tuple[tuple[int, int], ...]


@dataclass(frozen=True)
class Graph:
    nodes: tuple[Node, ...]
    joints: tuple[Joint, ...]
    nets: tuple[Net, ...]


def graph_of(
    wiring: Wiring, wires: Collection[str] | None = None, idle: bool = True, blanks: Mapping[str, str] = NO_BLANKS
) -> Graph:
    """The graph of a door, or of those conductors and links alone that a page carries.

    `idle`: with the devices on which nothing is landed at all.  `blanks` stand behind the numbers of conductors whose labels
    are to have room for more.
    """
    junctions = {j.end: n for n, j in enumerate(wiring.junctions)}
    refs = list(wiring.devices)
    index = {ref: n for n, ref in enumerate(refs)}
    at_joint: dict[int, list[tuple[int, int]]] = defaultdict(list)
    at_device: dict[int, list[tuple[int, int]]] = defaultdict(list)
    nets: list[Net] = []

    def add(wire: str, ends: tuple[End, End], colour: str, label: str, cable: str | None, link: bool) -> None:
        found: list[int] = []
        for which, end in enumerate(ends):
            if end in junctions:
                found.append(~junctions[end])
                at_joint[junctions[end]].append((len(nets), which))
            else:
                found.append(index[end.device])
                at_device[index[end.device]].append((len(nets), which))
        nets.append(Net(wire, (found[0], found[1]), ends, colour, label, cable, link))

    for c in wiring.conductors:
        if wires is None or c.wire in wires:
            add(c.wire, (c.a, c.b), c.colour, f"{c.colour} {c.wire}{blanks.get(c.wire, '')}", c.cable, False)
    for link in wiring.links:
        if wires is None or link.ref in wires:
            add(link.ref, (link.a, link.b), "BU", link.ref + blanks.get(link.ref, ""), link.ref, True)

    landed = {e.device for c in wiring.conductors for e in (c.a, c.b)} | {e.device for k in wiring.links for e in (k.a, k.b)}
    keep = [n for n in range(len(refs)) if at_device[n] or (idle and refs[n] not in landed)]
    keep_joint = [n for n in range(len(wiring.junctions)) if at_joint[n]]
    new = {old: n for n, old in enumerate(keep)} | {~old: ~n for n, old in enumerate(keep_joint)}
    nets = [Net(n.wire, (new[n.ends[0]], new[n.ends[1]]), n.at, n.colour, n.label, n.cable, n.link) for n in nets]
    nodes = []
    for old in keep:
        device = wiring.devices[refs[old]]
        ordinal = {t.mark: t.ordinal for t in device.sheet.terminals}
        name = device.sheet.name or device.sheet.type
        host = _host(new[old], at_device[old], nets) if device.origin == "stock" else None
        across = tuple(pair for group in device.sheet.groups.values() for pair in _across(group))
        landings = tuple(at_device[old])
        nodes.append(Node(refs[old], device.place, device.exposed, name, landings, ordinal, across, device.sheet, host))
    joints = tuple(Joint(wiring.junctions[n].end, wiring.junctions[n].place, tuple(at_joint[n])) for n in keep_joint)
    return Graph(tuple(nodes), joints, tuple(nets))


def without_hosts(graph: Graph) -> Graph:
    """The same, with calmers as devices like all others."""
    return replace(graph, nodes=tuple(replace(node, host=None) for node in graph.nodes))


def _across(group: Group) -> Iterator[tuple[str, str]]:
    if isinstance(group, Contact | Pass) and group.marks:
        yield group.marks[0], group.marks[1]
    elif isinstance(group, Changeover):
        yield from ((group.common, group.make), (group.common, group.break_))


def _host(node: int, landed: list[tuple[int, int]], nets: list[Net]) -> int | None:
    """The device that a calmer lies across: all its leads go there, to terminals of their own."""
    others = {nets[n].ends[1 - which] for n, which in landed}
    marks = {nets[n].at[1 - which].terminal for n, which in landed}
    (other,) = others if len(others) == 1 else (None,)
    return other if other is not None and other >= 0 and other != node and len(marks) == len(landed) else None

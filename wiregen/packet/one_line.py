"""The one-line of the site: places, power, network and fire interfaces as trees, from what feeds to the doors that are fed."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import replace
from itertools import groupby

from wiregen.packet.content import Notes, OneLine, Section, blocks
from wiregen.packet.loads import ports
from wiregen.packet.one_line_tree import Branch, Node
from wiregen.packet.paper import room
from wiregen.packet.wording import length, named, plural
from wiregen.reading.conditions import mentions
from wiregen.reading.model import Device, Gives, Input, Jack, Relation, Site, Target
from wiregen.study.model import Study
from wiregen.wiring.logic import spares
from wiregen.wiring.model import Wiring

DEEP = 5  # boxes side by side on a page; what lies deeper begins a tree of its own
FEEDS = ("from",)
ACTS = ("through", "obeys")


def one_line(site: Site, wirings: Mapping[str, Wiring], studies: Mapping[str, Study]) -> Section:
    tall = room(site.house.paper)[1]
    power, acts = _Power(site, wirings), _Acts(site, wirings)

    def drawn(caption: str, roots: Sequence[Node]) -> OneLine | None:
        return OneLine(caption, cut(roots, DEEP), site.house.symbols, tall) if roots else None

    return Section(
        key="one-line",
        title="One-line of the site",
        blocks=blocks(
            drawn("Places, and the runs between them", _places(site, wirings)),
            drawn("Power: mains, supplies, batteries, fuses, doors by feed", power.roots()),
            drawn("Network, and power over it: switches, ports, doors by feed", _network(site, wirings, studies)),
            drawn("Fire interfaces, and what they act upon", acts.roots(power)),
            Notes(
                (
                    "Mains is the electrician's; the fire interface is the fire-alarm contractor's, panel on test first.",
                    "A box is one device or door; on a line stands the output, fuse, port or contact that it leaves by.",
                ),
                across=2,
                caption="How to read the one-line",
            ),
        ),
    )


def cut(roots: Sequence[Node], deep: int) -> tuple[Node, ...]:
    """Trees no more than so many boxes deep: a box that would lie deeper begins a tree of its own behind its tree."""
    found: list[Node] = []
    waiting = list(roots)
    while waiting:
        later: list[Node] = []
        found.append(_pruned(waiting.pop(0), deep, later))
        waiting = later + waiting
    return tuple(found)


def _pruned(node: Node, deep: int, later: list[Node]) -> Node:
    if deep == 1 and node.branches:
        later.append(node)
        return replace(node, branches=(), words=(*node.words, "goes on in a tree of its own"))
    kept = tuple(replace(branch, to=_pruned(branch.to, deep - 1, later)) for branch in node.branches)
    return replace(node, branches=kept)


def _doors(site: Site, wirings: Mapping[str, Wiring]) -> Iterator[tuple[str, Device]]:
    for door in site.doors.values():
        if door.id in wirings:
            yield from ((door.id, device) for device in door.devices.values())


def _device(device: Device, words: Sequence[str] = (), branches: Sequence[Branch] = ()) -> Node:
    return Node(device.ref, device.sheet.name, device.place, tuple(words), tuple(branches))


# ---- places ----------------------------------------------------------------------------------------------------------


def _places(site: Site, wirings: Mapping[str, Wiring]) -> tuple[Node, ...]:
    places = dict.fromkeys(
        (*(d.place for d in site.shared.values()), *(p for place, run in site.runs.items() for p in (run.parent, place)))
    )
    doors: dict[str, list[str]] = {}
    for door in site.doors.values():
        if door.id in wirings:
            starts = {run.parent for run in door.runs.values() if run.parent not in door.runs}
            for start in sorted(starts & places.keys()) or [""]:
                doors.setdefault(start, []).append(door.id)

    here: dict[str, list[str]] = {}
    for ref, device in site.shared.items():
        here.setdefault(device.place, []).append(ref)

    def node(place: str) -> Node:
        words = [", ".join(here[place])] if place in here else []
        words += [f"doors: {named(doors[place])}"] if place in doors else []
        further = (at for at, run in site.runs.items() if run.parent == place)
        return Node(place, "", "", tuple(words), tuple(Branch(_run(site, at), "", "", node(at)) for at in further))

    return tuple(node(place) for place in places if place and place not in site.runs)


def _run(site: Site, place: str) -> str:
    run = site.runs[place]
    return length(run.length.nominal, site.house, run.length.assumed)


# ---- power -----------------------------------------------------------------------------------------------------------


class _Power:
    """Mains and what is fed from it, down to the doors; batteries stand at the supplies that live on them."""

    def __init__(self, site: Site, wirings: Mapping[str, Wiring]) -> None:
        self.site = site
        self.fed: dict[str, list[tuple[str, Relation, Target]]] = {}  # by what feeds: device of the site that is fed
        self.batteries: dict[str, list[tuple[Relation, Target]]] = {}
        for ref, device in site.shared.items():
            feeds = [(r, t) for r in device.relations if r.kind in FEEDS for t in r.targets]
            for n, (relation, target) in enumerate(feeds):
                if n and target.device in site.shared:
                    self.batteries.setdefault(ref, []).append((relation, target))
                else:
                    self.fed.setdefault(target.word or target.device, []).append((ref, relation, target))
        self.doors: dict[str, dict[str, dict[str, list[str]]]] = {}  # by device, by output: door → its devices
        for door, device in _doors(site, wirings):
            for relation in device.relations:
                for target in relation.targets if relation.kind in FEEDS else ():
                    outer = target.device in site.shared and target.device not in site.doors[door].devices
                    if target.word == "mains" or (outer and not isinstance(self._group(target), Jack)):
                        outputs = self.doors.setdefault(target.word or target.device, {})
                        outputs.setdefault(target.group or "", {}).setdefault(door, []).append(device.ref)

    def _group(self, target: Target) -> object:
        return self.site.shared[target.device].sheet.groups.get(target.group or "") if target.device else None

    def roots(self) -> tuple[Node, ...]:
        """Mains, then what nothing is named to feed and that feeds something itself."""
        inner = {target.device for batteries in self.batteries.values() for _, target in batteries}
        fed = {ref for of in self.fed.values() for ref, _, _ in of}
        feeding = dict.fromkeys((*self.fed, *self.doors))
        loose = [ref for ref in feeding if ref in self.site.shared and ref not in fed | inner]
        mains = Node("Mains", "", "", (), tuple(self._branches("mains", ())))
        return (*([mains] if mains.branches else []), *(self.node(ref, ()) for ref in loose))

    def node(self, ref: str, above: tuple[str, ...]) -> Node:
        device = self.site.shared[ref]
        batteries = [
            Branch(relation.own or "", "battery", "", _device(self.site.shared[target.device]), inward=True)
            for relation, target in self.batteries.get(ref, ())
        ]
        return _device(device, tuple(_spare(device, self._used(ref))), (*batteries, *self._branches(ref, above)))

    def _used(self, ref: str) -> set[str]:
        return {t.group or "" for _, _, t in self.fed.get(ref, ())} | self.doors.get(ref, {}).keys()

    def _branches(self, ref: str, above: tuple[str, ...]) -> Iterator[Branch]:
        """In the order of the outputs; what feeds itself through others is followed once."""
        if ref in above:
            return
        found: list[tuple[str, Node]] = [(t.group or "", self.node(to, (*above, ref))) for to, _, t in self.fed.get(ref, ())]
        for output, doors in self.doors.get(ref, {}).items():
            found += [(output, _door(self.site, door, refs)) for door, refs in doors.items()]
        order = {name: n for n, name in enumerate(self.site.shared[ref].sheet.groups)} if ref in self.site.shared else {}
        for output, node in sorted(found, key=lambda each: order.get(each[0], -1)):
            group = self.site.shared[ref].sheet.groups.get(output) if ref in self.site.shared else None
            limit = group.limit.text if isinstance(group, Gives) and group.limit else ""
            look = "fuse" if isinstance(group, Gives) and group.limit_kind == "fuse" else ""
            yield Branch(output, look, limit, node)

    def behind(self, ref: str, outputs: Sequence[str]) -> Iterator[str]:
        """Doors that hang on these outputs of a device, directly or through others."""
        for output, doors in self.doors.get(ref, {}).items():
            if output in outputs:
                yield from doors
        for to, _, target in self.fed.get(ref, ()):
            if target.group in outputs:
                groups = self.site.shared[to].sheet.groups.values()
                yield from self.behind(to, [group.name for group in groups if isinstance(group, Gives)])


def _spare(device: Device, used: set[str]) -> Iterator[str]:
    free = [group.name for group in device.sheet.groups.values() if isinstance(group, Gives) and group.name not in used]
    if free and used:
        yield f"free: {named(free)}"


def _door(site: Site, door: str, refs: Sequence[str]) -> Node:
    return Node(door, f"{site.doors[door].name}: {named(refs)}", "")


# ---- network ---------------------------------------------------------------------------------------------------------


def _network(site: Site, wirings: Mapping[str, Wiring], studies: Mapping[str, Study]) -> tuple[Node, ...]:
    found = list(ports(site, wirings, studies))
    roots = []
    for switch, its in groupby(found, lambda port: port.switch):
        own = list(its)
        branches = []
        for port in (port for port in own if port.on):
            gives = "data only" if port.granted is None else f"class {port.granted}"
            to = Node(port.door, f"{site.doors[port.door].name}: {port.on}", "") if port.door else Node(port.on, "", "", ())
            branches.append(Branch(port.port, "link", gives, to))
        free = sum(not port.on for port in own)
        words = (f"{plural(len(own), 'port')}, {free} free",)
        roots.append(_device(site.shared[switch], words, branches))
    return tuple(roots)


# ---- fire ------------------------------------------------------------------------------------------------------------


class _Acts:
    """Contacts of the fire system, and what stands in their circuits or follows them."""

    def __init__(self, site: Site, wirings: Mapping[str, Wiring]) -> None:
        self.site = site
        self.on: dict[tuple[str, str], list[tuple[str | None, str, Relation]]] = {}  # by contact: door or None, device
        for ref, device in site.shared.items():
            self._note(None, ref, device)
        for door, device in _doors(site, wirings):
            self._note(door, device.ref, device)

    def _note(self, door: str | None, ref: str, device: Device) -> None:
        own = self.site.doors[door].devices if door else {}
        for relation in device.relations:
            for target in relation.targets if relation.kind in ACTS else ():
                if target.group and target.device in self.site.shared and target.device not in own and not target.door:
                    self.on.setdefault((target.device, target.group), []).append((door, ref, relation))

    def roots(self, power: _Power) -> tuple[Node, ...]:
        found = []
        for ref, device in self.site.shared.items():
            fire = [group.name for group in device.sheet.groups.values() if mentions(group, "fire")]
            if fire:
                free = [name for name in fire if (ref, name) not in self.on]
                words = [f"free: {named(free)}"] if free else []
                branches = [branch for name in fire for branch in self._branches(ref, name, power, (ref,))]
                found.append(_device(device, words, branches))
        return tuple(found)

    def _branches(self, ref: str, contact: str, power: _Power, above: tuple[str, ...]) -> Iterator[Branch]:
        by_door: dict[str, list[str]] = {}
        for door, acted, relation in self.on.get((ref, contact), ()):
            if door:
                by_door.setdefault(door, []).append(f"{acted}{'.' + relation.own if relation.own else ''}")
            else:
                yield Branch(contact, "contact", "", self._acted(acted, relation, power, above))
        for door, refs in by_door.items():
            yield Branch(contact, "contact", "", _door(self.site, door, refs))

    def _acted(self, ref: str, relation: Relation, power: _Power, above: tuple[str, ...]) -> Node:
        """A device of the site that a contact acts upon, with what follows: its own contacts, or what hangs on its outputs."""
        device = self.site.shared[ref]
        own = device.sheet.groups.get(relation.own or "")
        words = [f"{own.name}: {own.does}"] if isinstance(own, Input) and own.does else []
        outputs = [g.name for g in device.sheet.groups.values() if isinstance(g, Gives)]
        struck = [name for name in outputs if not (isinstance(own, Input) and spares(own, name))]
        doors = list(dict.fromkeys(power.behind(ref, struck)))
        words += [f"doors: {named(doors)}"] if doors else []
        branches = (
            branch
            for name in device.sheet.groups
            if ref not in above
            for branch in self._branches(ref, name, power, (*above, ref))
        )
        return _device(device, words, tuple(branches))

"""Works out from a door's spec alone which terminals must be joined: the termination table, read naively, row by row.

Written apart from the wiring stage and knowing nothing of cables, splices, wire numbers or order.  It takes one choice
from the wiring, make or break for each change-over in a lock circuit; whether it gives what `want` asks, `states.py` tells.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field

from tests.proof.trace import Groups
from wiregen.reading.model import (
    Changeover,
    Contact,
    Device,
    Door,
    Drive,
    Earth,
    Gives,
    Group,
    Input,
    Jack,
    Line,
    Pass,
    Relation,
    Site,
    Takes,
    Target,
)

Terminal = tuple[str, str]
FITS: Mapping[str, tuple[tuple[type, type], ...]] = {  # relation -> kinds of the own group and of the target's
    "from": ((Takes, Gives), (Takes, Takes), (Jack, Jack)),
    "tells": ((Contact, Input), (Changeover, Input), (Contact, Contact), (Drive, Input), (Contact, Changeover)),
    "obeys": ((Input, Contact), (Input, Changeover), (Input, Drive), (Takes, Drive), (Line, Line)),
    "speaks": ((Line, Line), (Jack, Jack)),
    "earths": ((Earth, Earth),),
}
IDLE_TRUE = frozenset({"powered", "mains", "shut", "latched", "bonded", "thrown"})  # what holds when nothing happens


class OracleError(Exception):
    """The spec cannot be read as the table says."""


@dataclass
class Answer:
    """Joined pairs (from, to, row of the table), references that are needed only where nothing else joins them, and links."""

    edges: list[tuple[Terminal, Terminal, str]] = field(default_factory=list)
    refs: list[tuple[Terminal, Terminal, str]] = field(default_factory=list)
    links: list[tuple[Terminal, Terminal]] = field(default_factory=list)


class Oracle:
    """One door; `sides` maps (load, load's group, pole, contact's device, its group) to make, break or None."""

    def __init__(self, site: Site, door: Door, sides: Mapping[tuple[str, str, str, str, str], str | None]) -> None:
        self.site, self.door, self.sides = site, door, sides
        self.answer = Answer()

    def solve(self) -> Answer:
        series = self._series()
        for ref, device in self.door.devices.items():
            for relation in device.relations:
                if relation.kind != "through":
                    self._relation(ref, device, relation, series)
        for added in self.door.add:
            self._edge((added.from_.device, added.from_.terminal or ""), (added.to.device, added.to.terminal or ""), "added")
        for one, other in self.door.drop:
            pair = {(one.device, one.terminal or ""), (other.device, other.terminal or "")}
            kept = [e for e in self.answer.edges if {e[0], e[1]} != pair]
            if len(kept) == len(self.answer.edges):
                raise OracleError(f"nothing to drop between {sorted(pair)}")
            self.answer.edges = kept
        return self.answer

    # ---- finding what a relation means ------------------------------------------------------------------------------

    def key(self, target: Target) -> str:
        if target.door and target.door != self.door.id:
            return f"{target.door}/{target.device}"
        return target.device

    def device(self, key: str) -> Device:
        if "/" in key:
            home, ref = key.split("/")
            return self.site.doors[home].devices[ref]
        return self.door.devices.get(key) or self.site.shared[key]

    def fit(self, kind: str, device: Device, own: str | None, target: Target) -> tuple[Group, Group]:
        """The one pair of groups that the relation can mean."""
        there = self.device(self.key(target))
        mine = [device.sheet.groups[own]] if own else list(device.sheet.groups.values())
        theirs = [there.sheet.groups[target.group]] if target.group else list(there.sheet.groups.values())
        pairs = [(m, t) for m in mine for t in theirs
                 if any(type(m) is a and type(t) is b for a, b in FITS[kind]) and self._agree(kind, m, t)]  # fmt: skip
        if len(pairs) != 1:
            raise OracleError(f"{device.ref} {kind} {target}: {len(pairs)} pairs of groups fit")
        return pairs[0]

    def _agree(self, kind: str, mine: Group, theirs: Group) -> bool:
        if isinstance(mine, Line) and isinstance(theirs, Line):
            return mine.protocol == theirs.protocol
        if isinstance(mine, Jack) and isinstance(theirs, Jack) and kind == "from":
            return theirs.poe == "out" and mine.poe == "in"
        if isinstance(mine, Takes) and isinstance(theirs, (Gives, Takes)):
            return mine.current == theirs.current
        return True

    def _series(self) -> dict[tuple[str, str], list[tuple[str, str]]]:
        """For each contact, the contacts that are to stand in series with it, in the order written."""
        found: dict[tuple[str, str], list[tuple[str, str]]] = {}
        for ref, device in self.door.devices.items():
            for relation in device.relations:
                if relation.kind == "tells":
                    own, target = self.fit("tells", device, relation.own, relation.target)
                    if isinstance(target, (Contact, Changeover)):
                        found.setdefault((self.key(relation.target), target.name), []).append((ref, own.name))
        return found

    # ---- the rows ---------------------------------------------------------------------------------------------------

    def _edge(self, a: Terminal, b: Terminal, row: str) -> None:
        self.answer.edges.append((a, b, row))

    def _ref(self, a: Terminal, b: Terminal, row: str) -> None:
        self.answer.refs.append((a, b, row))

    def _relation(
        self, ref: str, device: Device, relation: Relation, series: dict[tuple[str, str], list[tuple[str, str]]]
    ) -> None:
        target = relation.target
        if target.word:
            return  # T3: mains, landed by an electrician
        own, their = self.fit(relation.kind, device, relation.own, target)
        key = self.key(target)
        rows = {"from": self._from, "tells": self._tells, "obeys": self._obeys, "speaks": self._speaks, "earths": self._earths}
        rows[relation.kind](ref, own, key, their, relation, series)

    def _from(self, ref: str, own: Group, key: str, their: Group, relation: Relation, series: object) -> None:
        if isinstance(own, Jack) and isinstance(their, Jack):
            self._hops(ref, own, key, their)  # T4
            return
        assert isinstance(own, Takes)
        assert isinstance(their, (Gives, Takes))
        row = "T1" if isinstance(their, Gives) else "T2"
        assert own.first
        assert own.second
        assert their.first
        assert their.second
        sink = self._sink(ref, own)
        self._chain(ref, own, "plus", (key, their.first), (ref, own.first), row)
        if sink:
            drive_key, drive = sink
            self._edge((ref, own.second), (drive_key, drive.out), "T11")
            self._ref((drive_key, drive.ref), (key, their.second), "T11")
        else:
            self._chain(ref, own, "minus", (key, their.second), (ref, own.second), row)

    def _sink(self, ref: str, own: Takes) -> tuple[str, Drive] | None:
        device = self.door.devices[ref]
        for relation in device.relations:
            if relation.kind == "obeys":
                mine, theirs = self.fit("obeys", device, relation.own, relation.target)
                if mine is own and isinstance(theirs, Drive) and theirs.sinks is not None:
                    return self.key(relation.target), theirs
        return None

    def _chain(self, ref: str, own: Takes, pole: str, source: Terminal, load: Terminal, row: str) -> None:
        device = self.door.devices[ref]
        house = self.site.house.break_
        here = [r for r in device.relations if r.kind == "through" and (r.pole or house) == pole and r.own in (None, own.name)]
        at, end = (source, load) if pole == "plus" else (load, source)  # written in the order plus, own, minus
        for relation in here:
            ways = [self._pass_of(ref, own, pole, target) for target in relation.targets]
            for enters, _ in ways:
                self._edge(at, enters, "T5")
            for _, leaves in ways[1:]:
                self._edge(ways[0][1], leaves, "T5")
            at = ways[0][1]
        self._edge(at, end, row)

    def _pass_of(self, ref: str, own: Takes, pole: str, target: Target) -> tuple[Terminal, Terminal]:
        """Where a circuit enters and leaves a contact: by its first or common, by its second or the side taken."""
        key = self.key(target)
        groups = self.device(key).sheet.groups
        fits = (
            [groups[target.group]]
            if target.group
            else [g for g in groups.values() if isinstance(g, (Contact, Changeover, Pass))]
        )
        if len(fits) != 1:
            raise OracleError(f"{ref} through {target}: {len(fits)} groups fit")
        group = fits[0]
        side = self.sides.get((ref, own.name, pole, key, group.name), "not passed")
        if side == "not passed" or (target.side and side != target.side):
            raise OracleError(f"{ref} is to go through {target} in its {pole}, the wiring takes: {side}")
        if isinstance(group, Changeover):
            return (key, group.common), (key, group.make if side == "make" else group.break_)
        return (key, group.marks[0]), (key, group.marks[1])

    def _hops(self, ref: str, own: Jack, key: str, their: Jack) -> None:
        device = self.door.devices[ref]
        at = (key, their.mark)
        for relation in device.relations:
            if relation.kind == "through":
                patch = self.device(self.key(relation.target)).sheet.groups[relation.target.group or ""]
                if isinstance(patch, Pass) and patch.jacks:
                    near, far = patch.jacks
                    self.answer.links.append((at, (self.key(relation.target), near)))
                    at = (self.key(relation.target), far)
        self.answer.links.append((at, (ref, own.mark)))

    def _tells(self, ref: str, own: Group, key: str, their: Group, relation: Relation,
               series: dict[tuple[str, str], list[tuple[str, str]]]) -> None:  # fmt: skip
        if isinstance(their, (Contact, Changeover)):
            return  # T10 is laid from the contact that reports
        assert isinstance(their, Input)
        if isinstance(own, Drive):
            self._edge((ref, own.out), (key, their.in_), "T16")
            self._ref((ref, own.ref), (key, their.ref), "T16")
            return
        self._reports(ref, own, relation, key, their, series)

    def _reports(self, ref: str, own: Group, written: Relation, key: str, their: Input,
                 series: Mapping[tuple[str, str], list[tuple[str, str]]]) -> None:  # fmt: skip
        """A contact, and those in series with it, between an input and its reference."""
        first, second = self.ends(ref, own, their, written.target.side if written.kind == "obeys" else None)
        self._edge((key, their.in_), (ref, first), "T7" if isinstance(own, Changeover) else "T6")
        at = (ref, second)
        for more_ref, more in series.get((ref, own.name), ()):
            group = self.device(more_ref).sheet.groups[more]
            a, b = self.ends(more_ref, group, their, None)
            self._edge(at, (more_ref, a), "T10")
            at = (more_ref, b)
        self._edge(at, (key, their.ref), "T7" if isinstance(own, Changeover) else "T6")

    def ends(self, ref: str, own: Group, their: Input, side: str | None) -> tuple[str, str]:
        """The terminals of a contact at an input and at its reference."""
        if isinstance(own, Contact):
            return own.between
        assert isinstance(own, Changeover)
        if side is None and their.active in ("open", "closed"):
            moved = all(any(self._holds_in_idle(w, ref) for w in c.any_of) != c.negated for c in own.moves_when)
            closed_in_idle = "make" if moved else "break"
            other = "break" if moved else "make"
            side = other if their.active == "closed" else closed_in_idle
        return (own.break_ if side == "break" else own.make), own.common

    def _holds_in_idle(self, word: str, ref: str) -> bool:
        """What is fed by an output has power when nothing happens; a coil that hangs on a driven line is at rest."""
        device = self.device(ref)
        fed = any(r.kind == "from" for r in device.relations)
        takes = any(isinstance(g, (Takes, Jack)) for g in device.sheet.groups.values())
        return word in IDLE_TRUE and (word != "powered" or fed or not takes)

    def _obeys(self, ref: str, own: Group, key: str, their: Group, relation: Relation, series: object) -> None:
        if isinstance(own, Line):
            self._speaks(ref, own, key, their, relation, series)
        elif isinstance(own, Takes):
            assert isinstance(their, Drive)
            if their.sinks is None:  # T12; one that sinks is T11, laid with `from`
                assert own.first
                assert own.second
                self._edge((key, their.out), (ref, own.first), "T12")
                self._edge((key, their.ref), (ref, own.second), "T12")
        elif isinstance(their, Drive):
            assert isinstance(own, Input)
            self._edge((key, their.out), (ref, own.in_), "T9")
            self._ref((key, their.ref), (ref, own.ref), "T9")
        else:
            assert isinstance(own, Input)
            self._reports(key, their, relation, ref, own, {})

    def _speaks(self, ref: str, own: Group, key: str, their: Group, relation: Relation, series: object) -> None:
        if isinstance(own, Jack):
            assert isinstance(their, Jack)
            self.answer.links.append(((key, their.mark), (ref, own.mark)))  # T14
            return
        assert isinstance(own, Line)
        assert isinstance(their, Line)
        crossed = {"tx": "rx", "rx": "tx"}
        for role, mark in own.roles.items():
            self._edge((ref, mark), (key, their.roles[crossed.get(role, role)]), "T13")
        if own.ref and their.ref:
            self._ref((ref, own.ref), (key, their.ref), "T13")

    def _earths(self, ref: str, own: Group, key: str, their: Group, relation: Relation, series: object) -> None:
        assert isinstance(own, Earth)
        assert isinstance(their, Earth)
        self._edge((ref, own.mark), (key, their.mark), "T15")


def ties(site: Site, door: Door) -> Iterator[tuple[Terminal, ...]]:
    """Terminals joined inside a device, of the door's own and of the shared ones."""
    for home, devices in (
        ("", door.devices),
        ("", site.shared),
        *((f"{d.id}/", d.devices) for d in site.doors.values() if d is not door),
    ):
        for ref, device in devices.items():
            if home or ref not in door.devices or devices is door.devices:
                for tie in device.sheet.tied:
                    yield tuple((home + ref, mark) for mark in tie)


def joined(edges: Iterable[tuple[Terminal, Terminal]], tied: Iterable[tuple[Terminal, ...]]) -> Groups:
    """All that edges and ties join."""
    groups = Groups()
    for a, b in edges:
        groups.join(a, b)
    for tie in tied:
        for other in tie[1:]:
            groups.join(tie[0], other)
    return groups


def needed(
    answer: Answer, tied: Sequence[tuple[Terminal, ...]], passes: Sequence[tuple[Terminal, ...]]
) -> list[tuple[Terminal, Terminal]]:
    """The edges, and those references that are not one potential already (L3); a pass leads straight through."""
    edges = [(a, b) for a, b, _ in answer.edges]
    so_far = joined(edges, [*tied, *passes])
    for a, b, _ in answer.refs:
        if so_far.root(a) != so_far.root(b):
            so_far.join(a, b)
            edges.append((a, b))
    return edges

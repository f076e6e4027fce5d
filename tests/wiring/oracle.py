"""Which terminals the relations of a door ask to be joined, worked out naively: one rule after another, no copper, no places.

It takes from the wiring only what wiring had to decide (which side of a changeover, which limiter) and checks that it was
free to decide it.  It knows nothing of the code under test but its values.
"""

from __future__ import annotations

from collections.abc import Iterator

from tests.wiring.points import Points
from wiregen.reading.model import Device, Door, Group, Relation, Site, Target
from wiregen.wiring.model import Wiring

KINDS = {
    "from": (("takes", "gives"), ("jack", "jack"), ("takes", "takes")),
    "tells": (
        ("contact", "input"),
        ("changeover", "input"),
        ("drive", "input"),
        ("contact", "contact"),
        ("contact", "changeover"),
        ("changeover", "contact"),
        ("changeover", "changeover"),
    ),
    "speaks": (("line", "line"), ("jack", "jack")),
    "obeys": (
        ("input", "contact"),
        ("input", "changeover"),
        ("input", "drive"),
        ("line", "line"),
        ("takes", "drive"),
    ),
    "earths": (("earth", "earth"),),
}


class Oracle:
    """Joins as pairs of names "A1:NO"."""

    def __init__(self, site: Site, door: Door, wiring: Wiring) -> None:
        self.site, self.door, self.wiring = site, door, wiring

    def points(self) -> Points:
        points = Points()
        for tied in self.wiring.ties:
            points.join(*map(str, tied))
        for one, other in [*self.pairs(), *self.added()]:
            if not self._dropped(one, other) and not (self._shared(one) and self._shared(other)):
                points.join(one, other)
        return points

    def _shared(self, name: str) -> bool:
        """L9: what lies between two shared devices is the site's."""
        ref = name.rsplit(":", 1)[0]
        return "/" not in ref and ref not in self.door.devices

    def _dropped(self, one: str, other: str) -> bool:
        return any({one, other} == {self._mark(a), self._mark(b)} for a, b in self.door.drop)

    @staticmethod
    def _mark(target: Target) -> str:
        return f"{target.device}:{target.terminal}"

    def added(self) -> Iterator[tuple[str, str]]:
        for item in self.door.add:
            yield self._mark(item.from_), self._mark(item.to)

    # ---- looking things up

    def name(self, target: Target) -> str:
        return f"{target.door}/{target.device}" if target.door and target.door != self.door.id else target.device

    def device(self, name: str) -> Device:
        if "/" in name:
            door, ref = name.split("/")
            return self.site.doors[door].devices[ref]
        return self.door.devices[name] if name in self.door.devices else self.site.shared[name]

    def fit(self, device: Device, relation: Relation) -> tuple[Group, str, Group] | None:
        """The own group, the target's name and group; None for the mains."""
        target = relation.target
        if target.word:
            return None
        other = self.device(self.name(target))
        for own_kind, other_kind in KINDS[relation.kind]:
            fitting = [
                (own, theirs)
                for own in device.sheet.groups.values()
                for theirs in other.sheet.groups.values()
                if (own.kind, theirs.kind) == (own_kind, other_kind)
                and relation.own in (None, own.name)
                and target.group in (None, theirs.name)
                and self._alike(own, theirs, relation.kind)
                and not (own is theirs and other is device)
            ]
            if fitting:
                assert len(fitting) == 1, f"{device.ref} {relation.kind} {target}: {len(fitting)} pairs fit"
                return fitting[0][0], self.name(target), fitting[0][1]
        raise AssertionError(f"{device.ref} {relation.kind} {target}: nothing fits")

    @staticmethod
    def _alike(own: Group, theirs: Group, kind: str) -> bool:
        if own.kind == theirs.kind == "jack":
            return kind == "speaks" or (own.poe, theirs.poe) == ("in", "out")  # type: ignore[attr-defined]
        if own.kind == "line":
            return own.protocol == theirs.protocol  # type: ignore[attr-defined, no-any-return]
        if own.kind == "takes":
            return own.current != "mains" and getattr(theirs, "current", "dc") in (own.current, "dc")  # type: ignore[attr-defined]
        return True

    # ---- pairs

    def pairs(self) -> Iterator[tuple[str, str]]:
        for ref, device in self.door.devices.items():
            for relation in device.relations:
                if relation.kind == "through" or (fit := self.fit(device, relation)) is None:
                    continue
                own, other, theirs = fit
                if relation.kind == "from" and own.kind == "takes":
                    yield from self.feed(ref, device, own, other, theirs)
                elif own.kind == "takes":
                    yield from self.driven(ref, device, own, other, theirs)
                elif own.kind == "line":
                    yield from self.line(ref, own, other, theirs)
                elif relation.kind == "earths":
                    yield f"{ref}:{own.mark}", f"{other}:{theirs.mark}"  # type: ignore[attr-defined]
                elif relation.kind in ("tells", "obeys") and own.kind != "jack":
                    yield from self.sensed(ref, own, other, theirs, relation)

    @staticmethod
    def two(group: Group) -> tuple[str, str]:
        return group.first, group.second  # type: ignore[attr-defined, no-any-return]

    def sink(self, device: Device, own: Group) -> tuple[str, Group] | None:
        """The drive that switches the minus of a load which is fed as well."""
        for relation in device.relations:
            if relation.kind == "obeys":
                fit = self.fit(device, relation)
                if fit is not None and fit[0] is own and fit[2].kind == "drive":
                    return fit[1], fit[2]
        return None

    def feed(self, ref: str, device: Device, own: Group, other: str, theirs: Group) -> Iterator[tuple[str, str]]:
        plus, minus = self.two(own)
        source_plus, source_minus = self.two(theirs)
        chains: dict[str, list[Relation]] = {"plus": [], "minus": []}
        for relation in device.relations:
            if relation.kind == "through" and relation.own in (None, own.name):
                chains[relation.pole or self.site.house.break_].append(relation)
        ends = [f"{other}:{source_plus}"]
        for relation in chains["plus"]:
            ways = [self.way(target, ref, own.name) for target in relation.targets]
            yield from ((end, way[0]) for way in ways for end in ends)
            ends = [way[1] for way in ways]
        yield from ((end, f"{ref}:{plus}") for end in ends)
        ends = [f"{ref}:{minus}"]
        for relation in chains["minus"]:
            ways = [self.way(target, ref, own.name) for target in relation.targets]
            yield from ((end, way[0]) for way in ways for end in ends)
            ends = [way[1] for way in ways]
        sink = self.sink(device, own)
        if sink is None:
            yield from ((end, f"{other}:{source_minus}") for end in ends)
        else:
            drive = sink[1]
            yield from ((end, f"{sink[0]}:{drive.out}") for end in ends)  # type: ignore[attr-defined]
            yield f"{sink[0]}:{drive.ref}", f"{other}:{source_minus}"  # type: ignore[attr-defined]

    def driven(self, ref: str, device: Device, own: Group, other: str, theirs: Group) -> Iterator[tuple[str, str]]:
        if theirs.level is not None:  # type: ignore[attr-defined]
            plus, minus = self.two(own)
            yield f"{other}:{theirs.out}", f"{ref}:{plus}"  # type: ignore[attr-defined]
            yield f"{other}:{theirs.ref}", f"{ref}:{minus}"  # type: ignore[attr-defined]

    def way(self, target: Target, load: str, group: str) -> tuple[str, str]:
        """Where a chain goes into a contact and out of it."""
        name = self.name(target)
        fitting = [
            g
            for g in self.device(name).sheet.groups.values()
            if g.kind in ("contact", "changeover", "pass") and target.group in (None, g.name)
        ]
        assert len(fitting) == 1, f"{target} in the chain of {load}"
        contact = fitting[0]
        if contact.kind != "changeover":
            first, second = contact.between  # type: ignore[attr-defined]
            return f"{name}:{first}", f"{name}:{second}"
        links = [
            link
            for chain in self.wiring.chains
            if (chain.load, chain.load_group) == (load, group)
            for link in chain.links
            if (link.device, link.group) == (name, contact.name)
        ]
        assert len(links) == 1
        if target.side is not None:
            assert links[0].side == target.side
        out = contact.break_ if links[0].side == "break" else contact.make  # type: ignore[attr-defined]
        return f"{name}:{contact.common}", f"{name}:{out}"  # type: ignore[attr-defined]

    def line(self, ref: str, own: Group, other: str, theirs: Group) -> Iterator[tuple[str, str]]:
        for role, mark in own.roles.items():  # type: ignore[attr-defined]
            there = {"tx": "rx", "rx": "tx"}.get(role, role)
            yield f"{ref}:{mark}", f"{other}:{theirs.roles[there]}"  # type: ignore[attr-defined]
        if own.ref and theirs.ref:  # type: ignore[attr-defined]
            yield f"{ref}:{own.ref}", f"{other}:{theirs.ref}"  # type: ignore[attr-defined]

    def sensed(self, ref: str, own: Group, other: str, theirs: Group, relation: Relation) -> Iterator[tuple[str, str]]:
        """Contacts and drives at inputs; a contact told by others stands before them in series."""
        if theirs.kind in ("contact", "changeover") and relation.kind == "tells":
            return  # drawn with the contact that it tells
        (at, input_), (source, sensor) = (
            ((other, theirs), (ref, own)) if relation.kind == "tells" else ((ref, own), (other, theirs))
        )
        in_, back = f"{at}:{input_.in_}", f"{at}:{input_.ref}"  # type: ignore[attr-defined]
        if sensor.kind == "drive":
            yield f"{source}:{sensor.out}", in_  # type: ignore[attr-defined]
            yield f"{source}:{sensor.ref}", back  # type: ignore[attr-defined]
            return
        end = in_
        side = relation.target.side if relation.kind == "obeys" else None
        for name, contact, wanted in [(source, sensor, side), *self.before(source, sensor)]:
            enter, leave = self.through_input(name, contact, wanted)
            yield end, enter
            end = leave
        yield end, back

    def before(self, name: str, sensor: Group) -> list[tuple[str, Group, None]]:
        found: list[tuple[str, Group, None]] = []
        for ref, device in self.door.devices.items():
            for relation in device.relations:
                if relation.kind == "tells" and self.name(relation.target) == name:
                    fit = self.fit(device, relation)
                    if fit is not None and fit[2] is sensor and fit[1] == name:
                        found += [(ref, fit[0], None), *self.before(ref, fit[0])]
        return found

    def through_input(self, name: str, contact: Group, side: str | None) -> tuple[str, str]:
        if contact.kind == "contact":
            first, second = contact.between  # type: ignore[attr-defined]
            return f"{name}:{first}", f"{name}:{second}"
        sides = {"make": contact.make, "break": contact.break_}  # type: ignore[attr-defined]
        dropped = {self._mark(t) for pair in self.door.drop for t in pair}
        used = [one for one, mark in sides.items() if mark in self.wiring.devices[name].used or f"{name}:{mark}" in dropped]
        assert len(used) == 1, f"{name}.{contact.name}: landed on {used}"
        if side is not None:
            assert used == [side]
        return f"{name}:{sides[used[0]]}", f"{name}:{contact.common}"  # type: ignore[attr-defined]

"""Variants of a door that differ only in what powers its controller and what powers its locks.

Every way to feed the controller meets every way to feed the locks.  What could not work by volts alone is told and not
wired.  A supply of the door's own that nothing hangs on any more goes.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, field, replace

from wiregen.feeds.model import WRITTEN, Candidate
from wiregen.feeds.offers import Offers, fire_input, intake, jack, output, within
from wiregen.reading.model import Band, DataSheet, Device, Door, Gives, Jack, Relation, RelationKind, Site, Takes, Target
from wiregen.review.paste import free_ref
from wiregen.study.copper import output_volts

CONTROLLER = "controller"


@dataclass(frozen=True)
class Source:
    """Something to hang a load on: `target` to write, its volts, devices to add, the port that the network comes from."""

    name: str
    target: Target
    volts: Band | None
    added: Mapping[str, Device] = field(default_factory=dict)
    data: Target | None = None


def candidates(offers: Offers, others: Sequence[Door]) -> Iterator[Candidate]:
    """As written first, then the spec's own overlays, then the generated ones; none twice."""
    door = offers.door
    yield Candidate(WRITTEN, WRITTEN, door, feed=door.feed or "")
    seen = [_hung(one.devices) for one in (door, *others)]
    misfits = set()
    for other in others:
        yield Candidate("", "", other, feed=other.feed or "")
    for candidate in _Maker(offers).all():
        if candidate.door is None:
            if (candidate.controller, candidate.lock) not in misfits:  # volts do not depend on how the other is fed
                misfits.add((candidate.controller, candidate.lock))
                yield candidate
        elif (hung := _hung(candidate.door.devices)) not in seen:
            seen.append(hung)
            yield candidate


def _hung(devices: Mapping[str, Device]) -> dict[str, object]:
    """What devices are and hang on, whatever line of the spec says so and in whichever order."""
    return {
        ref: (d.sheet.type, d.place, frozenset((r.kind, r.targets, r.pole) for r in d.relations)) for ref, d in devices.items()
    }


class _Maker:
    def __init__(self, offers: Offers) -> None:
        self.offers, self.site, self.door = offers, offers.site, offers.door
        controllers = (d for d in self.door.devices.values() if d.sheet.is_ == "controller" and _inlets(d.sheet))
        self.controller = next(controllers, None)
        self.locks = [d for d in self.door.devices.values() if d.sheet.is_ == "lock" and self._movable(d)]

    def all(self) -> Iterator[Candidate]:
        for fed, door, source in self._controllers():
            if door is None:
                yield Candidate(fed.name, "", None, fed.wrong, fed.cure)
                continue
            yield Candidate(fed.name, WRITTEN if self.locks else "", self._tidy(door))
            for lock in self._lock_sources(door, source):
                yield self._with_lock(fed.name, door, lock)

    # ---- the controller

    def _controllers(self) -> Iterator[tuple[_Fed, Door | None, Source | None]]:
        yield _Fed(WRITTEN if self.controller else ""), self.door, None
        if self.controller is None:
            return
        sockets = [g for g in self.controller.sheet.groups.values() if isinstance(g, Jack) and g.poe == "in"]
        inlets = [g for g in _inlets(self.controller.sheet) if isinstance(g, Takes)]
        if sockets and self.offers.port:
            yield _Fed("port"), self._wired(self._at_jack(sockets[0], self.offers.port)), None
            for sheet in self.offers.mid_spans():
                added = self._mid_span(sheet, self.offers.port)
                target = Target(added.ref, jack(sheet, "out").name)
                yield _Fed("mid-span"), self._wired(self._at_jack(sockets[0], target), {added.ref: added}), None
        for inlet in inlets:
            for source in self._sources():
                wrong, cure = _misfit(self.controller, inlet, source)
                door = None if wrong else self._wired(self._at_inlet(inlet, sockets, source), source.added)
                yield _Fed(source.name, wrong, cure), door, source

    def _wired(self, relations: tuple[Relation, ...], added: Mapping[str, Device] | None = None) -> Door:
        assert self.controller is not None
        changed = replace(self.controller, relations=relations)
        return replace(self.door, devices={**self.door.devices, self.controller.ref: changed, **(added or {})})

    def _kept(self) -> tuple[Relation, ...]:
        """The controller's relations that neither power it nor bring its network."""
        assert self.controller is not None
        names = {g.name for g in _inlets(self.controller.sheet)} | {None}
        powers = ("from", "through", "speaks")
        return tuple(r for r in self.controller.relations if not (r.kind in powers and r.own in names))

    def _at_jack(self, socket: Jack, target: Target) -> tuple[Relation, ...]:
        assert self.controller is not None
        was = [r for r in self.controller.relations if r.kind == "from"]
        patched = tuple(r for r in self.controller.relations if r.kind == "through" and was and was[0].target == target)
        return (*self._kept(), self._relation("from", socket.name, target), *patched)

    def _at_inlet(self, inlet: Takes, sockets: Sequence[Jack], source: Source) -> tuple[Relation, ...]:
        data = [self._relation("speaks", sockets[0].name, source.data)] if sockets and source.data else []
        return (*self._kept(), self._relation("from", inlet.name, source.target), *data)

    def _relation(self, kind: RelationKind, own: str | None, target: Target) -> Relation:
        where = self.controller.where if self.controller else self.door.where
        return Relation(kind, own, (target,), where)

    # ---- sources

    def _sources(self) -> Iterator[Source]:
        port = self.offers.port
        for sheet in self.offers.splitters() if port else ():
            out = output(sheet)
            assert port is not None
            assert out is not None
            ref = free_ref(self.site, self.door, "G")
            plugged = self._relation("from", jack(sheet, "in").name, port)
            device = Device(ref=ref, sheet=sheet, place=self._place, relations=(plugged,), where=self.door.where)
            data = Target(ref, jack(sheet, "none").name)
            yield Source(f"splitter {sheet.type}", Target(ref, out.name), out.volts, {ref: device}, data)
        yield from self._locals()
        yield from self._boards()

    def _locals(self) -> Iterator[Source]:
        for sheet in self.offers.locals():
            out = output(sheet)
            assert out is not None
            ref = free_ref(self.site, self.door, "G")
            relations = [self._relation("from", None, Target("mains", word="mains"))]
            contacts = self.offers.fire_contacts()
            if (fire := fire_input(sheet)) and contacts and self._free_on_fire():
                relations.append(self._relation("obeys", fire.name, contacts[0]))
            device = Device(ref=ref, sheet=sheet, place=self._place, relations=tuple(relations), where=self.door.where)
            yield Source(f"local {sheet.type}", Target(ref, out.name), out.volts, {ref: device}, self.offers.port)

    def _boards(self) -> Iterator[Source]:
        for board, branch in self.offers.branches():
            volts = output_volts(self.site, board.ref, branch)
            yield Source(board.ref, Target(board.ref, branch.name), volts, data=self.offers.port)

    def _mid_span(self, sheet: DataSheet, port: Target) -> Device:
        switch = self.site.shared[port.device]
        relations = (
            self._relation("from", None, Target("mains", word="mains")),
            self._relation("speaks", jack(sheet, "none").name, port),
        )
        ref = free_ref(self.site, self.door, "P")
        return Device(ref=ref, sheet=sheet, place=switch.place, relations=relations, where=self.door.where)

    @property
    def _place(self) -> str:
        """Where a supply of the door's own hangs: with the controller, or where the lock's run begins, on the secured side."""
        at = self.controller.place if self.controller else self.locks[0].place if self.locks else ""
        run = self.door.runs.get(at)
        return run.parent if run and (at in self.door.exposed or self.controller is None) else at

    def _free_on_fire(self) -> bool:
        return "free" in {self.door.want.get("fire"), *(d.want.get("fire") for d in self.locks)}

    # ---- the locks

    def _movable(self, lock: Device) -> bool:
        """Whether it hangs on a supply or a controller: what hangs on a machine or a supply for it alone stays there."""
        loads = [g for g in lock.sheet.groups.values() if isinstance(g, Takes)]
        source = _source(lock)
        holder = self.door.devices.get(source.device) or self.site.shared.get(source.device) if source else None
        return bool(holder and loads and not loads[0].fed_by and holder.sheet.is_ in ("supply", "fuse", "controller"))

    def _lock_sources(self, door: Door, source: Source | None) -> Iterator[Source]:
        if not self.locks:
            return
        if self.controller:
            outputs = [g for g in self.controller.sheet.groups.values() if isinstance(g, Gives) and g.current == "dc"]
            yield from (Source(CONTROLLER, Target(self.controller.ref, g.name), g.volts) for g in outputs[:1])
        if source is not None and source.added:
            yield source  # its own supply for both
        elif source is None:
            yield from self._locals() if door is self.door else ()
        if source is None or not source.added:
            yield from self._boards()

    def _with_lock(self, controller: str, door: Door, source: Source) -> Candidate:
        moved = {_source(lock) for lock in self.locks}
        along = [
            d for d in self.door.devices.values() if d.ref != getattr(self.controller, "ref", "") and self._follows(d, moved)
        ]
        for device in (*self.locks, *along):
            wrong, cure = _misfit(device, intake(device.sheet), source)
            if wrong:
                return Candidate("", source.name, None, wrong, cure)
        devices = {**door.devices, **source.added}
        for device in (*self.locks, *along):
            own = next(r.own for r in device.relations if r.kind == "from")
            relations = (self._relation("from", own, source.target), *(r for r in device.relations if r.kind != "from"))
            devices[device.ref] = replace(device, relations=relations)
        return Candidate(controller, source.name, self._tidy(replace(door, devices=devices)))

    def _follows(self, device: Device, moved: set[Target | None]) -> bool:
        """A relay or the like on the very branch of the locks goes with them; not what hangs on the controller's output."""
        source = _source(device)
        return (
            device not in self.locks and source in moved and source is not None
            and source.device != getattr(self.controller, "ref", None) and intake(device.sheet) is not None
        )  # fmt: skip

    def _tidy(self, door: Door) -> Door:
        """Without the supplies of the door's own that nothing hangs on."""
        pointed = {t.device for d in door.devices.values() for r in d.relations for t in r.targets}
        kept = {ref: d for ref, d in door.devices.items() if d.sheet.is_ != "supply" or ref in pointed}
        return replace(door, devices=kept)


@dataclass(frozen=True)
class _Fed:
    name: str
    wrong: str = ""
    cure: str = ""


def with_fire_contact(offers: Offers, door: Door, written: Door) -> Door | None:
    """The door with a free fire contact first in the circuit of each lock whose source is not that written; None without."""
    contacts, devices = iter(offers.fire_contacts()), dict(door.devices)
    for ref, device in door.devices.items():
        old = written.devices.get(ref)
        if device.sheet.is_ != "lock" or old is None or _source(old) == _source(device):
            continue
        contact = next(contacts, None)
        if contact is None:
            return None
        first = Relation("through", None, (contact,), device.where)
        at = next((n for n, r in enumerate(device.relations) if r.kind == "through"), len(device.relations))
        poles = [r.pole for r in device.relations if r.kind == "through"]
        owns = [r.own for r in device.relations if r.kind == "through"]
        first = replace(first, pole=poles[0] if poles else None, own=owns[0] if owns else None)
        devices[ref] = replace(device, relations=(*device.relations[:at], first, *device.relations[at:]))
    return replace(door, devices=devices)


def _source(device: Device) -> Target | None:
    return next((r.target for r in device.relations if r.kind == "from"), None)


def _inlets(sheet: DataSheet) -> list[Takes | Jack]:
    return [
        g for g in sheet.groups.values()
        if (isinstance(g, Jack) and g.poe == "in") or (isinstance(g, Takes) and g.current == "dc")
    ]  # fmt: skip


def _misfit(device: Device, load: Takes | None, source: Source) -> tuple[str, str]:
    """Why a load cannot hang on a source whatever the cable, and what would help; empty where it can."""
    if load is None or load.current != "dc":
        return f"{device.ref} takes no direct current", f"{device.ref}: a type for direct current"
    if load.range and source.volts and not within(load, source.volts):
        wrong = f"{source.volts.nominal:.4g} V, {device.ref} takes {load.range.least:.4g} to {load.range.most:.4g} V"
        return wrong, f"{device.ref}: a type for {source.volts.nominal:.3g} V"
    return "", ""


def sites_with(site: Site, door: Door) -> Site:
    """The site with the door in the place of the one of that id."""
    return replace(site, doors={**site.doors, door.id: door})

"""What a kit leaves open, filled from what the site has free: ports, branches of supplies, fire contacts.

A device that takes power and says not from where is open.  So is a lock that is to be free on fire and that nothing of the
fire system acts on yet; then its own circuit, or the fire input of the supply that the door has for it, gets a contact.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, replace

from wiregen.feeds.candidates import sites_with
from wiregen.feeds.offers import Outlet, fire_input, free_branches, free_fire_contacts, free_ports, within
from wiregen.reading.model import Device, Door, Gives, Jack, Relation, RelationKind, Site, SpecError, Takes, Target
from wiregen.reading.sites import pointed_at
from wiregen.study.copper import output_volts
from wiregen.wiring.logic import Case, logic_of
from wiregen.wiring.model import Wiring
from wiregen.wiring.wire import wire_design

FIRE = Case("fire")


class Short(Exception):
    """The site has nothing free that fits; says what is wrong and what to do."""

    def __init__(self, wrong: str, instead: str) -> None:
        super().__init__(wrong)
        self.wrong, self.instead = wrong, instead


@dataclass
class Stock:
    """What a site has free while door after door takes of it: all but what is `taken`."""

    site: Site
    taken: set[Outlet]

    @classmethod
    def of(cls, site: Site) -> Stock:
        return cls(site, set(site.taken))

    def copy(self) -> Stock:
        return Stock(self.site, set(self.taken))

    def fill(self, door: Door, chosen: Sequence[Target], near: str) -> Door:
        """The door with its open ends on free outlets: on those `chosen` (a device, or one outlet of it), else on those that
        hang at the place `near` first.

        Raises Short where nothing fits, or where nothing of the door is open for something chosen.
        """
        chosen = list(chosen)
        for device in door.devices.values():
            if _sockets(device) and not _fed(device):
                door = _with(door, device.ref, _relation(device, "from", None, self._port(device, chosen, near)))
        for device in door.devices.values():
            if _inlet(device) and not _sockets(device) and not _fed(door.devices[device.ref]):
                door = self._on_branch(door, device, chosen, near)
        for target in chosen:
            if all(not _points(target, each) for d in door.devices.values() for r in d.relations for each in r.targets):
                wrong = f"nothing of the kit is open for {target}"
                raise Short(wrong, "name what a device of it can hang on: a switch, a supply, or one of the kit's feeds")
        door = self._on_fire(door)
        self.taken |= pointed_at(door.devices.values())
        return door

    # ---- power

    def _port(self, device: Device, chosen: Sequence[Target], near: str) -> Target:
        ports = list(self._ordered(free_ports(self.site, self.taken), chosen, near))
        if not ports:
            raise Short(f"no port is free for {device.ref}", "add a switch to `shared` in site.yaml, or free a port")
        self.taken.add((ports[0].device, ports[0].group or ""))
        return ports[0]

    def _on_branch(self, door: Door, device: Device, chosen: Sequence[Target], near: str) -> Door:
        """The device, and what else of the door is open and bears the same volts, on the branch that does best on fire."""
        tried: list[tuple[int, Door]] = []
        for branch in self._ordered(_first_of_each(self._branches(device), chosen), chosen, near):
            made = door
            for other in door.devices.values():
                if other is device or (other.sheet.is_ != "controller" and not _fed(other) and self._bears(other, branch)):
                    made = _with(made, other.ref, _relation(other, "from", None, branch))
            worth = self._worth(made, branch)
            tried += [] if worth is None else [(worth, made)]
            if worth == 0:
                break
        if not tried:
            volts = _inlet(device).range if _inlet(device) else None  # type: ignore[union-attr]
            wrong = f"no branch of a supply is free for {device.ref}" + (f" ({volts.text})" if volts else "")
            raise Short(wrong, "add a supply or a fuse board to `shared` in site.yaml, or free a branch")
        return min(tried, key=lambda one: one[0])[1]

    def _branches(self, device: Device) -> Iterator[Target]:
        branches = (Target(holder.ref, group.name) for holder, group in free_branches(self.site, self.taken))
        return (branch for branch in branches if self._bears(device, branch))

    def _bears(self, device: Device, branch: Target) -> bool:
        inlet = _inlet(device)
        group = self.site.shared[branch.device].sheet.groups[branch.group or ""]
        assert isinstance(group, Gives)
        return inlet is not None and inlet.current == "dc" and within(inlet, output_volts(self.site, branch.device, group))

    def _worth(self, door: Door, branch: Target) -> int | None:
        """How far from what is wanted, 0 for all of it; None where it cannot be wired at all.

        A branch that fire switches off suits a lock that is to be free then, and no other.
        """
        wiring = self._wired(door)
        if wiring is None:
            return None
        wanted = [(b.gives.get(state), want) for b in wiring.behaviours for state, want in b.wanted.items()]
        drops = not logic_of(sites_with(self.site, door), door, wiring).alive(FIRE, branch.device)
        suits = drops == any(b.wanted.get("fire") == "free" for b in wiring.behaviours)
        return 2 * sum(gives != want for gives, want in wanted) + (not suits)

    def _wired(self, door: Door) -> Wiring | None:
        try:
            return wire_design(sites_with(self.site, door), door)
        except SpecError:
            return None

    def _ordered(self, free: Iterable[Target], chosen: Sequence[Target], near: str) -> Iterator[Target]:
        """What was chosen alone, where it offers any; else all, what hangs near first."""
        offered = list(free)
        picked = [target for target in offered if any(_points(one, target) for one in chosen)]
        yield from picked or sorted(offered, key=lambda target: self.site.shared[target.device].place != near)

    # ---- fire

    def _on_fire(self, door: Door) -> Door:
        """With a fire contact where a supply of the door's own has an input for it, and where a lock would else stay held."""
        for device in door.devices.values():
            into = fire_input(device.sheet) if device.sheet.is_ == "supply" else None
            contact = next(free_fire_contacts(self.site, self.taken), None)
            if into and contact and not any(r.own == into.name for r in device.relations):
                self.taken.add((contact.device, contact.group or ""))
                door = _with(door, device.ref, _relation(device, "obeys", into.name, contact))
        wiring = self._wired(door)
        held = [b.lock for b in wiring.behaviours if b.wanted.get("fire") == "free" != b.gives.get("fire")] if wiring else []
        contacts: dict[Target | None, Target] = {}  # by source: circuits of one source may have their first contact in common
        for ref in held:
            lock = door.devices[ref]
            source = next((r.target for r in lock.relations if r.kind == "from"), None)
            if source not in contacts:
                free = next(free_fire_contacts(self.site, self.taken), None)
                if free is None:
                    wrong = f"{ref} is to be free on fire, and no fire contact is free"
                    raise Short(wrong, "add a fire interface to `shared` in site.yaml, or free a contact")
                self.taken.add((free.device, free.group or ""))
                contacts[source] = free
            door = _with(door, ref, _first_in(lock, contacts[source]))
        return door


def _first_of_each(branches: Iterable[Target], chosen: Sequence[Target]) -> Iterator[Target]:
    """The first free branch of each supply, and each that was chosen itself."""
    seen = set()
    for branch in branches:
        if branch.device not in seen or branch in chosen:
            seen.add(branch.device)
            yield branch


def _points(chosen: Target, at: Target) -> bool:
    return chosen.device == at.device and chosen.group in (None, at.group)


def _sockets(device: Device) -> list[Jack]:
    return [g for g in device.sheet.groups.values() if isinstance(g, Jack) and g.poe == "in"]


def _inlet(device: Device) -> Takes | None:
    return next((g for g in device.sheet.groups.values() if isinstance(g, Takes) and g.first and not g.fed_by), None)


def _fed(device: Device) -> bool:
    return any(r.kind == "from" for r in device.relations)


def _relation(device: Device, kind: RelationKind, own: str | None, target: Target) -> Relation:
    return Relation(kind, own, (target,), device.where)


def _first_in(lock: Device, contact: Target) -> Relation:
    """The contact as the first in the lock's circuit, in the pole that is broken already."""
    chain = [r for r in lock.relations if r.kind == "through"]
    pole = "plus" if any(r.pole == "plus" for r in chain) else chain[0].pole if chain else None
    return Relation("through", chain[0].own if chain else None, (contact,), lock.where, pole)


def _with(door: Door, ref: str, relation: Relation) -> Door:
    """The door with one relation more, before those that its device has."""
    device = door.devices[ref]
    return replace(door, devices={**door.devices, ref: replace(device, relations=(relation, *device.relations))})

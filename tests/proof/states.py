"""What a lock does in each state, worked out from the spec and the contacts that the wiring chose, by asking naively.

A contact is closed or not by its condition words; a load has power if its source has and every contact before it is closed;
a source has power if its device has.  No volts, no time.
"""

from __future__ import annotations

from collections.abc import Iterator

from tests.proof.oracle import Oracle
from wiregen.reading.model import (
    Changeover,
    Condition,
    Contact,
    Device,
    Door,
    Drive,
    Gives,
    Group,
    Input,
    Jack,
    Pass,
    Site,
    Takes,
)
from wiregen.wiring.model import Wiring

RESTING = frozenset({"powered", "mains", "shut", "latched", "bonded", "thrown"})
BROUGHT = {"grant": "grant", "call": "call", "fire": "fire", "tamper": "tampered"}
PEOPLE = ("pressed", "motion")


class States:
    """One door as wired, in any state."""

    def __init__(self, site: Site, door: Door, wiring: Wiring) -> None:
        self.door, self.wiring = door, wiring
        self.look = Oracle(site, door, {})

    def locks(self) -> Iterator[tuple[str, str, Takes]]:
        """Each lock of the door with the group of its coil."""
        for ref, device in self.door.devices.items():
            if device.sheet.is_ == "lock" and device.sheet.unpowered in ("held", "free"):
                for group in device.sheet.groups.values():
                    if isinstance(group, Takes) and self._source(device, group):
                        yield ref, device.sheet.unpowered, group

    def gives(self, ref: str, unpowered: str, group: Takes, state: str) -> str:
        """Held or free: freed by an input of its own, or by having power or none."""
        inputs = (g for g in self.look.device(ref).sheet.groups.values() if isinstance(g, Input))
        if any((g.does or "").startswith("frees") and self.active(ref, g, state) for g in inputs):
            return "free"
        powered = self.energised(ref, group, state)
        return unpowered if not powered else {"held": "free", "free": "held"}[unpowered]

    def _source(self, device: Device, group: Takes | Jack) -> bool:
        return any(r.kind == "from" and r.own in (None, group.name) for r in device.relations)

    def alive(self, ref: str, state: str) -> bool:
        """Whether a device has power by any of its feeds; one that is fed by nobody in the spec has."""
        device = self.look.device(ref)
        if state == "power-dead" or (state == "controller-dead" and device.sheet.is_ == "controller"):
            return False
        feeds = [g for g in device.sheet.groups.values() if isinstance(g, (Takes, Jack)) and self._source(device, g)]
        return not feeds or any(isinstance(g, Jack) or self.energised(ref, g, state) for g in feeds)

    def energised(self, ref: str, group: Takes, state: str) -> bool:
        device = self.look.device(ref)
        sources = [r for r in device.relations if r.kind == "from" and r.own in (None, group.name)]
        driven = [r for r in device.relations if r.kind == "obeys" and r.own in (None, group.name)]
        for relation in driven:
            _, their = self.look.fit("obeys", device, relation.own, relation.target)
            if isinstance(their, Drive):
                return False  # at rest
        for relation in sources:
            if relation.target.word == "mains":
                return state != "power-dead"
            key = self.look.key(relation.target)
            _, their = self.look.fit("from", device, relation.own, relation.target)
            given = isinstance(their, Takes) or self._gives(key, their, state)
            if isinstance(their, (Gives, Takes)) and given and self.alive(key, state) and self._through(ref, group, state):
                return True
        return False

    def _gives(self, key: str, output: Group, state: str) -> bool:
        """Whether an output is on: by its own conditions, and unless an input of the device drops it."""
        inputs = [g for g in self.look.device(key).sheet.groups.values() if isinstance(g, Input)]
        drop = any(
            (g.does or "").startswith("drops") and ("out" in (g.does or "").split() or output.name in (g.does or "").split())
            and self.active(key, g, state)
            for g in inputs
        )  # fmt: skip
        return not drop and all(self.holds(c, key, state) for c in getattr(output, "gives_when", ()))

    def active(self, key: str, group: Input, state: str) -> bool:
        """Whether an input is active; one that nothing is landed on is not."""
        device = self.look.device(key)
        for relation in device.relations:
            if relation.kind == "obeys" and relation.own in (None, group.name):
                own, their = self.look.fit("obeys", device, relation.own, relation.target)
                if own is group and isinstance(their, (Contact, Changeover)):
                    at = self.look.key(relation.target)
                    if isinstance(their, Changeover):
                        make = self.look.ends(at, their, group, relation.target.side)[0] == their.make
                        shut = self._moved(at, their, state) == make
                    else:
                        shut = all(self.holds(c, at, state) for c in their.closed_when)
                    return shut == (group.active == "closed")
                if own is group:
                    return state == "grant"  # driven by the controller
        words = device.set.get(group.name, "").split()
        if words[:1] == ["with"]:  # set to follow its neighbour
            neighbour = device.sheet.groups[words[1]]
            return isinstance(neighbour, Input) and self.active(key, neighbour, state)
        return False

    def _through(self, ref: str, group: Takes, state: str) -> bool:
        device = self.look.device(ref)
        return all(
            any(
                self.closed(ref, group, self.look.key(t), self._contact(self.look.key(t), t.group), t.side, state)
                for t in r.targets
            )
            for r in device.relations
            if r.kind == "through" and r.own in (None, group.name)
        )

    def _contact(self, key: str, name: str | None) -> Group:
        groups = self.look.device(key).sheet.groups
        return groups[name] if name else next(g for g in groups.values() if isinstance(g, (Contact, Changeover, Pass)))

    def closed(self, load: str, group: Takes, key: str, contact: Group, written: str | None, state: str) -> bool:
        if isinstance(contact, Contact):
            return all(self.holds(c, key, state) for c in contact.closed_when)
        if not isinstance(contact, Changeover):
            return True
        side = written or self._side(load, group, key, contact)
        if side is None:  # a circuit of the site: closed when nothing happens
            side = "make" if self._moved(key, contact, "idle") else "break"
        return self._moved(key, contact, state) == (side == "make")

    def _moved(self, key: str, contact: Changeover, state: str) -> bool:
        wired = self.wiring.devices.get(key)
        if contact.sense and wired and wired.settings.get(contact.sense) == "rests on grant":
            return self.alive(key, state) and state != "grant"
        return all(self.holds(c, key, state) for c in contact.moves_when)

    def _side(self, load: str, group: Takes, key: str, contact: Changeover) -> str | None:
        for chain in self.wiring.chains:
            if (chain.load, chain.load_group) == (load, group.name):
                for link in chain.links:
                    if (link.device, link.group) == (key, contact.name):
                        return link.side
        return None

    def holds(self, condition: Condition, key: str, state: str) -> bool:
        return any(self._word(w, key, state) for w in condition.any_of) != condition.negated

    def _word(self, word: str, key: str, state: str) -> bool:
        if word == "powered":
            return self.alive(key, state)
        if word == "mains":
            return state != "power-dead"
        own = self.look.device(key).sheet.groups.get(word)
        if isinstance(own, Input):
            return self.active(key, own, state)
        if own is not None:  # a line of its own: told by the controller
            return state == "grant"
        if word in PEOPLE:
            return state == "exit"
        return word in RESTING or BROUGHT.get(state) == word


def unmet(site: Site, door: Door, wiring: Wiring) -> list[str]:
    """Each state in which a lock does not do what `want` says."""
    states = States(site, door, wiring)
    out = []
    for ref, unpowered, group in states.locks():
        want = {**door.want, **door.devices[ref].want}
        for state, wanted in want.items():
            given = states.gives(ref, unpowered, group, state)
            if given != wanted:
                out.append(f"{door.id}: {ref} is {given} in {state}, wanted {wanted}")
    return out

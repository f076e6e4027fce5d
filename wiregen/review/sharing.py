"""A contact serves one circuit: nobody sees from one door that another has taken it too."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from wiregen.reading.conditions import conditions
from wiregen.reading.model import Device, Relation, Target, Where
from wiregen.review.rule import Found, Job, site_rule

Chain = tuple[str, ...]


@dataclass(frozen=True)
class Use:
    """A circuit that a contact stands in: `prefix` is what lies between its source and the contact."""

    door: str  # "" for a device of the site
    device: str
    where: Where
    prefix: Chain


@site_rule("contact-twice", "stop", "one contact stands in one circuit")
def contact_twice(job: Job) -> Iterator[Found]:
    """Circuits of one source may share a contact where all before it is shared as well."""
    uses: dict[str, list[Use]] = {}
    for door, device in _devices(job):
        for contact, use in _uses(job, door, device):
            uses.setdefault(contact, []).append(use)
    for contact, users in sorted(uses.items()):
        first, *others = users
        for other in others:
            if other.prefix != first.prefix or not first.prefix:
                doors = sorted({u.door for u in users if u.door} | _fed_by(job, {u.device for u in users if not u.door}))
                yield Found(
                    other.where,
                    f"{contact} already stands in the circuit of {_named(first)}: here it would join two circuits",
                    f"another contact for {_named(other)}",
                    doors=tuple(doors),
                )


def _named(use: Use) -> str:
    return f"{use.door}/{use.device}" if use.door else use.device


def _devices(job: Job) -> Iterator[tuple[str, Device]]:
    yield from (("", device) for _, device in sorted(job.site.shared.items()))
    for door, case in job.cases.items():
        yield from ((door, device) for device in case.door.devices.values())


def _uses(job: Job, door: str, device: Device) -> Iterator[tuple[str, Use]]:
    """Contacts that the device's relations go through, obey or are told in series with."""
    chains: dict[tuple[str | None, str | None], list[str]] = {}
    for relation in device.relations:
        for target in relation.targets:
            name = _contact(job, door, target)
            if relation.kind == "through":
                key = (relation.own, relation.pole)
                before = chains.setdefault(key, [_source(door, device, relation.own)])
                if name:
                    yield name, Use(door, device.ref, relation.where, tuple(before))
            elif relation.kind == "obeys" and name:
                yield name, Use(door, device.ref, relation.where, ())
        if relation.kind == "tells":
            own = _contact(job, door, Target(device.ref, relation.own))
            if own:
                yield own, Use(door, device.ref, relation.where, ())
        if relation.kind == "through":
            before.append(" or ".join(map(str, relation.targets)))


def _source(door: str, device: Device, own: str | None) -> str:
    found: Relation | None = next((r for r in device.relations if r.kind == "from" and r.own in (None, own)), None)
    if found is None:
        return f"{door}/{device.ref}"
    return str(found.target) if found.target.door or not door else f"{door}: {found.target}"


def _contact(job: Job, door: str, target: Target) -> str:
    """The contact by a name that is one for the whole site; "" where the target is none."""
    owner = target.door or (door if door and target.device in job.site.doors[door].devices else "")
    device = job.site.doors[owner].devices.get(target.device) if owner else job.site.shared.get(target.device)
    if device is None:
        return ""
    named = [g for g in device.sheet.groups.values() if conditions(g) and target.group in (None, g.name)]
    if len(named) != 1:
        return ""
    return f"{owner}/{device.ref}.{named[0].name}" if owner else f"{device.ref}.{named[0].name}"


def _fed_by(job: Job, refs: set[str]) -> set[str]:
    """The doors that name one of these shared devices, or a shared device that hangs on one of them."""
    while True:
        more = {
            ref
            for ref, device in job.site.shared.items()
            if ref not in refs and any(t.device in refs for r in device.relations for t in r.targets)
        }
        if not more:
            break
        refs = refs | more
    return {
        door
        for door, case in job.cases.items()
        if any(t.device in refs for d in case.door.devices.values() for r in d.relations for t in r.targets)
    }


RULES = (contact_twice,)

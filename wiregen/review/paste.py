"""YAML to paste: what a finding's cure adds to a spec."""

from __future__ import annotations

from itertools import count

from wiregen.reading.model import Device, Door, Relation, Site


def through(device: Device, contact: str, first: bool = True) -> str:
    """The device's `through` with one contact more, at the head of its chain or at its end."""
    poled: dict[str | None, list[str]] = {}
    for relation in device.relations:
        if relation.kind == "through":
            poled.setdefault(relation.pole, []).append(_written(relation))
    pole = None if None in poled or not poled else next(iter(sorted(p for p in poled if p)))
    chain = poled.get(pole, [])
    poled[pole] = [contact, *chain] if first else [*chain, contact]
    if pole is None:
        return f"{device.ref}: {{through: [{', '.join(poled[None])}]}}"
    sides = ", ".join(f"{side}: [{', '.join(contacts)}]" for side, contacts in sorted(poled.items(), key=str))
    return f"{device.ref}: {{through: {{{sides}}}}}"


def _written(relation: Relation) -> str:
    return " or ".join(map(str, relation.targets))


def free_ref(site: Site, door: Door, letter: str) -> str:
    """The first designation of that letter that neither door nor site uses."""
    taken = {*door.devices, *site.shared}
    return next(ref for n in count(1) if (ref := f"{letter}{n}") not in taken)


def inside(site: Site, door: Door) -> str:
    """A place of the door that no stranger can reach, the one where most devices of the door hang."""
    hung = [d.place for d in door.devices.values() if d.place not in door.exposed | site.exposed]
    return max(sorted(set(hung)), key=hung.count, default="box")


def add_device(site: Site, door: Door, letter: str, type_: str, more: str = "") -> tuple[str, str]:
    """A designation and the line that adds such a device to the door."""
    ref = free_ref(site, door, letter)
    return ref, f"{ref}: {{type: {type_}, at: {inside(site, door)}{more}}}"

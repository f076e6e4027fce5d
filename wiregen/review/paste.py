"""YAML to paste: what a finding's cure adds to a spec."""

from __future__ import annotations

from collections.abc import Iterable
from itertools import count

from wiregen.reading.model import Device, Door, Relation, Site
from wiregen.reading.targets import target


def through(device: Device, contact: str, first: bool = True) -> str:
    """The device's `through` with one contact more, at the head of its chain or at its end."""
    chain = [relation for relation in device.relations if relation.kind == "through"]
    poles = [relation.pole for relation in chain]
    pole = None if None in poles or not poles else next(iter(sorted(p for p in poles if p)))
    added = Relation("through", None, (target(contact),), device.where, pole)
    return f"{device.ref}: {{through: {chained([added, *chain] if first else [*chain, added])}}}"


def chained(relations: Iterable[Relation]) -> str:
    """`through` as YAML on one line: a list, or by pole where poles were written."""
    poled: dict[str | None, list[str]] = {}
    for relation in relations:
        poled.setdefault(relation.pole, []).append(" or ".join(map(str, relation.targets)))
    if None in poled:
        return f"[{', '.join(poled[None])}]"
    return "{" + ", ".join(f"{pole}: [{', '.join(contacts)}]" for pole, contacts in sorted(poled.items(), key=str)) + "}"


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

"""Which contacts an input reads: those on its own copper, and on beyond each of them, in series."""

from __future__ import annotations

from collections.abc import Iterator

from wiregen.reading.model import Changeover, Contact, Input
from wiregen.study.copper import Copper
from wiregen.wiring.model import End, Wiring

Key = tuple[str, str]  # device and group


def read_contacts(wiring: Wiring) -> Iterator[tuple[str, Input, tuple[Key, ...]]]:
    """Each landed input with its device, and the contacts between it and its reference, by device and group."""
    copper = Copper(wiring)
    sides = [
        (ref, group.name, {copper.root(a), copper.root(b)})
        for ref, device in wiring.devices.items()
        for group in device.sheet.groups.values()
        if isinstance(group, Contact | Changeover)
        for a, b in _pairs(ref, group)
        if copper.landed(a) and copper.landed(b)
    ]
    for ref, device in wiring.devices.items():
        for group in device.sheet.groups.values():
            if isinstance(group, Input) and copper.landed(End(ref, group.in_)):
                back, reached = copper.root(End(ref, group.ref)), {copper.root(End(ref, group.in_))}
                found: dict[Key, None] = {}
                while new := [s for s in sides if s[0] != ref and s[:2] not in found and s[2] & reached]:
                    for other, name, ends in new:
                        found[other, name] = None
                        reached |= ends - {back}
                yield ref, group, tuple(found)


def _pairs(ref: str, group: Contact | Changeover) -> tuple[tuple[End, End], ...]:
    if isinstance(group, Contact):
        return ((End(ref, group.between[0]), End(ref, group.between[1])),)
    return tuple((End(ref, group.common), End(ref, side)) for side in (group.make, group.break_))

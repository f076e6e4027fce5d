"""What a site could feed a door by: free branches of its supplies, free ports, free fire contacts, and types of supplies."""

from __future__ import annotations

from collections.abc import Container, Iterator, Sequence
from dataclasses import dataclass, replace
from functools import cached_property
from itertools import groupby

from wiregen.reading.conditions import mentions
from wiregen.reading.model import Band, Changeover, Contact, DataSheet, Device, Door, Gives, Input, Jack, Site, Takes, Target
from wiregen.reading.reach import Reach
from wiregen.wiring.model import Wiring
from wiregen.wiring.wire import wire_design

Outlet = tuple[str, str]  # a shared device and one of its groups


@dataclass(frozen=True)
class Offers:
    """Seen from one door.  `catalogue` are the data sheets of supplies that could be bought, in order of type."""

    site: Site
    door: Door
    catalogue: Sequence[DataSheet]

    @cached_property
    def written(self) -> Wiring:
        """The door wired as its spec has it."""
        return wire_design(self.site, self.door)

    @cached_property
    def _near(self) -> Site:
        """With what is shared where cable of the door can come to."""
        near = Reach(self.site).of(self.door)
        return replace(self.site, shared={ref: device for ref, device in self.site.shared.items() if ref in near})

    def branches(self) -> Iterator[tuple[Device, Gives]]:
        """The first free direct-current branch of each shared supply."""
        for ref, free in groupby(free_branches(self._near, self.site.taken), lambda branch: branch[0].ref):
            if ref not in self.door.devices:
                yield next(free)

    @cached_property
    def port(self) -> Target | None:
        """The port that the door has already, else the first free one of a switch."""
        for device in self.door.devices.values():
            for target in (t for r in device.relations for t in r.targets):
                shared = self.site.shared.get(target.device)
                group = shared.sheet.groups.get(target.group or "") if shared else None
                if isinstance(group, Jack) and group.poe == "out" and target.device not in self.door.devices:
                    return target
        return next(free_ports(self._near, self.site.taken), None)

    def fire_contacts(self) -> list[Target]:
        """Free contacts that fire moves."""
        return list(free_fire_contacts(self._near, self.site.taken))

    def mid_spans(self) -> Iterator[DataSheet]:
        return (s for s in self.catalogue if _jacks(s, "out") == 1 and _jacks(s, "none") == 1 and _on_mains(s))

    def splitters(self) -> Iterator[DataSheet]:
        return (s for s in self.catalogue if _jacks(s, "in") == 1 and _jacks(s, "none") == 1 and output(s))

    def locals(self) -> Iterator[DataSheet]:
        """Supplies on mains alone: one with a battery is a central one."""
        return (s for s in self.catalogue if output(s) and _on_mains(s) and not _all_jacks(s) and len(_takes(s)) == 1)


def free_branches(site: Site, taken: Container[Outlet]) -> Iterator[tuple[Device, Gives]]:
    """The free direct-current branches of shared supplies, supply by supply."""
    for ref, device in site.shared.items():
        for group in device.sheet.groups.values() if device.sheet.is_ in ("supply", "fuse") else ():
            if isinstance(group, Gives) and group.current == "dc" and not group.gives_when and (ref, group.name) not in taken:
                yield device, group


def free_ports(site: Site, taken: Container[Outlet]) -> Iterator[Target]:
    """The free ports of switches that give power."""
    for ref, device in site.shared.items():
        for name, group in device.sheet.groups.items():
            if isinstance(group, Jack) and group.poe == "out" and (ref, name) not in taken:
                yield Target(ref, name)


def free_fire_contacts(site: Site, taken: Container[Outlet]) -> Iterator[Target]:
    """The free contacts that fire moves."""
    for ref, device in site.shared.items():
        for name, group in device.sheet.groups.items() if device.sheet.is_ == "interface" else ():
            if isinstance(group, Contact | Changeover) and mentions(group, "fire") and (ref, name) not in taken:
                yield Target(ref, name)


def output(sheet: DataSheet) -> Gives | None:
    """Its first output of direct current, where it gives all the time."""
    found = [g for g in sheet.groups.values() if isinstance(g, Gives) and g.current == "dc"]
    return found[0] if found and not any(g.gives_when for g in found) and found[0].volts else None


def intake(sheet: DataSheet) -> Takes | None:
    """The first load of a device that is wired by terminals."""
    return next((g for g in sheet.groups.values() if isinstance(g, Takes) and g.first), None)


def within(load: Takes, volts: Band | None) -> bool:
    """Whether a load stands these volts; what is not known is no reason against."""
    return not load.range or not volts or load.range.least <= volts.nominal <= load.range.most


def fire_input(sheet: DataSheet) -> Input | None:
    return next((g for g in sheet.groups.values() if isinstance(g, Input) and (g.does or "").startswith("drops")), None)


def jack(sheet: DataSheet, poe: str) -> Jack:
    return next(g for g in sheet.groups.values() if isinstance(g, Jack) and g.poe == poe)


def _all_jacks(sheet: DataSheet) -> list[Jack]:
    return [g for g in sheet.groups.values() if isinstance(g, Jack)]


def _jacks(sheet: DataSheet, poe: str) -> int:
    return sum(j.poe == poe for j in _all_jacks(sheet))


def _takes(sheet: DataSheet) -> list[Takes]:
    return [g for g in sheet.groups.values() if isinstance(g, Takes)]


def _on_mains(sheet: DataSheet) -> bool:
    return any(g.current == "mains" for g in _takes(sheet))

"""A site without what an outsider must not have, before anything is worked out of it, so that nothing can carry it further.

People, notes, reasons and addresses are gone; parties and ports have stand-in names, in the order in which they are named.
Other settings stay, as wiring and study need them: they are left out of what is printed (`Site.redacted`).
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import replace

from wiregen.reading.model import (
    Acceptance,
    DataSheet,
    Device,
    Door,
    Group,
    Jack,
    Pass,
    Relation,
    Revision,
    Site,
    Target,
)  # fmt: skip
from wiregen.reading.quantity import band

LEFT_OUT = "left out"
ADDRESS = "address"  # a setting

Port = tuple[str, str]  # device of the site and group, or terminal


def redacted(site: Site) -> Site:
    ports = _ports(site)
    addresses, parties = _Addresses(site), _Parties()
    own = frozenset(site.shared)

    def device(of: Device, others: frozenset[str] = frozenset(), shared: bool = False) -> Device:
        names = {key: name for key, name in ports.items() if key[0] not in others}
        sheet = _renamed(of.sheet, {g: name for (ref, g), name in ports.items() if shared and ref == of.ref})
        relations = tuple(replace(r, targets=tuple(_aim(t, names) for t in r.targets)) for r in of.relations)
        return replace(of, sheet=sheet, relations=relations, by=parties.of(of.by), set=addresses.of(of))

    def door(of: Door) -> Door:
        others = frozenset(of.devices) & own
        names = {key: name for key, name in ports.items() if key[0] not in others}
        return replace(
            of,
            devices={ref: device(each, others) for ref, each in of.devices.items()},
            runs={place: replace(run, by=parties.one(run.by)) for place, run in of.runs.items()},
            otherwise=(),
            add=tuple(
                replace(a, from_=_aim(a.from_, names), to=_aim(a.to, names), why=LEFT_OUT) for a in of.add
            ),
            drop=tuple((_aim(a, names), _aim(b, names)) for a, b in of.drop),
            dropped_why=tuple(LEFT_OUT if why else "" for why in of.dropped_why),
            accept=tuple(map(_accepted, of.accept)),
            revisions=tuple(map(_revised, of.revisions)),
            notes=(),
            order={},
            about={},
            why_none=LEFT_OUT if of.why_none else None,
        )

    return replace(
        site,
        shared={ref: device(each, shared=True) for ref, each in site.shared.items()},
        doors={id_: door(each) for id_, each in site.doors.items()},
        runs={place: replace(run, by=parties.one(run.by)) for place, run in site.runs.items()},
        revisions=tuple(map(_revised, site.revisions)),
        taken=frozenset((ref, ports.get((ref, group), group)) for ref, group in site.taken),
        contacts={},
        signed={},
        labels=None,
        redacted=True,
    )


# ---- ports -----------------------------------------------------------------------------------------------------------------


def _ports(site: Site) -> Mapping[Port, str]:
    """The stand-in of each group that is a port, of devices of the site that have several: first those that are named."""
    groups = {ref: [g.name for g in d.sheet.groups.values() if _is_port(g)] for ref, d in site.shared.items()}
    known = {(ref, name): 0 for ref, names in groups.items() if len(names) > 1 for name in names}
    order = dict.fromkeys(
        (target.device, target.group) for target in _targets(site) if (target.device, target.group) in known
    )
    count: dict[str, int] = {}
    found: dict[Port, str] = {}
    for ref, group in (*order, *(key for key in known if key not in order)):
        count[ref] = count.get(ref, 0) + 1
        found[ref, group or ""] = f"x{count[ref]}"
    return found


def _is_port(group: Group) -> bool:
    return isinstance(group, Jack) or (isinstance(group, Pass) and group.jacks is not None)


def _targets(site: Site) -> Iterator[Target]:
    for device in site.shared.values():
        yield from (target for relation in device.relations for target in relation.targets)
    for door in site.doors.values():
        devices: Iterable[Device] = door.devices.values()
        relations: list[Relation] = [relation for device in devices for relation in device.relations]
        yield from (t for relation in relations for t in relation.targets if t.device not in door.devices)


def _aim(target: Target, names: Mapping[Port, str]) -> Target:
    name = names.get((target.device, target.group or "")) if target.door is None else None
    return replace(target, group=name) if name else target


def _renamed(sheet: DataSheet, names: Mapping[str, str]) -> DataSheet:
    """With the ports under their stand-ins, in the order of these; what is no port stays, before them."""
    if not names:
        return sheet
    groups: dict[str, Group] = {name: group for name, group in sheet.groups.items() if name not in names}
    for old, new in sorted(names.items(), key=lambda each: int(each[1][1:])):
        group = sheet.groups[old]
        if isinstance(group, Jack):
            groups[new] = replace(group, name=new, mark=new)
        elif isinstance(group, Pass):
            groups[new] = replace(group, name=new, jacks=(f"{new} one side", f"{new} other side"))
    return replace(sheet, groups=groups)


# ---- people, words, addresses -----------------------------------------------------------------------------------------------


class _Addresses:
    """Stand-ins for addresses: alike for alike, within what each device takes, counted from what all of them take."""

    def __init__(self, site: Site) -> None:
        devices = [*site.shared.values(), *(device for door in site.doors.values() for device in door.devices.values())]
        ranges = map(_range, devices)
        self._first = max((least for least, _ in filter(None, ranges)), default=0)
        self._known: dict[str, int] = {}

    def of(self, device: Device) -> Mapping[str, str]:
        written = device.set.get(ADDRESS)
        if written is None:
            return device.set
        number = self._known.setdefault(written, len(self._known))
        if (takes := _range(device)) is None:  # a list of choices: one of them
            choices = sorted({*device.sheet.settings.get(ADDRESS, ()), written})
            return {**device.set, ADDRESS: choices[number % len(choices)]}
        least, most = takes
        return {**device.set, ADDRESS: str(least + (self._first - least + number) % (most - least + 1))}


def _range(device: Device) -> tuple[int, int] | None:
    """The least and the highest address that a device takes; None where its data sheet lists them, or has none."""
    allowed = device.sheet.settings.get(ADDRESS, ())
    if len(allowed) != 1:
        return None
    taken = band(allowed[0], "1")
    return int(taken.least), int(taken.most)


class _Parties:
    """Stand-ins for those who supply, mount, land and test: that somebody is named stays, who does not."""

    def __init__(self) -> None:
        self._known: dict[str, str] = {}

    def one(self, who: str | None) -> str | None:
        return self._known.setdefault(who, f"party {len(self._known) + 1}") if who else None

    def of(self, by: Mapping[str, str]) -> Mapping[str, str]:
        return {task: self.one(who) or "" for task, who in by.items()}


def _revised(revision: Revision) -> Revision:
    return replace(revision, what=LEFT_OUT, by=None)


def _accepted(acceptance: Acceptance) -> Acceptance:
    by, who, date, clause = (
        LEFT_OUT if said else None for said in (acceptance.by, acceptance.who, acceptance.date, acceptance.clause)
    )
    return replace(acceptance, reason=LEFT_OUT, by=by, who=who, date=date, clause=clause)

"""The site: from its table to Site, with house rules, stock, shared devices and joints."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from typing import Any

from wiregen.reading.document import Items, Table
from wiregen.reading.doors import devices, optional, revisions, run
from wiregen.reading.groups import listed
from wiregen.reading.label_sheet import label_sheet
from wiregen.reading.model import CableSheet, DataSheet, Device, Door, House, Joint, LineEndSheet, Sheet, Site, Stock, Unit
from wiregen.reading.quantity import band
from wiregen.reading.sheets import texts

BATTERY: Mapping[str, Unit] = {"alarm": "s", "margin": "1", "temperature": "K"}


def site(name: str, written: Table, sheets: Mapping[str, Sheet], doors: Mapping[str, Door]) -> Site:
    """The site of a table that satisfies the schema; `name` is its folder's."""
    shared = devices(written.get("shared", Table()), sheets, {})
    rules = written.get("house", Table())
    return Site(
        id=name,
        name=str(written["site"]),
        codes=texts(written.get("codes")),
        house=house(rules),
        stock=stock(written["stock"], sheets),
        runs={str(place): run(place, body) for place, body in written.get("runs", Table()).items()},
        shared=shared,
        doors=doors,
        where=written.where,
        use=texts(written.get("use")),
        standby=optional(written, "standby"),
        battery={key: band(str(value), BATTERY[key]) for key, value in written.get("battery", Table()).items()},
        signed=texts(written.get("signed")),
        contacts=texts(written.get("contacts")),
        revisions=revisions(written.get("revisions", ())),
        exposed=frozenset(map(str, written.get("exposed", ()))),
        joint=tuple(_joint(str(key), body) for key, body in written.get("joint", Table()).items()),
        slack=band(str(rules["slack"]), "1") if "slack" in rules else None,
        labels=label_sheet(rules["labels"], str(rules.get("paper", "A4"))) if "labels" in rules else None,
        sheets=sheets,
        taken=pointed_at((*shared.values(), *(device for door in doors.values() for device in door.devices.values()))),
    )


NO_HOUSE_RULE = ("slack", "labels")  # they stand with the rules of the house, but no door's pages depend on them


def pointed_at(devices: Iterable[Device]) -> frozenset[tuple[str, str]]:
    """Device and group of all that these devices point at, but for what belongs to another door."""
    targets = (target for device in devices for relation in device.relations for target in relation.targets)
    return frozenset((target.device, target.group) for target in targets if target.group and not target.door)


def house(written: Table) -> House:
    ruled = {key: str(value) for key, value in written.items() if key not in NO_HOUSE_RULE}
    words: dict[str, Any] = {("break_" if key == "break" else key.replace("-", "_")): value for key, value in ruled.items()}
    return House(**words)


def stock(written: Table, sheets: Mapping[str, Sheet]) -> Stock:
    line_end = sheets[written["line-end"]] if "line-end" in written else None
    calmers = (sheets[word] for word in listed(written.get("calm", Items())))
    assert line_end is None or isinstance(line_end, LineEndSheet)
    return Stock(
        power=_cables(written["power"], sheets),
        signal=_cables(written["signal"], sheets),
        line=_cables(written["line"], sheets),
        link=_cables(written["link"], sheets)[0],
        wire=_cables(written["wire"], sheets)[0],
        calm=tuple(sheet for sheet in calmers if isinstance(sheet, DataSheet)),
        line_end=line_end,
        splice=str(written.get("splice", "crimp")),
        strip=optional(written, "strip"),
    )


def _cables(written: Any, sheets: Mapping[str, Sheet]) -> tuple[CableSheet, ...]:
    return tuple(sheet for word in listed(written) if isinstance(sheet := sheets[word], CableSheet))


def _joint(name: str, written: Table) -> Joint:
    return Joint(
        name,
        tuple(map(str, written["doors"])),
        int(written["at-once"]) if "at-once" in written else None,
        listed(written.get("together", Items())),
    )

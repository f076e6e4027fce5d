"""The responsibility matrix: who supplies, mounts, lands and tests each device, as the specs say, and how to reach them."""

from __future__ import annotations

from collections.abc import Collection, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass

from wiregen.packet.content import Cell, Column, Section, Strong, Table, Write, blocks
from wiregen.packet.wording import named
from wiregen.reading.model import Site
from wiregen.reading.shared import SITE, wired
from wiregen.wiring.model import Wiring

TASKS = {"supply": "Supplies", "mount": "Mounts", "terminate": "Lands", "test": "Tests"}
UNSAID = "not stated"
MAINS = "licensed electrician"


@dataclass(frozen=True)
class Duty:
    """Of one device; `who` by task, empty where nobody is named."""

    door: str
    ref: str
    type: str
    name: str
    place: str
    who: tuple[str, ...]
    existing: bool


def duties(site: Site, doors: Collection[str]) -> Iterator[Duty]:
    """Each device of the specs, under the door that it belongs to or, under `SITE`, of those that are shared."""
    for of, door in wired(site).items():
        if of in doors:
            for d in door.devices.values():
                who = tuple(d.by.get(task, d.by.get("all", "")) for task in TASKS)
                yield Duty(of, d.ref, d.sheet.type, d.sheet.name, d.place, who, d.existing)


def responsibilities(site: Site, doors: Collection[str], wirings: Mapping[str, Wiring]) -> Section:
    """For the devices of these doors, and for what is pulled and landed by these wirings."""
    listed = list(duties(site, doors))
    return Section(
        key="duties",
        title="Responsibilities",
        blocks=blocks(_parties(site, listed, wirings), _matrix(listed), _cabling(wirings)),
    )


def _parties(site: Site, listed: Iterable[Duty], wirings: Mapping[str, Wiring]) -> Table:
    """Everybody who is named, with how much is his; a contact of the same name beside him, room for one where there is none."""
    counts: dict[str, list[int]] = {}
    for duty in listed:
        for n, who in enumerate(duty.who):
            counts.setdefault(who or UNSAID, [0] * len(TASKS))[n] += 1
    contacts = {role.replace("-", " "): text for role, text in site.contacts.items()}
    rows: list[tuple[Cell, ...]] = []
    for who in sorted(counts, key=lambda who: (who == UNSAID, who)):
        reach: Cell = contacts.get(who) or ("" if who == UNSAID else Write())
        rows.append((Strong(who), *(str(count) if count else "" for count in counts[who]), reach))
    mains = sum(len(wiring.mains) for wiring in wirings.values())
    if mains:
        rows.append((Strong(MAINS), "", "", f"{mains} mains ends", "", contacts.get(MAINS) or Write()))
    return Table(
        "Who is named, and for how many devices",
        (
            Column("Who", 50),
            *(Column(title, 26, "right") for title in TASKS.values()),
            Column("To be reached", 110),
        ),
        tuple(rows),
        by_hand=True,
    )


def _matrix(listed: Sequence[Duty]) -> Table:
    """Devices of one type for which the same people answer share a row."""
    alike: dict[tuple[str, tuple[str, ...]], list[Duty]] = {}
    for duty in listed:
        if not duty.existing:
            alike.setdefault((duty.type, duty.who), []).append(duty)
    rows: list[tuple[Cell, ...]] = []
    for (type_, who), of in sorted(alike.items()):
        by_door: dict[str, list[str]] = {}
        for duty in of:
            by_door.setdefault(duty.door, []).append(duty.ref)
        where = "; ".join(named(refs) if door == SITE else f"{door} {named(refs)}" for door, refs in by_door.items())
        rows.append((Strong(type_), of[0].name, *(each or UNSAID for each in who), where))
    return Table(
        "Who supplies, mounts, lands and tests which device",
        (
            Column("Type", 36),
            Column("Name", 50),
            *(Column(title, 28) for title in TASKS.values()),
            Column("Where", 80),
        ),
        tuple(rows),
    )


def _cabling(wirings: Mapping[str, Wiring]) -> Table:
    by: dict[str, list[str]] = {}
    for of, wiring in wirings.items():
        for cable in wiring.cables.values():
            if not cable.existing:
                by.setdefault(cable.by or UNSAID, []).append(f"{of} {cable.ref}")
    rows = tuple((Strong(who), str(len(cables)), ", ".join(cables)) for who, cables in sorted(by.items()) if who != UNSAID)
    return Table("Cables that somebody is named for", (Column("Who", 50), Column("Cables", 20), Column("Which", 190)), rows)

"""The materials list: devices by door kit and of the site, and what is taken from stock; with who supplies what."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator, Mapping
from dataclasses import dataclass

from wiregen.packet.content import Cell, Column, Section, Strong, Table, blocks
from wiregen.packet.pulls import pulls
from wiregen.packet.reels import reels, slack
from wiregen.packet.wording import by_whom, length, plural
from wiregen.quantities import number
from wiregen.reading.model import Device, Site
from wiregen.reading.shared import wired
from wiregen.study.screw import in_a_row
from wiregen.wiring.model import Wiring


@dataclass(frozen=True)
class Item:
    """One line of the list.  `quantity` is a count, or metres where `unit` says so."""

    heading: str
    type: str
    name: str
    quantity: float
    unit: str
    where: str
    by: str


def materials(site: Site, wirings: Mapping[str, Wiring]) -> Iterator[Item]:
    """Kits in order of name, then doors without a kit, then the site's shared devices, then stock."""
    groups: dict[str, list[tuple[str, Device]]] = {}
    for door in (d for d in site.doors.values() if d.id in wirings):
        heading = f"Kit {door.kit}" if door.kit else "Doors without a kit"
        groups.setdefault(heading, []).extend((f"{door.id} {d.ref}", d) for d in door.devices.values() if not d.existing)
    for heading in sorted(groups, key=lambda h: (h == "Doors without a kit", h)):
        yield from _counted(heading, groups[heading])
    yield from _counted("Site, shared", [(d.ref, d) for d in site.shared.values() if not d.existing])
    yield from _stock(site, wirings)


def _counted(heading: str, devices: list[tuple[str, Device]]) -> Iterator[Item]:
    alike: dict[tuple[str, str], list[tuple[str, Device]]] = {}
    for where, device in devices:
        alike.setdefault((device.sheet.type, by_whom(device.by)), []).append((where, device))
    for (type_, by), of in sorted(alike.items()):
        yield Item(heading, type_, of[0][1].sheet.name, len(of), "", ", ".join(where for where, _ in of), by)


def _stock(site: Site, wirings: Mapping[str, Wiring]) -> Iterator[Item]:
    heading = "From stock"
    for reel in reels(site, pulls(site, wirings)):
        of_it = f", of it {length(reel.assumed, site.house)} ASSUMED" if reel.assumed else ""
        pulled = f"{plural(reel.pieces, 'piece')} of {length(reel.metres, site.house)} in all{of_it}"
        more = "" if reel.sheet.link else f", and {number(100 * slack(site))} % slack"
        yield Item(heading, reel.sheet.type, reel.sheet.name, reel.bought, "m", f"{pulled}{more}", "")
    counts: dict[tuple[str, str], list[str]] = {}
    for door in (d for d in wired(site) if d in wirings):
        wiring = wirings[door]
        for device in wiring.devices.values():
            if device.origin == "stock":
                counts.setdefault((device.sheet.type, device.sheet.name), []).append(door)
        for end in wiring.line_ends:
            if end.ref:
                name = f"end-of-line resistors {end.values.series.text}, {end.values.across.text}"
                counts.setdefault((site.stock.line_end.type if site.stock.line_end else "line-end", name), []).append(door)
        landed = Counter(end for c in wiring.conductors for end in (c.a, c.b))
        for joint in wiring.junctions:
            row, _ = in_a_row(joint.kind, landed[joint.end])
            counts.setdefault((joint.kind, "joint in a box"), []).extend([door] * row)
        for lead in wiring.lead_joints:
            counts.setdefault((lead.kind, "joint on a lead"), []).append(door)
    for (type_, name), doors in sorted(counts.items()):
        by_door = ", ".join(f"{door} {count}" for door, count in Counter(doors).items())
        yield Item(heading, type_, name, len(doors), "", by_door, "")


def materials_list(site: Site, wirings: Mapping[str, Wiring]) -> Section:
    rows: list[tuple[Cell, ...]] = []
    last = ""
    for item in materials(site, wirings):
        if item.heading != last:
            rows.append((item.heading,))
            last = item.heading
        quantity = length(item.quantity, site.house) if item.unit == "m" else f"{item.quantity:g}"
        rows.append((Strong(item.type), item.name, quantity, item.where, item.by))
    return Section(
        key="materials",
        title="Materials",
        blocks=blocks(
            Table(
                "",
                (
                    Column("Type", 36),
                    Column("Name", 62),
                    Column("Quantity", 24, "right"),
                    Column("Where", 100),
                    Column("By", 45),
                ),
                tuple(rows),
            )
        ),
    )

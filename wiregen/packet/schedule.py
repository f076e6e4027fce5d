"""The cable schedule of the site with its pull list: every jacket and link, and what to order on reels."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass

from wiregen.packet.content import Cell, Column, Section, Strong, Table, Tick, blocks
from wiregen.packet.wording import length
from wiregen.quantities import typeset
from wiregen.reading.model import CableSheet, Site
from wiregen.reading.shared import wired
from wiregen.wiring.model import Wiring


@dataclass(frozen=True)
class Pull:
    """One piece of cable or one link to be pulled.  `length` in metres."""

    door: str
    ref: str
    sheet: CableSheet
    along: tuple[str, ...]
    length: float
    assumed: bool
    serves: tuple[str, ...]
    used: int
    spares: tuple[str, ...]
    screen: str
    existing: bool
    by: str
    link: bool


def pulls(site: Site, wirings: Mapping[str, Wiring]) -> Iterator[Pull]:
    """What is shared, then door by door; cables and links in the order of their designations."""
    for door in wired(site):
        if door in wirings:
            yield from sorted(_of_door(door, wirings[door]), key=lambda p: (len(p.ref), p.ref))


def _of_door(door: str, wiring: Wiring) -> Iterator[Pull]:
    for c in wiring.cables.values():
        used = len(c.cores) - len(c.spares)
        yield Pull(
            door, c.ref, c.sheet, c.along, c.length, c.assumed, c.serves, used, c.spares, c.screen_why, c.existing,
            c.by or "", link=False,
        )  # fmt: skip
    for link in wiring.links:
        ends = (str(link.a), str(link.b))
        yield Pull(
            door, link.ref, link.sheet, link.along, link.length, link.assumed, ends, len(link.sheet.cores), (), "", False,
            "", link=True,
        )  # fmt: skip


def cable_schedule(site: Site, wirings: Mapping[str, Wiring]) -> Section:
    listed, of = list(pulls(site, wirings)), wired(site)
    rows: list[tuple[Cell, ...]] = []
    last = ""
    for p in listed:
        if p.door != last:
            rows.append((f"{p.door} {of[p.door].name}",))
            last = p.door
        rows.append(
            (
                Strong(f"{p.door} {p.ref}"),
                typeset(p.sheet.name or p.sheet.type),
                " – ".join(p.along),
                length(p.length, site.house, p.assumed),
                ", ".join(p.serves),
                f"{p.used} of {len(p.sheet.cores)}" + (f"; spare {', '.join(p.spares)}" if p.spares else ""),
                ", ".join(part for part in ("existing" if p.existing else "", p.by, p.screen) if part),
                Tick(2),
            )
        )
    return Section(
        key="cables",
        title="Cable schedule and pull list",
        blocks=blocks(
            _reels(site, listed),
            Table(
                "Cables and links, door by door",
                (
                    Column("Cable", 24),
                    Column("Type", 40),
                    Column("Along", 48),
                    Column("Length", 28),
                    Column("Serves", 36),
                    Column("Cores used", 44),
                    Column("By, screen", 40),
                    Column("pulled tested", 15, "middle"),
                ),
                tuple(rows),
                by_hand=True,
            ),
        ),
    )


def reels(listed: list[Pull]) -> list[tuple[CableSheet, int, float, float]]:
    """(sheet, pieces, metres in all, metres of it assumed) of what is new, by type."""
    by_type: dict[str, list[Pull]] = {}
    for p in listed:
        if not p.existing:
            by_type.setdefault(p.sheet.type, []).append(p)
    return [
        (of[0].sheet, len(of), sum(p.length for p in of), sum(p.length for p in of if p.assumed))
        for _, of in sorted(by_type.items())
    ]


def _reels(site: Site, listed: list[Pull]) -> Table:
    rows = []
    for sheet, pieces, metres, assumed in reels(listed):
        of_it = f"{length(assumed, site.house)} ASSUMED" if assumed else "none"
        rows.append((Strong(sheet.type), sheet.name, typeset(sheet.size.text), str(pieces), length(metres, site.house), of_it))
    return Table(
        "Reels: what to order, without waste",
        (
            Column("Type", 40),
            Column("Name", 70),
            Column("Size", 30),
            Column("Pieces", 20, "right"),
            Column("Length in all", 40, "right"),
            Column("of it assumed", 40, "right"),
        ),
        tuple(rows),
    )

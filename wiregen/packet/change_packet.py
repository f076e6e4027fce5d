"""The sheets alone that are not as they were bound, with a cover that says which pages they take the place of."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from wiregen.keeping.canon import content_hash
from wiregen.packet.book import Book, Bound
from wiregen.packet.content import Cell, Column, Notes, Section, Strong, Table, Tick, blocks
from wiregen.packet.front import HAZARDS
from wiregen.packet.marking import running
from wiregen.packet.press import press
from wiregen.packet.typeset import Part, typeset
from wiregen.reading.model import Site
from wiregen.reading.shared import wired

TITLE = "Change packet"
HOW = (
    "Take the pages named out of the packet that is held, and keep them apart, marked as no longer valid.",
    "Put the pages of this packet in at their places; they carry the numbers of the packet as it is bound anew.",
    "Pages that stay keep the numbers that are printed on them, which may be others than the new index gives.",
    "Then compare the code at the foot of each page of the packet with the new index: each door's is under Content.",
)


@dataclass(frozen=True)
class Unit:
    """Pages that are replaced together, as one content hash stands on all of them: those of a door, a sheet of the site."""

    title: str
    first: int
    pages: int
    hash: str

    @property
    def numbers(self) -> str:
        return f"{self.first}" if self.pages == 1 else f"{self.first} to {self.first + self.pages - 1}"


def change_packet(site: Site, book: Book, held: Sequence[Mapping[str, Any]], since: str) -> bytes:
    """The pages of `book` that are not in the packet that is held, as PDF; `held` are its sections as its record tells them."""
    names = {of: f"{of} {door.name}" for of, door in wired(site).items()}
    now = _units([vars(section) for section in book.sections], names)
    then = _units(held, names)
    fresh = [key for key, unit in now.items() if key not in then or then[key].hash != unit.hash]
    gone = [key for key in then if key not in now]
    cover = _cover(now, then, fresh, gone, since)
    part = Part(cover, running(site, None, TITLE, content_hash(site.name, cover)), ((TITLE, 0),))
    only = {number for key in fresh for number in range(now[key].first, now[key].first + now[key].pages)}
    return press(
        book.pages, site.house.paper, title=f"{book.outline.title}, {TITLE.lower()} since {since}", author=book.outline.author,
        subject=part.running.code, ahead=typeset([part], site.house.paper), only=only,
    )  # fmt: skip


def differs(sections: Sequence[Bound], held: Sequence[Mapping[str, Any]]) -> bool:
    """Whether pages of any door are others than those that are held: what else a volume has follows from these."""
    return {(s.of, s.hash) for s in sections if s.of} != {(s["of"], s["hash"]) for s in held if s["of"]}


def _units(sections: Sequence[Mapping[str, Any]], names: Mapping[str, str]) -> dict[str, Unit]:
    """By door, or by key of a sheet of the site."""
    units: dict[str, Unit] = {}
    first = 1
    for section in sections:
        key = section["of"] or f"/{section['key']}"
        begun = units.get(key)
        title = names.get(section["of"], section["of"]) or section["title"]
        pages = (begun.pages if begun else 0) + section["pages"]
        units[key] = Unit(title, begun.first if begun else first, pages, section["hash"])
        first += section["pages"]
    return units


def _cover(
    now: Mapping[str, Unit], then: Mapping[str, Unit], fresh: Sequence[str], gone: Sequence[str], since: str
) -> Section:
    rows: list[tuple[Cell, ...]] = []
    for key in (*fresh, *gone):
        old, new = then.get(key), now.get(key)
        title = new.title if new else then[key].title
        rows.append((Strong(title), old.numbers if old else "–", Tick(), new.numbers if new else "–", Tick()))
    held = sum(unit.pages for unit in then.values())
    caption = f"From the packet of {since}, of {held} pages, to the one of this revision"
    return Section(
        key="change-cover",
        title=TITLE,
        blocks=blocks(
            Notes(HAZARDS, caption="Hazards: read before any work", numbered=True, caution=True),
            Notes(HOW, caption=caption, numbered=True, across=1),
            Table(
                "Pages to take out and to put in",
                (
                    Column("What", 90),
                    Column(f"Take out: pages of {since}", 60),
                    Column("out", 14, "middle"),
                    Column("Put in: pages of this packet", 60),
                    Column("in", 14, "middle"),
                ),
                tuple(rows),
                by_hand=True,
            )
            if rows
            else Notes(("Nothing is to be replaced: all pages are as they were.",), across=1),
        ),
    )

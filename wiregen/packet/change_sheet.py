"""What is to be done at each door that is no longer as it was, as sheets for the one who does it."""

from __future__ import annotations

from typing import Any

from wiregen.changes.model import Changes, DoorChanges
from wiregen.changes.told import doing, headline, thing
from wiregen.keeping.canon import content_hash
from wiregen.packet.content import Cell, Column, Notes, Section, Strong, Table, Tick, blocks
from wiregen.packet.front import HAZARDS
from wiregen.packet.marking import SHOWN
from wiregen.packet.paper import Running
from wiregen.packet.press import press
from wiregen.packet.typeset import Part, typeset

TITLE = "Change sheet"


def change_sheet(changes: Changes) -> Section:
    sheets = (f"Sheets of the site that say something else: {', '.join(changes.sheets)}.",) if changes.sheets else ()
    nothing = () if changes.doors else ("No door is other than it was.",)
    return Section(
        key="changes",
        title=TITLE,
        blocks=blocks(
            Notes(HAZARDS, caption="Hazards: read before any work", numbered=True, caution=True),
            *map(_door, changes.doors),
            Notes((*nothing, *sheets), across=1),
        ),
    )


def _door(door: DoorChanges) -> Table:
    rows: list[tuple[Cell, ...]] = [
        (Tick(), Strong(doing(c)), thing(c), c.old or "–", c.new or "–") for c in door.changes
    ]
    if door.sections and door.changes[0].of != "pages":
        rows.append((Tick(), Strong("print anew"), ", ".join(door.sections)))
    return Table(
        headline(door),
        (Column("", 8, "middle"), Column("Do", 26), Column("What", 60), Column("As it was", 84), Column("As it is now", 84)),
        tuple(rows) or ((Tick(), Strong("take out" if door.how == "removed" else "put in"), "its whole section"),),
        by_hand=True,
    )


def bind_changes(changes: Changes, old: dict[str, Any], new: dict[str, Any]) -> bytes:
    """The change sheet as PDF, on the paper of the new record."""
    section, site = change_sheet(changes), new["site"]
    then, now = (_issue(record["site"]) for record in (old, new))
    code = f"{site['id']} {content_hash(section, then, now)[:SHOWN].upper()}"
    running = Running(site["name"], f"{then} → {now}", TITLE, f"{site['name']} · {then} → {now}", code)
    title = f"{site['name']}: {TITLE.lower()}"
    part = Part(section, running, ((TITLE, 0),))
    pages = typeset([part], site["paper"])
    return press(pages, site["paper"], title=title, author=site["signed"].get("drawn", ""), subject=code)


def _issue(site: dict[str, Any]) -> str:
    revisions = site["revisions"]
    return f"revision {revisions[-1]['rev']} of {revisions[-1]['date']}" if revisions else "no revision stated"

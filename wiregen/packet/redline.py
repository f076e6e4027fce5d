"""A door's redline form: what is on the wall otherwise than on the sheets, as known and as found next, to hand in."""

from __future__ import annotations

from collections.abc import Iterator

from wiregen.packet.content import Cell, Column, Notes, Room, Section, Strong, Table, Write, blocks
from wiregen.packet.wording import length
from wiregen.reading.model import Door, Site
from wiregen.wiring.model import Conductor, Wiring

LINES = 9  # rows to write on: with the rest they fill a page
HAND_IN = (
    "One row a wire, by the number on its sleeve.  From and To are those of the termination sheet; write what is there now.  "
    "Leave free what is as drawn.",
    "Cores and colours by their letters; lengths as measured, along the cable.  What no row holds goes into the sketch.",
    "Change nothing that lets people out, nor the fire release, before the designer has answered: stop and ask.",
    "Hand this page in to the designer, or a picture of it; keep one with the door.  It is entered in the door's spec under "
    "`as-built`; the next packet shows it, and takes the place of this one.",
)
COLUMNS = (
    Column("Wire", 20),
    Column("From", 34),
    Column("To", 34),
    Column("Colour, core", 24),
    Column("Length", 27),
    Column("What was done instead, and why", 77),
    Column("By", 30),
    Column("Date", 24),
)


def redline_form(site: Site, door: Door, wiring: Wiring) -> Section:
    """A page to write on; what the spec knows of the wall already stands behind."""
    return Section(
        key=f"{door.id}-redline",
        title="Redline form",
        blocks=blocks(
            Notes(HAND_IN, 2, "How it is used", numbered=True),
            Table("Found otherwise than drawn", COLUMNS, ((Write(),) * len(COLUMNS),) * LINES, by_hand=True),
            Room("Sketch", 52.0),
            Table("Known already: it is on the sheets of this packet", COLUMNS, tuple(_known(site, wiring))),
        ),
    )


def _known(site: Site, wiring: Wiring) -> Iterator[tuple[Cell, ...]]:
    """Each wire that was corrected, as it is now with what the design had."""
    for c in wiring.conductors:
        if c.built:
            colours = dict.fromkeys((as_built(c, "colour", c.colour), as_built(c, "core", c.core or "")))
            was = length(c.built.was_length[0], site.house, c.built.was_length[1]) if c.built.was_length else ""
            yield (
                Strong(c.wire),
                as_built(c, "from", str(c.a)),
                as_built(c, "to", str(c.b)),
                ", ".join(filter(None, colours)),
                f"{length(c.length, site.house, c.assumed)}, was {was}" if was else "",
                c.built.note,
                c.built.by,
                c.built.date,
            )


def as_built(c: Conductor, part: str, now: str) -> str:
    """`now` with what the design had, where a correction speaks of that part; else nothing."""
    was = dict(c.built.was).get(part) if c.built else None
    return f"{now}, was {was}" if was is not None else ""

"""A door's termination sheet: every conductor once, place by place in the order of work, with what a meter should show."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Sequence

from wiregen.packet.content import Cell, Column, Notes, Revision, Section, Strong, Table, Tick, blocks
from wiregen.packet.leftovers import leftovers
from wiregen.packet.wording import expected, length, state
from wiregen.quantities import typeset
from wiregen.reading.model import Door, Site
from wiregen.reading.shared import SITE
from wiregen.study.model import Reading, Study
from wiregen.wiring.model import Conductor, End, Revised, Wiring

# Readings worth a place beside a conductor; of a lock only the two states that a technician can make at once.
BESIDE = ("supply", "line", "loop", "input", "lock")
LOCK_STATES = ("idle", "grant")


def termination_sheet(site: Site, door: Door, wiring: Wiring, study: Study) -> Section:
    return Section(
        key=f"{door.id}-termination",
        title="Termination sheet",
        blocks=blocks(
            Notes(_cautions(door, wiring), caption="Before and while landing", numbered=True, caution=True),
            _conductors(wiring, study),
            _gone(wiring.revised),
            _links(site, wiring, study),
            _calmers(wiring),
            _line_ends(wiring),
            leftovers(wiring),
        ),
    )


def place_of(wiring: Wiring, end: End) -> str:
    """The place of a terminal's device, or of a junction's box."""
    if end.device in wiring.devices:
        return wiring.devices[end.device].place
    return wiring.boxes[end.device].place


def order_of_work(wiring: Wiring) -> dict[str, list[Conductor]]:
    """Conductors by the outer one of their two places, places from the closet outwards; cable by cable, core by core."""
    rank = {place: n for n, place in enumerate(wiring.places)}
    cables = {ref: n for n, ref in enumerate(wiring.cables)}
    cores = {(ref, core): n for ref, cable in wiring.cables.items() for n, (core, _) in enumerate(cable.cores)}
    work: dict[str, list[Conductor]] = {place: [] for place in wiring.places}
    for conductor in wiring.conductors:
        places = (place_of(wiring, conductor.a), place_of(wiring, conductor.b))
        work[max(places, key=lambda p: rank[p])].append(conductor)
    for conductors in work.values():
        conductors.sort(
            key=lambda c: (cables.get(c.cable or "", len(cables)), cores.get((c.cable or "", c.core or ""), 0))
        )  # a stable sort: wires and jumpers keep the order of the wiring
    return {place: conductors for place, conductors in work.items() if conductors}


def _end(wiring: Wiring, end: End, place: str) -> str:
    """"A1:COM", "A1:1 lead RD-BK", "X1:s3 in box"; the place is named where it is not the one of the heading."""
    device, own = wiring.devices.get(end.device), place_of(wiring, end)
    lead = device.sheet.terminal(end.terminal).colour if device else None
    return str(end) + (f" lead {lead}" if lead else "") + (f" in {own}" if own != place else "")


def _was(conductor: Conductor, part: str) -> str:
    """What the design had, where something else is built; and where an end was found that the design has here."""
    built = conductor.built
    if built is None:
        return ""
    was, off = dict(built.was).get(part), dict(built.off).get(part)
    return f" (found on {off})" if off else f" (was {was})" if was else ""


def _noted(conductor: Conductor) -> str:
    return f"; as built: {conductor.built.note}" if conductor.built and conductor.built.note else ""


def _lies_in(conductor: Conductor) -> str:
    if conductor.cable:
        return conductor.cable + (f" core {conductor.core}" if conductor.core not in (None, conductor.colour) else "")
    return conductor.kind


class Beside:
    """The readings of a door by the conductors beside which they are told."""

    def __init__(self, readings: Sequence[Reading]) -> None:
        self._first: dict[End, list[tuple[int, Reading]]] = defaultdict(list)  # in their order over all ends
        self._whole: dict[str, list[Reading]] = defaultdict(list)
        for n, reading in enumerate(readings):
            if reading.step in BESIDE and (reading.step != "lock" or reading.state in LOCK_STATES):
                self._first[reading.between[0]].append((n, reading))
            elif reading.step == "continuity":
                self._whole[reading.about].append(reading)

    def of(self, conductor: Conductor) -> str:
        """Those that have one of its ends as their first terminal; end to end where there is none."""
        told: dict[tuple[str, End], list[str]] = {}
        near = {n: reading for end in (conductor.a, conductor.b) for n, reading in self._first.get(end, ())}
        for _, reading in sorted(near.items()):
            text = f"{expected(reading)} {state(reading.state)}"
            told.setdefault((reading.step, reading.between[1]), []).append(text)
        texts = [f"to {second} {', '.join(values)}" for (_, second), values in told.items()]
        return "; ".join(texts or [f"end to end {expected(r)}" for r in self._whole.get(conductor.wire, ())])


def _mark(wiring: Wiring, wire: str) -> tuple[Cell, ...]:
    """The cell of its revision mark: none where the sheet marks nothing, an empty one where it marks others."""
    revised = wiring.revised
    if revised is None or not revised.wires:
        return ()
    return (Revision(revised.rev) if wire in revised.wires else "",)


def _mark_column(wiring: Wiring) -> tuple[Column, ...]:
    return (Column("Rev", 11),) if _mark(wiring, "") else ()


def _gone(revised: Revised | None) -> Notes:
    """Conductors that were issued and are there no more; they are to be taken out."""
    gone = revised.gone if revised else ()
    return Notes(tuple(map(typeset, gone)), across=1, caption=f"Removed since {revised.since}" if revised else "")


def _conductors(wiring: Wiring, study: Study) -> Table:
    rows: list[tuple[Cell, ...]] = []
    beside = Beside(study.readings)
    for place, conductors in order_of_work(wiring).items():
        rows.append((f"At {place}",))
        rows += [
            (
                Strong(c.wire),
                *_mark(wiring, c.wire),
                _end(wiring, c.a, place) + _was(c, "from"),
                Tick(2),
                _end(wiring, c.b, place) + _was(c, "to"),
                Tick(2),
                Strong(c.colour + _was(c, "colour")),
                _lies_in(c) + _was(c, "core"),
                typeset(c.size),
                c.function + (f" ({c.why})" if c.why.startswith("added") else "") + _noted(c),
                beside.of(c),
            )
            for c in conductors
        ]
    return Table(
        "",
        (
            Column("Wire", 19),
            *_mark_column(wiring),
            Column("From", 42),
            Column("landed tugged", 15, "middle"),
            Column("To", 42),
            Column("landed tugged", 15, "middle"),
            Column("Colour", 15),
            Column("Cable", 20),
            Column("Size", 18),
            Column("Function", 30),
            Column("Expected", 54),
        ),
        tuple(rows),
        by_hand=True,
    )


def _links(site: Site, wiring: Wiring, study: Study) -> Table:
    seen = {r.about: expected(r) for r in study.readings if r.step == "port"}
    rows: list[tuple[Cell, ...]] = []
    for link in wiring.links:
        classes = [seen[end.device] for end in (link.a, link.b) if end.device in seen]
        rows.append(
            (
                Strong(link.ref),
                *_mark(wiring, link.ref),
                str(link.a),
                Tick(1),
                str(link.b),
                Tick(1),
                f"{link.sheet.type}; {link.sheet.link}" if link.sheet.link else link.sheet.type,
                length(link.length, site.house, link.assumed),
                ", ".join(("data and power" if link.poe else "data", *classes)),
            )
        )
    return Table(
        "Links (made-up cables with plugs)",
        (
            Column("Link", 14),
            *_mark_column(wiring),
            Column("From", 32),
            Column("plugged", 15, "middle"),
            Column("To", 32),
            Column("plugged", 15, "middle"),
            Column("Type, plugs", 70),
            Column("Length", 30),
            Column("Carries, expected", 52),
        ),
        tuple(rows),
        by_hand=True,
    )


def _calmers(wiring: Wiring) -> Table:
    """Where each lead goes; they are ticked with the other conductors."""
    rows: list[tuple[Cell, ...]] = []
    for c in wiring.calmers:
        leads = [
            f"{lead} to {other}"
            for conductor in wiring.conductors
            for lead, other in ((conductor.a, conductor.b), (conductor.b, conductor.a))
            if c.ref and lead.device == c.ref
        ]
        rows.append(
            (
                Strong(c.ref or c.lock),
                c.word if c.ref else f"{c.word}, fitted inside {c.lock}",
                ", ".join(leads) or "nothing to land",
                f"band to {c.band_at}" if c.band_at else "",
                c.why,
            )
        )
    return Table(
        "What calms each coil: at the lock, the right way round",
        (Column("Device", 14), Column("What", 46), Column("Leads", 62), Column("Direction", 40), Column("Why", 93)),
        tuple(rows),
    )


def _line_ends(wiring: Wiring) -> Table:
    return Table(
        "End-of-line resistors: in or at the sensor, never at the input",
        (Column("Sensor", 20), Column("Input", 30), Column("Resistors", 80), Column("Where", 60)),
        tuple(
            (
                Strong(e.sensor),
                e.input,
                typeset(f"{e.values.series.text} in series, {e.values.across.text} across the contact"),
                f"added at {e.sensor} as {e.ref}" if e.ref else f"cast in {e.sensor}",
            )
            for e in wiring.line_ends
        ),
    )


def _cautions(door: Door, wiring: Wiring) -> tuple[str, ...]:
    named = f"the word {SITE}" if door.id == SITE else "the door"
    notes = [
        "Switch off and prove dead: power over Ethernet at the switch, and every supply named on this sheet.",
        f"Sleeve both ends of each conductor with {named} and its number, such as {door.id} {_example(wiring)}.",
        "Land the lock's power last.  Tug each conductor once it is landed; tick both boxes at each end.",
    ]
    if wiring.mains:
        notes.append("Mains is landed by a licensed electrician alone.")
    if any("fire" in c.circuit for c in wiring.conductors):
        notes.append("The fire interface belongs to the fire-alarm contractor: put the panel on test before touching it.")
    return tuple(notes)


def _example(wiring: Wiring) -> str:
    return wiring.conductors[0].wire if wiring.conductors else ""



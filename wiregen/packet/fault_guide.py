"""A door's fault guide: what somebody complains of, what to push or see first, where to measure then, what it likely is."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from wiregen.faults.guide import Check, Complaint, Guide
from wiregen.packet.content import Cell, Column, Notes, Section, Strong, Table, blocks
from wiregen.packet.fault_words import NOUGHT, alike, complaint, volts
from wiregen.packet.wording import state
from wiregen.quantities import quantity
from wiregen.reading.model import Band, Door
from wiregen.study.model import Study

NEXT = "next step"
CAUTIONS = (
    "Leads are live while you measure.  Mains inside supplies is landed and opened by a licensed electrician alone.  Keep the "
    "door openable: open or guarded while it cannot be left; prove each way out after.",
    "Where a step needs the fire state it says so, and comes last: fire panel on test first, fire-alarm contractor present.",
)
HOW = (
    "Look first, then measure from the top until a reading ends the search.  What is met most often stands first (common "
    "practice, no source); faults joined by \"or\" show alike on every meter.  One fault at a time is assumed.",
    "Good: least to most that the whole door shows, solved on its network; the meter may be off by 2 % and 0.05 V.",
)


def fault_guide(door: Door, study: Study) -> Section | None:
    """None where the faults of a door were not worked out, and for what doors share."""
    if study.upkeep is None:
        return None
    guide = study.upkeep.guide
    return Section(
        key=f"{door.id}-faults",
        title="Fault guide",
        blocks=blocks(
            Notes(CAUTIONS, 1, "Before you measure", caution=True),
            _table(guide),
            Notes((*HOW, *_left_out(guide), *_silent(guide, bool(study.upkeep.retests))), 2, "How to read it"),
        ),
    )


def _table(guide: Guide) -> Table:
    rows: list[tuple[Cell, ...]] = []
    for n, one in enumerate(guide.complaints, 1):
        rows += _rows(n, one)
    return Table(
        "",
        (
            Column("Step", 9),
            Column("Door is", 32),
            Column("Volts, red and black lead on", 44),
            Column("Good", 24),
            Column("If good", 66),
            Column("If not good, most likely", 92),
        ),
        tuple(rows),
    )


def _rows(number: int, of: Complaint) -> Iterator[tuple[Cell, ...]]:
    yield (f"{number}  {complaint(of.symptom)}",)
    for text in () if of.symptom.alone else of.looks:  # alone: as at the locks together
        yield ("first", text[:1].upper() + text[1:])
    for n, check in enumerate(of.checks, 1):
        good, bad = _outcomes(of, check, last=n == len(of.checks))
        at = f" ({check.between.place})" if check.between.place else ""
        yield (
            f"{number}.{n}",
            _when(check),
            f"{check.between.a} and {check.between.b}{at}",
            Strong(volts(check.good)),
            good,
            bad,
        )


def _when(check: Check) -> str:
    turn = f", {check.moment.lock}" if check.moment.lock else ""
    text = f"{state(check.moment.happening.name)}{turn}"
    return f"{text}: {check.before}" if check.before else text


def _outcomes(of: Complaint, check: Check, last: bool) -> tuple[str, str]:
    """What it is where the reading is good, and where it is not."""
    found = _by_volts(check)
    left = _named([alike(faults) for faults in of.left], of.more) if last else NEXT
    if check.if_good:
        return _at_fault(of, check), left or NEXT
    return left or ("nothing electrical: look again" if last else NEXT), found


def _at_fault(of: Complaint, check: Check) -> str:
    """What a thing at which the volts are good may have."""
    sign = of.symptom.sign
    found = [alike(one.faults) + _beyond(one.volts, check.good) for one in check.likely]
    if sign.is_ == "free":
        found.append(f"{sign.what} itself: mechanical")
    return _named(found or [f"{sign.what.partition('.')[0]} itself"], check.more)


def _beyond(shown: float, good: Band) -> str:
    """What shows where it is a little beyond: a source without its load."""
    return "" if good.least - NOUGHT <= shown <= good.most + NOUGHT else f" (then {_about(shown)})"


def _by_volts(check: Check) -> str:
    """"0 V: A101a open ...; 7 V: ...": what shows the same stands together, in the order of what is likeliest."""
    of: dict[str, list[str]] = {}
    for one in check.likely:
        of.setdefault(_about(one.volts), []).append(alike(one.faults))
    return _named([f"{shown}: {'; '.join(texts)}" for shown, texts in of.items()], check.more)


def _about(volts: float) -> str:
    return "0 V" if abs(volts) < NOUGHT else quantity(round(volts, 1), "V")


def _named(texts: Sequence[str], more: int) -> str:
    return "; ".join([*texts, *([f"{more} others"] if more else [])])


def _left_out(guide: Guide) -> Iterator[str]:
    if guide.left_out:
        yield "No room here for: " + "; ".join(complaint(one) for one in guide.left_out) + "."
    yield (
        f'What this page does not find: wiregen diagnose ... --door {guide.door} "TERMINAL TERMINAL = VOLTS" weighs all '
        f"{guide.weighed} single faults and asks for the next reading."
    )


def _silent(guide: Guide, retested: bool) -> Iterator[str]:
    yield (
        f"{guide.silent} of {guide.weighed} single faults show in no reading here, {guide.to_frame} of them a lead on the "
        "earthed frame: once a year, supply off, measure each lead against the frame as the test record says."
    )
    if guide.withheld:
        yield "What can be done to this door from outside is not told here: see its finding, and cure that first."
    if not retested:
        yield "Of the release of this door no fault stays unseen in daily use: it has no retest sheet."

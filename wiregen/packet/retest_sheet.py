"""A door's yearly retest sheet: faults of its release that nobody notices in daily use, each with the test that shows it."""

from __future__ import annotations

from collections.abc import Iterator

from wiregen.faults.retest import Retest
from wiregen.packet.content import Cell, Column, Notes, Section, Table, Write, blocks
from wiregen.packet.fault_words import brief, volts
from wiregen.packet.wording import by_text, expected, named
from wiregen.reading.model import Contact, Door
from wiregen.study.model import Study
from wiregen.wiring.model import Wiring

CAUTIONS = (
    "Fire panel on test first, fire-alarm contractor present, wherever the fire signal is worked; off test afterwards.",
    "Mains is switched and worked on by a licensed electrician alone.  Somebody stands outside with a key; the door stays open "
    "or guarded from a test that fails until it is mended.",
    "Local code and the authority having jurisdiction say how often and by whom; yearly is common practice, no source.",
)
# How a state is brought about, the easiest first
BRING: dict[str, str] = {
    "other-open": "hold the other leaf open, so that this door waits",
    "forced": "open the door without access",
    "tamper": "take the device outside off its wall",
    "port-dead": "switch the network port off",
    "controller-dead": "unplug the controller",
    "power-dead": "switch the lock's supply off, its battery too",
    "mains-lost": "switch the mains off, battery on",
    "fire": "fire panel on test first; then have the fire signal given",
    "hung-rest": "keep the controller from answering",
}


def retest_sheet(door: Door, wiring: Wiring, study: Study, stops: int = 0) -> Section | None:
    """None for a door of whose release no fault stays unseen.

    `stops` findings stop the door: then there is no box to sign in.
    """
    if study.upkeep is None or not study.upkeep.retests:
        return None
    rows = [*_tests(wiring, study.upkeep.retests), *_insulation(study)]
    numbered: list[tuple[Cell, ...]] = [(f"{n}", *row) for n, row in enumerate(rows, 1)]
    return Section(
        key=f"{door.id}-retest",
        title="Retest sheet, yearly",
        blocks=blocks(
            Notes(CAUTIONS, 1, "Before you test", caution=True),
            Table(
                "Faults of the release that daily use does not show",
                (
                    Column("Test", 9),
                    Column("Bring about", 66),
                    Column("Then", 34),
                    Column("Must be so", 40),
                    Column("If not, most likely", 66),
                    Column("Read", 22),
                    Column("Name", 30),
                    Column("Date", 22),
                ),
                tuple(numbered),
                by_hand=True,
            ),
            Notes(NOTES, 2, "How to read it"),
            None if stops else _again(),
        ),
    )


NOTES = (
    "Each test takes from the door what else would let it go, so that one contact alone must do it.  \"Read\": volts between "
    "the two terminals of the lock.",
    "What was changed for a test is put back at once; then leave once more in each way, as every day.",
)


def _tests(wiring: Wiring, tests: tuple[Retest, ...]) -> Iterator[tuple[Cell, ...]]:
    for test in tests:
        yield (
            _bring(test),
            _then(wiring, test),
            _must(test),
            "; ".join(brief(fault) for fault in test.faults),
            Write("V" if test.volts else ""),
            Write(),
            Write(),
        )


def _bring(test: Retest) -> str:
    easiest = min(test.states, key=lambda name: [*BRING, name].index(name))
    text = BRING.get(easiest, easiest)
    if easiest == "hung-rest" and test.told:
        them = "it is" if len(test.told) == 1 else "they are"
        text += f": switch {named(test.told)} off in its settings, so that {them} not heard; put back afterwards"
    return text[:1].upper() + text[1:]


def _then(wiring: Wiring, test: Retest) -> str:
    if test.way is None:
        return "look at the lock"
    texts = []
    for ref in test.by:
        groups = wiring.devices[ref].sheet.groups.values()
        words = {w for g in groups if isinstance(g, Contact) for c in g.closed_when for w in c.any_of}
        texts.append(f"{'walk up to' if 'motion' in words else 'press'} {ref}")
    return " or ".join(texts) or f"leave by {test.way.removeprefix('exit-').replace('-', ' ')}"


def _must(test: Retest) -> str:
    shown = {lock: f", {volts(test.volts[lock])} at it" if lock in test.volts else "" for lock in test.locks}
    told = (f"{named(locks)} {'let' if len(locks) > 1 else 'lets'} go{at_it}" for at_it, locks in by_text(shown).items())
    return "; ".join(told)


def _insulation(study: Study) -> Iterator[tuple[Cell, ...]]:
    """What shows a lead on the earthed frame, of which no volts tell while the 0 V floats."""
    leads = [r for r in study.readings if r.step == "insulation"]
    if leads:
        least = min(leads, key=lambda r: r.least)
        yield (
            "Supply off, battery off",
            "ohms, each lead of the lock to the frame",
            expected(least),
            f"a lead touches the earthed frame: {', '.join(str(r.between[0]) for r in leads)}",
            Write("Ω"),
            Write(),
            Write(),
        )


def _again() -> Table:
    titles = (("Retested by", 60), ("Signature", 70), ("Date", 40), ("Instrument and its number", 60), ("Next due", 40))
    return Table("Retest signed", tuple(Column(*title) for title in titles), ((Write(),) * len(titles),), by_hand=True)

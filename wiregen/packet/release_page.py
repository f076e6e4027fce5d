"""The egress and fire-release page of a door, for the inspector: its chain drawn alone, and what follows from it in words."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import replace

from wiregen.packet.content import Chains, Facts, Notes, Section, blocks
from wiregen.packet.egress import fire_release
from wiregen.packet.release_chain import Branch, Release, Thing
from wiregen.packet.tracing import release
from wiregen.packet.ways import Wire
from wiregen.packet.wording import LEAVING, by_text, leaving, named
from wiregen.reading.model import Door, Site
from wiregen.states.verdict import MECHANICAL
from wiregen.wiring.model import Behaviour, Wiring

STATES = {"idle": "Idle", "exit": "Somebody leaves", "fire": "Fire alarm", "power-dead": "All power lost"}
CAUTIONS = (
    "This page says how the door is wired, not that it may be used so: local code, the authority having jurisdiction and the "
    "listing of the hardware decide.  The fire interface is the fire-alarm contractor's: panel on test first, release and "
    "reset proved with him.  Keep a door open rather than unproved.",
)


def release_page(site: Site, door: Door, wiring: Wiring, shared: Wiring | None = None) -> Section | None:
    """None for a door without a lock that power holds or frees."""
    traced = release(site, door, wiring, shared)
    if not traced.chains:
        return None
    return Section(
        key=f"{door.id}-release",
        title="Egress and release chain",
        blocks=blocks(
            Chains((*traced.chains, *traced.acting), site.house.symbols),
            Facts(
                (*_facts(site, door, wiring), *states(door, wiring.behaviours)),
                caption="Leaving, fire, and what the lock does",
            ),
            Notes(tuple(narrative(traced)), 2, "From supply to lock, in words", numbered=True),
            Notes(CAUTIONS, 1, "For the inspector", caution=True),
            Notes(
                (
                    "Bold: the circuit that holds or frees the lock.  Thin, under a letter: what works the contact, output or "
                    "lock that shows this letter.  Round numbers: the line goes on.",
                    "Contacts are drawn without power, the door shut and nobody at it; \"idle\" says what each is in use.",
                ),
                caption="How to read it",
            ),
        ),
    )


def _facts(site: Site, door: Door, wiring: Wiring) -> Iterator[tuple[str, str]]:
    mechanical_first = tuple(sorted(door.leave_by, key=list(LEAVING).index))
    yield "One leaves", leaving(replace(door, leave_by=mechanical_first))
    told = [item for behaviour in wiring.behaviours for item in fire_release(site, wiring, behaviour.lock)]
    yield "Fire alarm does", "; ".join(dict.fromkeys(text for text, _ in told)) or "nothing in this circuit"
    yield "Reset", "; ".join(dict.fromkeys(reset for _, resets in told for reset in resets)) or "nothing to reset"
    yield "Code basis", "; ".join(f"{subject}: {code}" for subject, code in site.codes.items()) or "none stated by the site"


def states(door: Door, behaviours: Sequence[Behaviour]) -> Iterator[tuple[str, str]]:
    """What the locks do when nothing happens, when somebody leaves, on fire alarm, and without power."""
    by_hand = " or ".join(way for way in door.leave_by if way in MECHANICAL)
    for state, title in STATES.items():
        said = by_text({b.lock: b.gives[state] for b in behaviours if state in b.gives})
        if said:
            does = "; ".join(f"{named(locks)} {does}" for does, locks in said.items())
            yield title, f"by {by_hand}, whatever the lock does; {does}" if state == "exit" and by_hand else does


def narrative(traced: Release) -> Iterator[str]:
    """A sentence for each thing in order, chains first; then one for each line that acts."""
    for run in traced.chains:
        for n, stage in enumerate(run.stages):
            head = f"{run.title}: " if n == 0 and len(traced.chains) > 1 else ""
            yield head + " or ".join(_sentence(branch) for branch in stage) + "."
    if all(run.stages[-1][0].thing.look == "load" for run in traced.chains):
        yield "From the lock it runs back to its source without a contact."
    for run in traced.acting:
        yield f"{run.letter} {run.title}: " + ", ".join(_short(branch) for branch in run.branches) + "."


def _sentence(branch: Branch) -> str:
    thing = branch.thing
    if thing.look == "mains":
        return f"{thing.ref}, {thing.words[0]}"
    way = f"[{_wires(branch.before)}] to " if branch.before else ""
    called = f"{thing.ref} {thing.name}" + (f" at {thing.place}" if thing.place else "")
    said = ", ".join(word for word in (thing.word, *thing.words) if word)
    after = f", [{_wires(branch.after)}]" if branch.after else ""
    return f"{way}{called}{_marks(thing)}" + (f": {said}" if said else "") + after


def _short(branch: Branch) -> str:
    way = f"[{_wires(branch.before)}] " if branch.before else ""
    first = f" {branch.thing.words[0]}" if branch.thing.words and branch.thing.look in ("contact", "input") else ""
    return f"{way}{branch.thing.ref}{_marks(branch.thing)}{first}"


def _marks(thing: Thing) -> str:
    marks = [", ".join(thing.enters), thing.leaves if thing.leaves not in thing.enters else ""]
    told = " – ".join(mark for mark in marks if mark)
    return f" {told}" if told else ""


def _wires(wires: Sequence[Wire]) -> str:
    return ", ".join(f"{wire.number} {wire.lies}".strip() for wire in wires)

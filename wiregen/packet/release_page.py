"""The egress and fire-release page of a door, for the inspector: its chain drawn alone, and what follows from it in words."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import replace

from wiregen.packet.content import Chains, Facts, Notes, Section, blocks
from wiregen.packet.egress import fire_release, lock_does, resets
from wiregen.packet.release_chain import Branch, Release, Thing
from wiregen.packet.tracing import release
from wiregen.packet.ways import Wire
from wiregen.packet.wording import LEAVING, by_text, leaving, named
from wiregen.reading.model import Door, Site
from wiregen.states.verdict import MECHANICAL
from wiregen.wiring.model import Wiring

STATES = {"idle": "Idle", "exit": "Somebody leaves", "fire": "Fire alarm", "power-dead": "All power lost"}
CAUTIONS = (
    "This page says how the door is wired, not that it may be used so: local code, the authority having jurisdiction and the "
    "listing of the hardware decide.  The fire interface is the fire-alarm contractor's: panel on test first, release and "
    "reset proved with him.  Keep a door open rather than unproved.",
)

LEGEND = (
    "Bold: the way of the power to the lock, with each contact in it.  Thin, under a letter: what works the thing that shows "
    "this letter under its box.  Round numbers: the line goes on.",
    'At a line stand its wires with what they lie in: W4 is a cable, "in box" a wire without a jacket in that place, "link" a '
    'pre-terminated cable; "site": a wire among what doors share.  Where there are several, terminals and joints between them '
    "are on the wiring sheet.",
    "A box is so much of a device as lies on the line, its terminals at the edge: one device may have several boxes.  Inside "
    "stand the symbol of a contact or part, the volts of an output, or what it is: an input, a data line, a load.",
    'Contacts are drawn without power, the door shut and nobody at it; "idle" says what each is in use.  Names such as C1 to '
    "C8 are drawn together: the first belongs to the first, the second to the second.",
    "The state table of this door has more states, mains lost with a battery standing among them.  Under each contact: when it "
    "was tested, and by whom.",
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
                (*_facts(site, door, wiring, traced), *states(door, wiring)),
                caption="Leaving, fire, and what the lock does",
            ),
            Notes(tuple(narrative(traced)), 2, "From supply to lock, in words", numbered=True),
            Notes(CAUTIONS, 1, "For the inspector", caution=True),
            Notes(LEGEND, caption="How to read it"),
        ),
    )


def _facts(site: Site, door: Door, wiring: Wiring, traced: Release) -> Iterator[tuple[str, str]]:
    mechanical_first = tuple(sorted(door.leave_by, key=list(LEAVING).index))
    yield "One leaves", leaving(replace(door, leave_by=mechanical_first))
    told = [item for behaviour in wiring.behaviours for item in fire_release(site, wiring, behaviour.lock)]
    stand = [f"{thing.leaves} of {thing.ref} stands" for thing in traced.things if thing.fire == "stands"]
    yield "Fire alarm does", "; ".join(dict.fromkeys((*(told or ["nothing in this circuit"]), *stand)))
    yield "Reset", resets(traced)
    yield "Code basis", "; ".join(f"{subject}: {code}" for subject, code in site.codes.items()) or "none stated by the site"


def states(door: Door, wiring: Wiring) -> Iterator[tuple[str, str]]:
    """What the locks do when nothing happens, when somebody leaves, on fire alarm, and without power."""
    by_hand = " or ".join(way for way in door.leave_by if way in MECHANICAL)
    for state, title in STATES.items():
        sheets = {b.lock: wiring.devices[b.lock].sheet for b in wiring.behaviours}
        said = by_text({b.lock: lock_does(b, sheets[b.lock], state) for b in wiring.behaviours if state in b.gives})
        if said and not (state == "exit" and "none" in door.leave_by):
            does = "; ".join(f"{named(locks)} {does}" for does, locks in said.items())
            yield title, f"by {by_hand}, whatever the lock does; {does}" if state == "exit" and by_hand else does


def narrative(traced: Release) -> Iterator[str]:
    """A sentence for each thing in order, chains first; then one for each line that acts."""
    for run in traced.chains:
        for n, stage in enumerate(run.stages):
            head = f"{run.title}: " if n == 0 and len(traced.chains) > 1 else ""
            yield head + " or ".join(_sentence(branch) for branch in stage) + "."
    if all(run.stages[-1][0].thing.look == "load" for run in traced.chains):
        coils = [run.stages[-1][0].thing.ref for run in traced.acting if run.stages[-1][0].thing.look == "load"]
        ends = ("each lock" if len(traced.chains) > 1 else "the lock", *(f"the coil of {ref}" for ref in dict.fromkeys(coils)))
        yield f"From {' and from '.join(ends)} it runs back to its source without a contact."
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
    words = branch.thing.words[: {"contact": 1, "input": None}.get(branch.thing.look, 0)]
    said = f" {', '.join(words)}" if words else ""
    return f"{way}{branch.thing.ref}{_marks(branch.thing)}{said}"


def _marks(thing: Thing) -> str:
    marks = [", ".join(thing.enters), thing.leaves if thing.leaves not in thing.enters else ""]
    told = " – ".join(mark for mark in marks if mark)
    return f" {told}" if told else ""


def _wires(wires: Sequence[Wire]) -> str:
    return ", ".join(f"{wire.number} {wire.lies}".strip() for wire in wires)

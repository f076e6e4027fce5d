"""What to push and see before a meter is taken out: what is mechanical goes wrong before what is electrical."""

from __future__ import annotations

from collections.abc import Iterable, Iterator

from wiregen.faults.effects import Trials
from wiregen.faults.seen import Sign
from wiregen.states.happenings import moved_by
from wiregen.wiring.fitting import At

FIRE = "fire"
MOVED = ("pressed", "motion", "vehicle", "shut", "latched", "bonded", "thrown", "tampered", FIRE)  # by people, doors, alarms


def first_looks(trials: Trials, signs: Iterable[tuple[Sign, bool]]) -> tuple[str, ...]:
    """One sentence for each sort of thing that is otherwise than it should be; the locks where nothing is named."""
    signs = list(signs)
    found = [text for sign, is_so in signs for text in look(trials, sign, is_so)]
    if not signs:
        found = [text for lock in trials.locks[:1] for text in look(trials, Sign(lock.device, "free", "idle"), False)]
    return tuple(dict.fromkeys(found))


def look(trials: Trials, sign: Sign, is_so: bool) -> Iterator[str]:
    """What to look at where this is seen."""
    wiring = trials.wiring
    if sign.is_ == "free":
        part = wiring.devices[sign.what].sheet.frees or "lock"
        if is_so:
            yield f"push the door fully shut and try again: does the {part} of {sign.what} reach its place?"
        else:
            yield f"push the door and try again: is the {part} of {sign.what} under load, does it bind?"
    elif sign.is_ == "dark":
        yield f"look at {sign.what}: is it seated and undamaged, is its cable whole, no lead loose?"
    else:
        moved = on_it(trials, sign.what)
        if FIRE in moved.values():
            yield f"ask at the fire panel: is {' and '.join(moved)} reset, is nothing switched off?"
        else:
            works = " and ".join(moved) or "what stands on it"
            yield f"work {works} by hand: does it move freely, is it aligned, is nothing before it?"


def on_it(trials: Trials, name: str) -> dict[str, str]:
    """The devices that the world moves, and whose contacts stand on an input ("A1.door"), each with what moves it."""
    device, _, group = name.partition(".")
    circuits = trials.settler.logic.circuits
    found: dict[str, str] = {}
    for way in circuits.inputs.get(At(device, group), []):
        for step, _ in way.steps:
            for word in (word for of in moved_by(circuits.group(step.at)) for word in of if word in MOVED):
                found.setdefault(step.at.device, word)
    return found

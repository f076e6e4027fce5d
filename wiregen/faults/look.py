"""What to push and see before a meter is taken out: what is mechanical goes wrong before what is electrical."""

from __future__ import annotations

from collections.abc import Iterable, Iterator

from wiregen.faults.effects import Trials
from wiregen.faults.seen import Sign
from wiregen.wiring.fitting import At


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
        device, _, group = sign.what.partition(".")
        ways = trials.settler.logic.circuits.inputs.get(At(device, group), [])
        on_it = " and ".join(dict.fromkeys(step.at.device for way in ways for step, _ in way.steps))
        yield f"work {on_it or 'what stands on it'} by hand: does it move freely, is it aligned, is nothing before it?"

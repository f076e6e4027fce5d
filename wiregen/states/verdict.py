"""What the volts at a lock make of it, and what its locks make of the door."""

from __future__ import annotations

from collections.abc import Iterable

from wiregen.reading.model import DataSheet, Input
from wiregen.states.gauge import Needs
from wiregen.states.model import Enter, Leave, LockIs
from wiregen.states.struck import Struck
from wiregen.wiring.fitting import At
from wiregen.wiring.logic import Case, frees

MECHANICAL = ("handle", "bar")


def lock_by_volts(sheet: DataSheet, need: Needs, volts: float, before: LockIs = "not certain") -> LockIs:
    """A lock that nothing but its power works.  One that holds by power was held before, one that opens by it was shut; what
    has no spring stays as it was `before`, thrown or drawn: where that is not known, it is not certain."""
    if volts <= need.drops:
        return sheet.unpowered if sheet.unpowered in ("held", "free") else before
    if sheet.unpowered == "free":
        return "held" if volts >= need.keeps else "not certain"
    return "free" if volts >= need.works else "not certain"


def lock_is(logic: Struck, case: Case, load: At, need: Needs | None, volts: float, before: LockIs) -> LockIs:
    """`need` is None for what the network does not hold: then the circuits say whether it has power."""
    sheet = logic.cast.device(load.device).sheet
    freeing = [At(load.device, g.name) for g in sheet.groups.values() if isinstance(g, Input) and frees(g)]
    if need is None or (freeing and volts >= need.keeps):
        does = logic.lock_is(case, load)
        return "free" if does == "free" else "held" if does == "held" else before
    if freeing and need.drops < volts:
        return "not certain"
    return lock_by_volts(sheet, need, volts, before)


def both(one: LockIs, other: LockIs) -> LockIs:
    """What is the same at least and at most is certain."""
    return one if one == other else "not certain"


def passable(locks: Iterable[LockIs]) -> bool:
    """Whether one surely gets through where all these locks bar the way: what is not certain counts as barred."""
    return set(locks) <= {"free"}


def leave_is(leave_by: tuple[str, ...], as_is: bool, used: Iterable[bool]) -> Leave:
    """By a mechanical way always; else as the door stands, or by the best of the electrical ways, used."""
    return "free" if set(leave_by) & set(MECHANICAL) or as_is or any(used) else "barred"


def enter_is(as_is: bool, with_credential: bool) -> Enter:
    return "free" if as_is else "credential" if with_credential else "barred"

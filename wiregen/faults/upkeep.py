"""What whoever keeps a door needs of its faults: the guide to them, and the tests of those that nobody notices."""

from __future__ import annotations

from collections.abc import Collection
from dataclasses import dataclass

from wiregen.faults.effects import Trials
from wiregen.faults.guide import Guide, guide
from wiregen.faults.retest import Retest, retests
from wiregen.faults.seen import Seen


@dataclass(frozen=True)
class Upkeep:
    guide: Guide
    retests: tuple[Retest, ...]


def upkeep(trials: Trials, withheld: Collection[str] = ()) -> Upkeep:
    """`withheld` are keys of faults that stand in no guide.  Raises NotSolved where one has no operating point that can be
    found."""
    seen = Seen(trials)
    return Upkeep(guide(trials, seen, withheld), retests(trials, seen))

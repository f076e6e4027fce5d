"""Demo doors with all their faults tried, each made once."""

from __future__ import annotations

from functools import cache

from bench.diagnose import doors, suspects_of
from wiregen.faults.effects import Trials
from wiregen.faults.suspects import Suspects


@cache
def trials(door: str) -> Trials:
    (found,) = doors((door,))
    return found


@cache
def suspects(door: str) -> Suspects:
    return suspects_of(trials(door))

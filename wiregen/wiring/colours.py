"""Which core carries which potential (L6).

The first of the plus side takes the house's plus core, the first of the minus side its minus core; then a core in the colour
of the lead that it meets, if it is free; the second of a data pair takes the other core of the first one's pair; the rest
go in cable order, the minus core last for what is no minus.
"""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import dataclass

from wiregen.reading.model import CableSheet, House

EARTH = "GNYE"


@dataclass(frozen=True)
class Wish:
    """What a core of a bundle carries: `pole` plus, minus, earth or "", the colour of the lead it meets, and whether it is of
    a data line."""

    pole: str
    lead: str | None = None
    data: bool = False


def assign(sheet: CableSheet, wishes: Sequence[Wish], house: House) -> tuple[str, ...]:
    """The core for each wish, in the order of the wishes.  The sheet must have enough cores."""
    free = list(sheet.cores)
    given: dict[int, str] = {}

    def give(index: int, core: str) -> None:
        given[index] = core
        free.remove(core)

    for pole, core in (("plus", house.plus_core), ("minus", house.minus_core), ("earth", EARTH)):
        first = next((n for n, wish in enumerate(wishes) if wish.pole == pole), None)
        if first is not None and core in free:
            give(first, core)
    data = [n for n, wish in enumerate(wishes) if wish.data]
    for index in data:
        mate = next((other for n in data if n in given and (other := _mate(sheet, given[n])) in free), None)
        lead = wishes[index].lead
        if mate is not None and lead not in free:
            give(index, mate)
        elif lead in free:
            give(index, lead)
        elif whole := [p for p in sheet.pairs if p[0] in free and p[1] in free]:
            give(index, whole[0][0])
    for index, wish in enumerate(wishes):
        if index not in given and wish.lead in free:
            give(index, wish.lead)
    for index, wish in enumerate(wishes):
        if index not in given:
            avoid = {house.minus_core: wish.pole != "minus", house.plus_core: wish.pole != "plus"}
            give(index, min(free, key=lambda core: avoid.get(core, False)))
    return tuple(given[n] for n in range(len(wishes)))


def _mate(sheet: CableSheet, core: str) -> str | None:
    for one, other in sheet.pairs:
        if core in (one, other):
            return other if core == one else one
    return None


def core_colour(core: str) -> str:
    """The letters of a core's name; the number behind them tells cores of one colour apart."""
    return re.sub(r"\d+$", "", core)


def wire_colour(pole: str, house: House) -> str:
    """The colour of a single wire inside a box."""
    return {"plus": house.plus_core, "minus": house.minus_core, "earth": EARTH}.get(pole, house.other_core)

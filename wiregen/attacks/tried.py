"""All attacks on a door, settled at once, and what each makes of its locks and machines."""

from __future__ import annotations

from collections import Counter

import numpy as np

from wiregen.attacks.listed import attacks
from wiregen.attacks.model import Success, Tried
from wiregen.attacks.reached import reached
from wiregen.faults.listed import Lister
from wiregen.reading.model import Door, Input, Site
from wiregen.states.happenings import STILL
from wiregen.states.model import LockIs
from wiregen.states.settle import Point, Settled, Settler
from wiregen.states.table import locks_of
from wiregen.states.verdict import lock_is
from wiregen.wiring.fitting import At
from wiregen.wiring.model import Wiring

MOVES = ("frees", "opens")  # words of an input's `does` by which something gives way


def tried(site: Site, door: Door, wiring: Wiring, settler: Settler) -> Tried:
    """Raises NotSolved where the network under an attack has no operating point that can be found."""
    of_door = list(attacks(reached(site, door, wiring, settler), Lister(wiring, settler)))
    settled = settler.settle([Point(strike=STILL), *(attack.point for attack in of_door)])
    loose = {lock: does for lock in locks_of(wiring) if (does := _over(settled, lock))[0] == "held"}
    opening = [n for n, at in enumerate(settled.gauge.inputs) if gives_way(settler, at) and not settled.active[0, n]]
    found = []
    for row, attack in enumerate(of_door, start=1):
        lets_go = tuple((lock.device, does[row]) for lock, does in loose.items() if does[row] != "held")
        moves = tuple(str(settled.gauge.inputs[n]) for n in opening if settled.active[row, n])
        if lets_go or moves:
            found.append(Success(attack, lets_go, moves, settled.swings[row]))
    counts = Counter(attack.kind for attack in of_door)
    return Tried(tuple(counts.items()), tuple(found))


def _over(settled: Settled, lock: At) -> list[LockIs]:
    """What a lock does in each point; judged once for all points with the same logic whose volts say the same of it."""
    gauge = settled.gauge
    column = gauge.loads.index(lock) if lock in gauge.loads else None
    need = gauge.needs[column] if column is not None else None
    volts = settled.load_volts[:, column] if column is not None else np.zeros(len(settled.points))
    unfed = np.array([lock in point.strike.unfed for point in settled.points])
    volts = np.where(unfed, 0.0, volts)
    zones = sum(volts >= v for v in (need.keeps, need.works)) + (volts > need.drops) if need else np.zeros(len(volts))
    judged: dict[tuple[int, int], LockIs] = {}
    found: list[LockIs] = []
    for row, (logic, zone) in enumerate(zip(settled.logics, zones, strict=True)):
        key = (id(logic), int(zone))
        if key not in judged:
            before = found[0] if found else "held"
            judged[key] = lock_is(logic, settled.points[row].case, lock, need, float(volts[row]), before)
        found.append(judged[key])
    return found


def gives_way(settler: Settler, at: At) -> bool:
    """Whether an input is one by which something gives way."""
    group = settler.logic.circuits.group(at)
    return isinstance(group, Input) and bool(set(MOVES) & set((group.does or "").split()))

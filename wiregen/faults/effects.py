"""What each single fault makes of the door, state by state, beside what the whole door does."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from functools import cached_property

from wiregen.faults.listed import faults
from wiregen.faults.model import Fault
from wiregen.reading.model import Door
from wiregen.states.happenings import Happening, happenings, ways
from wiregen.states.model import LockIs
from wiregen.states.settle import Point, Settled, Settler
from wiregen.states.table import Turn, locks_do, locks_of, turns
from wiregen.states.verdict import MECHANICAL, passable
from wiregen.study.network import Network
from wiregen.wiring.fitting import At
from wiregen.wiring.model import Wiring

MEASURED = ("idle", "grant", "fire", "mains-lost")  # the states in which a technician measures, beside the ways to leave


@dataclass(frozen=True)
class Tried:
    """One fault, or the whole door (`fault` None), in every state asked: rows of `settled` by state, and what the locks do."""

    fault: Fault | None
    settled: Settled
    rows: Mapping[str, tuple[tuple[Turn, int], ...]]
    does: Mapping[str, Mapping[At, LockIs]]


@dataclass(frozen=True)
class Effect:
    """What a fault changes: for each state that differs, what each lock then does.  `locked_in`: somebody who could leave no
    longer can.  `opens`: the door is no longer held where it was.  `silent`: nothing of it shows while the door is in daily
    use, only in the states named."""

    fault: Fault
    locks: Mapping[str, Mapping[str, LockIs]]
    locked_in: bool
    opens: bool

    @property
    def nothing(self) -> bool:
        return not self.locks


class Trials:
    """Every single fault of a door in the states asked, settled in one go.

    Raises NotSolved where a fault leaves no operating point that can be found.
    """

    def __init__(
        self,
        door: Door,
        wiring: Wiring,
        settler: Settler,
        states: Sequence[str] = MEASURED,
        also: Sequence[Happening] = (),
        only: Sequence[Fault] | None = None,
    ) -> None:
        """In these `states` and the ways to leave, and `also` in what has no name of its own; every fault, or these `only`."""
        self.door, self.wiring, self.settler = door, wiring, settler
        self.locks = locks_of(wiring)
        self.of_ways = ways(door, settler.logic, self.locks)
        known = happenings(door, settler.logic, self.of_ways, self.locks)
        self.states = (*(one for one in known if one.name in states or one.way), *also)
        self.faults = faults(wiring, settler) if only is None else tuple(only)

    @cached_property
    def turns(self) -> tuple[Turn, ...]:
        return tuple(turn for state in self.states for turn in turns(self.door, self.wiring.chains, self.settler, state))

    @cached_property
    def tried(self) -> tuple[Tried, ...]:
        """The whole door first, then every fault in its order."""
        plain = [fault for fault in self.faults if not fault.instead]
        found = dict(zip([None, *(f.key for f in plain)], self._try([None, *plain], self.settler), strict=True))
        for fault in self.faults:
            if fault.instead:
                changed = {element.name: element for element in fault.instead}
                network = Network([changed.get(e.name, e) for e in self.settler.circuit.elements])
                other = Settler(self.settler.circuit, self.settler.logic, self.settler.supervised, network)
                found[fault.key] = self._try([fault], other)[0]
        return (found[None], *(found[fault.key] for fault in self.faults))

    def _try(self, of: Sequence[Fault | None], settler: Settler) -> list[Tried]:
        points = [
            Point(t.point.case, t.point.strike.and_(f.strike), f.links) if f else t.point for f in of for t in self.turns
        ]
        settled = settler.settle(points)
        found = []
        at_rest: Mapping[At, LockIs] = {}
        for n, fault in enumerate(of):
            rows: dict[str, list[tuple[Turn, int]]] = {}
            for k, turn in enumerate(self.turns):
                at = n * len(self.turns) + k
                rows.setdefault(turn.happening.name, []).append((Turn(turn.happening, turn.lock, points[at]), at))
            if not at_rest:
                at_rest = locks_do(settled, rows["idle"], self.locks, {})
            does = {name: locks_do(settled, own, self.locks, at_rest) for name, own in rows.items()}
            found.append(Tried(fault, settled, {name: tuple(own) for name, own in rows.items()}, does))
        return found

    @cached_property
    def whole(self) -> Tried:
        return self.tried[0]

    @cached_property
    def effects(self) -> tuple[Effect, ...]:
        """One a fault, in the order of the faults."""
        return tuple(self._effect(tried) for tried in self.tried[1:])

    def _effect(self, tried: Tried) -> Effect:
        assert tried.fault is not None
        whole = self.whole.does
        locks: dict[str, dict[str, LockIs]] = {}
        for state, does in tried.does.items():
            differs = {lock.device: is_ for lock, is_ in does.items() if is_ != whole[state][lock]}
            if differs:
                locks[state] = differs
        opens = any(does == "held" and tried.does[s][lock] != "held" for s in ("idle",) for lock, does in whole[s].items())
        return Effect(tried.fault, locks, self._locked_in(tried), opens)

    def _locked_in(self, tried: Tried) -> bool:
        """Whether a way to leave that works no longer does, where no mechanical one is left."""
        if set(self.door.leave_by) & set(MECHANICAL):
            return False
        works = [way.name for way in self.of_ways if passable(self.whole.does[way.name].values())]
        return not all(passable(tried.does[name].values()) for name in works)

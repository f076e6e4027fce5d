"""What a meter shows at a door, fault by fault: volts between two terminals that both probes reach, in each state."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from functools import cached_property
from hashlib import blake2b
from itertools import combinations
from typing import Any

import numpy as np
from numpy.typing import NDArray

from wiregen.faults.effects import Trials
from wiregen.states.happenings import Happening
from wiregen.study.solution import FLOATS
from wiregen.wiring.model import End, Wiring

SHARE, LEAST = 0.02, 0.05  # of the reading, and V: by how much a common meter may be off; common practice, no source
BEFORE = {2: "mains off first, battery on", 3: "fire panel on test first"}  # by the effort of a moment

Volts = NDArray[np.floating[Any]]
Shown = NDArray[np.float32]  # of every fault at every point: a meter shows no seven digits, and a bank fills the memory


def error(volts: Volts) -> Volts:
    """V by which a meter may be off that should show so many V."""
    found: Volts = LEAST + SHARE * np.abs(volts)
    return found


def in_errors(volts: Volts) -> Volts:
    """Volts on a scale on which the error of the meter is 1 everywhere: the integral of 1 / `error` from 0 V."""
    found: Volts = np.sign(volts) * np.log1p(np.abs(volts) * SHARE / LEAST) / SHARE
    return found


@dataclass(frozen=True)
class Between:
    """Where the probes go.  `place` is None where no one place has both terminals."""

    a: End
    b: End
    place: str | None
    metres: float = 0.0  # of cable from the lock

    def __str__(self) -> str:
        return f"{self.a} and {self.b}"


@dataclass(frozen=True)
class Moment:
    """When a reading is taken: a state, and the lock whose turn it is where a bank does not let all go at once."""

    happening: Happening
    lock: str | None

    @property
    def name(self) -> str:
        return f"{self.happening.name} {self.lock}" if self.lock else self.happening.name

    @property
    def fire(self) -> bool:
        return self.happening.case.state == "fire"

    @property
    def effort(self) -> int:
        """What it takes: nothing (0); what anybody does there (1); switching the mains off (2); the fire panel on test (3)."""
        if self.fire:
            return 3
        return 2 if not self.happening.strike.mains else 0 if self.happening.name == "idle" else 1


class Readings:
    """Readings of the whole door (row 0) and of each fault of it, `also` between terminals that somebody names.

    Raises KeyError for a terminal of `also` that the network of the door does not have.
    """

    def __init__(self, trials: Trials, also: Sequence[tuple[End, End]] = ()) -> None:
        self.trials = trials
        self.nodes = trials.settler.circuit.nodes
        points = dict.fromkeys(_at_one_place(trials))
        for a, b in also:
            if self.nodes[a] != self.nodes[b] and not {(a, b), (b, a)} & {(p.a, p.b) for p in points}:
                points[Between(a, b, None)] = None
        self.points = tuple(points)
        self._column = {(self.nodes[p.a], self.nodes[p.b]): n for n, p in reversed([*enumerate(self.points)])}

    @cached_property
    def moments(self) -> tuple[Moment, ...]:
        return tuple(Moment(turn.happening, turn.lock) for turn in self.trials.turns)

    @cached_property
    def volts(self) -> Shown:
        """(faults and the whole door first, moments, points) V of the first terminal against the second.

        0 where it floats, held by nothing but what leaks over open contacts: what a meter shows there is no evidence."""
        known: dict[tuple[object, ...], int] = {}  # which row shows the same
        whole = self.trials.settler.network
        first, second = self._ends
        found = np.empty((len(self.trials.tried), len(self.moments), len(self.points)), dtype=np.float32)
        for n, tried in enumerate(self.trials.tried):
            rows = [row for of_state in tried.rows.values() for _, row in of_state]
            settled, network = tried.settled, tried.settled.gauge.network
            states = [settled.contacts[row] for row in rows]
            links, instead = (tried.fault.links, tried.fault.instead) if tried.fault else ((), ())
            key = (links, instead, tuple(tuple(state.values()) for state in states))
            if key not in known:
                number = np.array([network.index[node] for node in whole.index], dtype=np.intp)
                solution = network.solved(settled.potentials[rows], states, links)
                pairs = number[first], number[second]
                ohms = solution.ohms(*pairs)
                found[n] = np.where(ohms > FLOATS, 0.0, solution.readings(*pairs, ohms))
            found[n] = found[known.setdefault(key, n)]
        return found

    @cached_property
    def floats(self) -> NDArray[np.bool_]:
        """(moments, points) whether nothing of the whole door holds the volts there."""
        whole, network = self.trials.whole, self.trials.settler.network
        rows = [row for of_state in whole.rows.values() for _, row in of_state]
        solution = network.solved(whole.settled.potentials[rows], [whole.settled.contacts[row] for row in rows])
        return np.asarray(solution.ohms(*self._ends) > FLOATS)

    @cached_property
    def _ends(self) -> NDArray[np.intp]:
        """(2, points) where the network of the whole door has the two terminals."""
        index = self.trials.settler.network.index
        ends = [(index[self.nodes[p.a]], index[self.nodes[p.b]]) for p in self.points]
        return np.array(ends, dtype=np.intp).reshape(len(ends), 2).T

    @cached_property
    def distinct(self) -> NDArray[np.intp]:
        """(readings, 2) moments and points, the easiest first; of readings the same with every fault the easiest alone.

        First what needs no more than what anybody does at the door, near places before far ones; the fire state last.
        """
        efforts = [moment.effort for moment in self.moments]
        places = sorted(
            ((m, p) for m in range(len(self.moments)) for p in range(len(self.points))),
            key=lambda at: (max(efforts[at[0]], 1), self.points[at[1]].metres, efforts[at[0]], at[1], at[0]),
        )
        alike: list[list[bytes]] = []  # by moment and point: a digest of the readings, which would fill the memory
        for m in range(len(self.moments)):
            columns = np.ascontiguousarray((np.round(self.volts[:, m], 3) + 0.0).T)
            alike.append([blake2b(column, digest_size=16).digest() for column in columns])
        first: dict[bytes, tuple[int, int]] = {}
        for at in places:
            first.setdefault(alike[at[0]][at[1]], at)
        return np.array([*first.values()], dtype=np.intp).reshape(len(first), 2)

    def column(self, a: End, b: End) -> tuple[int, float]:
        """The number of a point, and 1 or -1 as the probes stand; number -1 where it is one terminal, which shows nothing."""
        first, second = self.nodes[a], self.nodes[b]
        if first == second:
            return -1, 1.0
        if (first, second) in self._column:
            return self._column[first, second], 1.0
        return self._column[second, first], -1.0


def _at_one_place(trials: Trials) -> Iterator[Between]:
    """Every pair of terminals at one place that is not mains, those of one device first, places near the lock first."""
    wiring = trials.wiring
    place = {ref: one.place for of in (wiring.boxes, wiring.devices) for ref, one in of.items()}
    lead = {trials.settler.circuit.nodes.get(end, end) for end in wiring.mains}
    metres = _from_the_lock(wiring)
    at: dict[str, list[End]] = {}
    for node in trials.settler.network.index:
        if isinstance(node, End) and node.device in place and node not in lead:
            at.setdefault(place[node.device], []).append(node)
    for name in sorted(at, key=lambda name: (metres.get(name, np.inf), name)):
        pairs = [Between(a, b, name, metres.get(name, np.inf)) for a, b in combinations(at[name], 2)]
        yield from sorted(pairs, key=lambda pair: pair.a.device != pair.b.device)


def _from_the_lock(wiring: Wiring) -> Mapping[str, float]:
    """Metres of cable from the place of the first lock (or else of the first device) to each place."""
    start = next((b.lock for b in wiring.behaviours), next(iter(wiring.devices), None))
    beside: dict[str, list[tuple[str, float]]] = {}
    for run in wiring.runs.values():
        for one, other in ((run.place, run.parent), (run.parent, run.place)):
            beside.setdefault(one, []).append((other, run.length.nominal))
    found = {wiring.devices[start].place: 0.0} if start else {}
    waiting = [*found]
    for place in waiting:  # grows while it is read: a tree has one way to each place
        for other, length in beside.get(place, ()):
            if other not in found:
                found[other] = found[place] + length
                waiting.append(other)
    return found

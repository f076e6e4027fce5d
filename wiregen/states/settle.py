"""Network and logic settled together: contacts as the logic says, the logic as the network shows, until neither changes.

All points are solved at once, and again those whose contacts have changed.  A point that comes back to where it was does not
settle; it is tried once more with one change at a time, as things that move one after the other would, and told if it still
swings.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field, replace

import numpy as np
from numpy.typing import NDArray

from wiregen.states.gauge import Flags, Gauge, Volts
from wiregen.states.struck import WHOLE, Seen, Strike, Struck
from wiregen.study.circuit import Circuit
from wiregen.study.elements import Node
from wiregen.study.network import Link, Network
from wiregen.study.solution import Solution, State
from wiregen.wiring.fitting import At
from wiregen.wiring.logic import IDLE, Case, Logic

ROUNDS = 24  # of all together; a chain of relays is a few long
STEPS = 60  # one change at a time
CHUNK = 256  # points solved together: more do not fit a processor's cache


@dataclass(frozen=True)
class Point:
    """What is done to the door, and what stands between its nodes beyond its network."""

    case: Case = IDLE
    strike: Strike = WHOLE
    links: tuple[Link, ...] = ()


@dataclass(frozen=True)
class Settled:
    """What has come of points, a row each.  `swings` names for each point what does not come to rest, empty where all does."""

    gauge: Gauge
    points: tuple[Point, ...]
    contacts: tuple[State, ...]
    on: Flags  # (points, loads)
    active: Flags  # (points, inputs)
    load_volts: Volts  # (points, loads)
    potentials: Volts  # (points, nodes)
    islands: NDArray[np.intp]  # (points, nodes)
    logics: tuple[Struck, ...]
    swings: tuple[tuple[str, ...], ...]

    def across(self, a: Node, b: Node) -> Volts:
        """V of `a` against `b`, one a point; 0 between two islands, as a meter shows."""
        index = self.gauge.network.index
        first, second = index[a], index[b]
        joined = self.islands[:, first] == self.islands[:, second]
        found: Volts = np.where(joined, self.potentials[:, first] - self.potentials[:, second], 0.0)
        return found

    def at(self, rows: Sequence[int]) -> Settled:
        """Some of the points, in that order, each as often as it is named."""
        of = list(rows)
        return Settled(
            gauge=self.gauge,
            points=tuple(self.points[n] for n in of),
            contacts=tuple(self.contacts[n] for n in of),
            on=self.on[of],
            active=self.active[of],
            load_volts=self.load_volts[of],
            potentials=self.potentials[of],
            islands=self.islands[of],
            logics=tuple(self.logics[n] for n in of),
            swings=tuple(self.swings[n] for n in of),
        )

    def solution(self) -> Solution:
        """The same points solved once more, to be asked for amperes and ohms."""
        return self.gauge.network.solve(self.contacts, [point.links for point in self.points])


@dataclass
class _Row:
    """What is known of one point on its way."""

    on: Flags
    active: Flags
    tripped: Flags
    been: dict[tuple[bytes, bytes, bytes], int] = field(default_factory=dict)

    def key(self) -> tuple[bytes, bytes, bytes]:
        return self.on.tobytes(), self.active.tobytes(), self.tripped.tobytes()


class Settler:
    """Settles points of one door.  Pure to the outside: what it keeps is only what it has worked out before."""

    def __init__(self, circuit: Circuit, logic: Logic, supervised: Sequence[str] = (), network: Network | None = None) -> None:
        self.circuit, self.logic, self.supervised = circuit, logic, tuple(supervised)
        self.network = network or circuit.network
        self.gauge = Gauge(circuit, self.network, logic, frozenset(supervised))
        self._states: dict[tuple[object, ...], tuple[Struck, State]] = {}
        self._starts: dict[tuple[Case, Strike], _Row] = {}

    def settle(self, points: Sequence[Point]) -> Settled:
        """Raises NotSolved where the network of a point has no operating point that can be found."""
        alike = {point: n for n, point in enumerate(dict.fromkeys(points))}
        if len(alike) < len(points):
            return self.settle([*alike]).at([alike[point] for point in points])
        rows = [self._start(point) for point in points]
        told = [self._contacts(point, row) for point, row in zip(points, rows, strict=True)]
        size = len(self.network.index)
        potentials, islands = np.empty((len(points), size)), np.empty((len(points), size), dtype=np.intp)
        volts = np.empty((len(points), len(self.gauge.loads)))
        swings: list[tuple[str, ...]] = [()] * len(points)
        slow: set[int] = set()  # points that are moved one change at a time
        left = list(range(len(points)))
        for turn in range(ROUNDS + STEPS):
            on, active, tripped = self._shown(points, told, rows, left, (potentials, islands, volts))
            changed = []
            for k, n in enumerate(left):
                new = _Row(on[k], active[k], tripped[k], rows[n].been)
                if new.key() == rows[n].key():
                    continue
                new.been[rows[n].key()] = turn
                if n in slow:
                    new = self._one_change(rows[n], new)
                if new.key() in new.been:
                    if n in slow:
                        swings[n] = self._names(rows[n], _Row(on[k], active[k], tripped[k]))
                        continue
                    slow.add(n)
                    new = replace(self._one_change(rows[n], new), been={})
                contacts = self._contacts(points[n], new)
                rows[n] = new
                if contacts[1] != told[n][1]:
                    changed.append(n)
                told[n] = contacts
            left = changed
            if not left:
                break
        else:
            for n in left:
                swings[n] = swings[n] or ("what the network shows",)
        return Settled(
            gauge=self.gauge,
            points=tuple(points),
            contacts=tuple(state for _, state in told),
            on=np.array([row.on for row in rows]).reshape(len(points), -1),
            active=np.array([row.active for row in rows]).reshape(len(points), -1),
            load_volts=volts,
            potentials=potentials,
            islands=islands,
            logics=tuple(logic for logic, _ in told),
            swings=tuple(swings),
        )

    def _shown(
        self,
        points: Sequence[Point],
        told: Sequence[tuple[Struck, State]],
        rows: Sequence[_Row],
        left: Sequence[int],
        into: tuple[Volts, NDArray[np.intp], Volts],
    ) -> tuple[Flags, Flags, Flags]:
        """What the network shows of the points left: powered, active, tripped; potentials, islands and volts at loads are put
        in their places."""
        potentials, islands, volts = into
        shown = []
        for first in range(0, len(left), CHUNK):
            of = left[first : first + CHUNK]
            found = self.network.solve([told[n][1] for n in of], [points[n].links for n in of])
            potentials[of], islands[of], volts[of] = found.potentials, found.islands, self.gauge.load_volts(found)
            on = self.gauge.on(volts[of], np.array([rows[n].on for n in of]).reshape(len(of), -1))
            tripped = self.gauge.tripped(found, np.array([rows[n].tripped for n in of]).reshape(len(of), -1))
            shown.append((on, self.gauge.active(found), tripped))
        on, active, tripped = (np.concatenate(of) for of in zip(*shown, strict=True))
        return on, active, tripped

    def _start(self, point: Point) -> _Row:
        """As the circuits say, with nothing shown by the network yet."""
        key = (point.case, point.strike)
        if key not in self._starts:
            logic = Struck(self.logic, point.strike)
            on = np.array([logic.on(point.case, at) for at in self.gauge.loads], dtype=bool)
            active = np.array([logic.active(point.case, at) for at in self.gauge.inputs], dtype=bool)
            self._starts[key] = _Row(on, active, np.zeros(len(self.gauge.outputs), dtype=bool))
        start = self._starts[key]
        return _Row(start.on, start.active, start.tripped)

    def _contacts(self, point: Point, row: _Row) -> tuple[Struck, State]:
        strike = point.strike if not point.strike.stuck else replace(point.strike, stuck=())
        key = (point.case, strike, *row.key())
        if key not in self._states:
            seen = Seen(
                dict(zip(self.gauge.loads, map(bool, row.on), strict=True)),
                dict(zip(self.gauge.inputs, map(bool, row.active), strict=True)),
                frozenset(at for at, is_ in zip(self.gauge.outputs, row.tripped, strict=True) if is_),
                self.gauge.down(row.tripped),
            )
            logic = Struck(self.logic, strike, seen)
            self._states[key] = logic, self.circuit.state(logic, point.case)
        logic, contacts = self._states[key]
        return logic, {**contacts, **dict(point.strike.stuck)} if point.strike.stuck else contacts

    def _one_change(self, old: _Row, new: _Row) -> _Row:
        """The first of the changes alone: loads, then inputs."""
        for name in ("on", "active", "tripped"):
            differs = np.flatnonzero(getattr(old, name) != getattr(new, name))
            if differs.size:
                only = getattr(old, name).copy()
                only[differs[0]] = getattr(new, name)[differs[0]]
                return replace(old, **{name: only}, been=new.been)
        return new

    def _names(self, old: _Row, new: _Row) -> tuple[str, ...]:
        """What still wants to change."""
        gauge = self.gauge
        things: Mapping[str, Sequence[At]] = {"on": gauge.loads, "active": gauge.inputs, "tripped": gauge.outputs}
        return tuple(
            str(things[name][int(n)]) for name in things for n in np.flatnonzero(getattr(old, name) != getattr(new, name))
        )

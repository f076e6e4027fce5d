"""The direct-current network of a door: its elements, and its operating point in many states of its contacts at once.

Nodal analysis with every source behind its internal resistance, so that the conductance matrix is symmetric.  It is inverted
once; contacts and non-linear parts are *ports* on that inverse.  A state changes the contacts' ports by a rank-k update
(Woodbury), and Newton's method runs on the non-linear ports alone, on all states together.

Each port has a linear companion in the matrix; what is left, the *excess* current, is zero for a source within its limit.  The
laws go on outside their valid range (a load of constant power below its least volts is a resistance), so that a solution
always exists; one that lies outside the range is a brown-out and is named, which is another thing than slow convergence.

Each galvanic island hangs on the reference by one tie of 1 S.  No current can return through a single tie, so it changes
nothing but the offset, and only differences within an island have a meaning.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, field
from functools import cached_property

import numpy as np
from numpy.typing import NDArray

from wiregen.study.elements import Contact, Converter, Element, Load, Node, Resistor, Source, pairs
from wiregen.study.laws import Laws, Matrix, ports_of

CLOSED = 100.0  # S, a closed contact: 10 milliohm
OPEN = 1e-9  # S
METER = 10e6  # ohm, the input of a digital meter
TOLERANCE = 1e-10  # relative to max(|v|, 1 V), on the last Newton step
ROUNDS = 80
PATIENCE = 12  # Newton rounds before steps that make things worse are halved


State = Mapping[str, bool]  # contact → closed


class NotSolved(Exception):
    """Newton's method did not end for these states, source stepping included; carries their numbers."""

    def __init__(self, states: tuple[int, ...]) -> None:
        super().__init__(f"no operating point found for states {states}")
        self.states = states


@dataclass(frozen=True)
class Solution:
    """The operating points, one row a state.  Asked by names of nodes and elements."""

    network: Network
    states: tuple[State, ...]
    potentials: Matrix  # (states, nodes) V against the tie of each node's island
    ports: Matrix  # (states, non-linear ports) V
    excess: Matrix  # (states, non-linear ports) A
    rounds: NDArray[np.int_]  # Newton rounds of each state

    def across(self, a: Node, b: Node) -> Matrix:
        """Volts of `a` against `b`, one a state, without the meter's load; NaN where no copper path fixes them."""
        index = self.network.index
        if self.network.island[index[a]] != self.network.island[index[b]]:
            return np.full(len(self.states), np.nan)
        return self.potentials[:, index[a]] - self.potentials[:, index[b]]

    def thevenin(self, a: Node, b: Node) -> Matrix:
        """Small-signal ohms between two nodes, one a state; infinite between two islands."""
        index = self.network.index
        if self.network.island[index[a]] != self.network.island[index[b]]:
            return np.full(len(self.states), np.inf)
        return self.network._small_signal(self, index[a], index[b])

    def reading(self, a: Node, b: Node) -> Matrix:
        """What a meter of 10 megohm shows between two nodes, one a state; 0 between two islands."""
        ohms = self.thevenin(a, b)
        fixed = np.isfinite(ohms)
        return np.where(fixed, np.where(fixed, self.across(a, b), 0.0) * METER / (METER + np.where(fixed, ohms, 0.0)), 0.0)

    def floats(self, a: Node, b: Node) -> NDArray[np.bool_]:
        """True where nothing below 1 megohm fixes the volts between two nodes."""
        return self.thevenin(a, b) > 1e6

    def current(self, name: str) -> Matrix:
        """Amperes into the first node of an element (out of the plus of a source or of a converter's output)."""
        return self.network._current(self, name)

    def brown_out(self) -> tuple[tuple[str, ...], ...]:
        """For each state the loads and converters that get less than their least volts."""
        return self.network._outside(self, lambda element, volts, amps: isinstance(element, Load | Converter)
                                     and 1e-3 < volts < element.least)

    def limited(self) -> tuple[tuple[str, ...], ...]:
        """For each state the sources and converters that give all their limit allows."""
        return self.network._outside(self, lambda element, volts, amps: isinstance(element, Source | Converter)
                                     and element.limit is not None and amps >= element.limit * (1 - 1e-9))

    def backfed(self) -> tuple[tuple[str, ...], ...]:
        """For each state the sources into which another one drives more than 1 mA: two that fight."""
        return self.network._outside(
            self, lambda element, volts, amps: isinstance(element, Source | Converter) and amps < -1e-3
        )


class Network:
    """A net of elements.  Pure: `solve` changes nothing.

    Raises ValueError for an element with ohms, volts or watts out of range, or for two elements of one name.
    """

    def __init__(self, elements: Sequence[Element]) -> None:
        self.elements = {element.name: element for element in elements}
        if len(self.elements) != len(elements):
            raise ValueError("two elements of one name")
        between = [pair for element in elements for pair in pairs(element)]
        self.index = {node: n for n, node in enumerate(dict.fromkeys(node for pair in between for node in pair))}
        self.island = _islands(len(self.index), [(self.index[a], self.index[b]) for a, b in between])
        self._contacts = [e for e in elements if isinstance(e, Contact)]
        self._ports = ports_of(elements, self.index)
        self._laws = Laws(self._ports)

    @cached_property
    def _base(self) -> _Base:
        size = len(self.index)
        matrix = np.zeros((size, size))
        feed = np.zeros(size)
        for first in {island: node for node, island in reversed(list(enumerate(self.island)))}.values():
            matrix[first, first] += 1.0
        for element in self.elements.values():
            if isinstance(element, Resistor):
                _stamp(matrix, self.index[element.a], self.index[element.b], 1 / element.ohms)
            elif isinstance(element, Source) and element.limit is None:
                plus, minus = self.index[element.plus], self.index[element.minus]
                _stamp(matrix, plus, minus, 1 / element.ohms)
                _feed(feed, plus, minus, element.volts / element.ohms)
        middle = math.sqrt(CLOSED * OPEN)  # between the two states of a contact, so that both are well conditioned
        for contact in self._contacts:
            _stamp(matrix, self.index[contact.a], self.index[contact.b], middle)
        for port in self._ports:
            _stamp(matrix, port.a, port.b, port.companion)
            _feed(feed, port.a, port.b, port.injects)
        inverse = np.asarray(np.linalg.inv(matrix), dtype=np.float64)
        contacts = _incidence(size, [(self.index[c.a], self.index[c.b]) for c in self._contacts])
        ports = _incidence(size, [(p.a, p.b) for p in self._ports])
        return _Base(matrix, inverse, feed, contacts, ports, middle)

    def solve(self, states: Sequence[State]) -> Solution:
        """The operating point in each state.  Raises NotSolved where even source stepping does not end, KeyError for a state
        that names a contact which is not there."""
        base = self._base
        for state in states:
            for name in state:
                if not isinstance(self.elements[name], Contact):
                    raise KeyError(name)
        closed = np.array([[state.get(c.name, c.closed) for c in self._contacts] for state in states], dtype=bool)
        change = np.where(closed.reshape(len(states), len(self._contacts)), CLOSED, OPEN) - base.middle
        net = _Switched(base, change)
        volts, rounds = self._newton(net, 1.0, np.zeros((len(states), len(self._ports))))
        failed = np.flatnonzero(rounds < 0)
        if failed.size:
            volts[failed], rounds[failed] = self._stepped(_Switched(base, change[failed]), tuple(int(s) for s in failed))
        excess, _ = self._laws.excess(volts)
        potentials = net.potentials(base.feed, excess)
        # a closed contact in a weak loop loses digits in the update: one step of refinement against the true matrix
        potentials += net.correct(potentials, base.feed, excess)
        return Solution(self, tuple(states), potentials, potentials @ base.ports, excess, rounds)

    def _newton(self, net: _Switched, part: float, volts: Matrix) -> tuple[Matrix, NDArray[np.int_]]:
        """Port volts and the rounds that each state took, -1 where it did not end; `part` scales all sources."""
        rounds = np.full(len(volts), -1)
        if not self._ports:
            return volts, np.zeros(len(volts), dtype=int)
        open_volts, impedance = net.at_ports(part)
        live = np.arange(len(volts))
        volts = volts.copy()
        unit = np.eye(len(self._ports))
        for count in range(1, ROUNDS + 1):
            here, v0, z = volts[live], open_volts[live], impedance[live]
            excess, slope = self._laws.excess(here, part)
            miss = here - v0 + np.einsum("sij,sj->si", z, excess)
            step = -np.linalg.solve(unit + z @ slope, miss[..., None])[..., 0]
            step = self._laws.damp(here, step)
            size = np.abs(miss).max(axis=1)
            scale = np.ones(len(live))
            for _ in range(8 if count > PATIENCE else 0):  # half a step for as long as it makes things worse
                trial = here + scale[:, None] * step
                now = np.abs(trial - v0 + np.einsum("sij,sj->si", z, self._laws.excess(trial, part)[0])).max(axis=1)
                worse = now > size * 1.0001 + 1e-12
                if not worse.any():
                    break
                scale[worse] /= 2
            volts[live] = here + scale[:, None] * step
            done = (np.abs(step) <= TOLERANCE * np.maximum(np.abs(volts[live]), 1.0)).all(axis=1) & (scale == 1.0)
            rounds[live[done]] = count
            live = live[~done]
            if not live.size:
                break
        return volts, rounds

    def _stepped(self, net: _Switched, states: tuple[int, ...]) -> tuple[Matrix, NDArray[np.int_]]:
        """Fallback: raise all sources from nothing, each point the start of the next."""
        volts = np.zeros((len(states), len(self._ports)))
        total = np.zeros(len(states), dtype=int)
        for part in np.linspace(0.05, 1.0, 40):
            volts, rounds = self._newton(net, float(part), volts)
            if part == 1.0 and (rounds < 0).any():
                raise NotSolved(tuple(s for s, r in zip(states, rounds, strict=True) if r < 0))
            total += np.abs(rounds)
        return volts, total

    # ---- what a solution is asked for

    def _small_signal(self, solution: Solution, a: int, b: int) -> Matrix:
        base = self._base
        change = np.array(
            [[CLOSED if s.get(c.name, c.closed) else OPEN for c in self._contacts] for s in solution.states]
        ).reshape(len(solution.states), len(self._contacts)) - base.middle
        net = _Switched(base, change)
        ask = np.zeros(len(self.index))
        ask[a], ask[b] = 1.0, -1.0
        linear = net.answer(np.broadcast_to(ask, (len(solution.states), len(ask))))
        ohms: Matrix = linear[:, a] - linear[:, b]
        if self._ports:
            _, z = net.at_ports(1.0)
            _, slope = self._laws.excess(solution.ports)
            seen = linear @ base.ports
            inner = np.linalg.solve(np.eye(len(self._ports)) + slope @ z, slope @ seen[..., None])[..., 0]
            back = net.answer(inner @ base.ports.T)
            ohms = ohms - (back[:, a] - back[:, b])
        return ohms

    def _current(self, solution: Solution, name: str) -> Matrix:
        element = self.elements[name]
        if isinstance(element, Resistor):
            return solution.across(element.a, element.b) / element.ohms
        if isinstance(element, Contact):
            closed = np.array([s.get(name, element.closed) for s in solution.states])
            return solution.across(element.a, element.b) * np.where(closed, CLOSED, OPEN)
        if isinstance(element, Source):
            linear = (element.volts - solution.across(element.plus, element.minus)) / element.ohms
            return linear if element.limit is None else np.minimum(linear, element.limit)
        found = [n for n, port in enumerate(self._ports) if port.element is element]
        port = self._ports[found[-1]]
        drawn: Matrix = solution.excess[:, found[-1]] + port.companion * solution.ports[:, found[-1]] - port.injects
        return -drawn if isinstance(element, Converter) else drawn

    def _outside(self, solution: Solution, is_so: Callable[[Element, float, float], bool]) -> tuple[tuple[str, ...], ...]:
        found: list[list[str]] = [[] for _ in solution.states]
        for name, element in self.elements.items():
            if not isinstance(element, Load | Converter | Source):
                continue
            (plus, minus), *_ = pairs(element)
            volts, amps = solution.across(plus, minus), self._current(solution, name)
            for state, (v, i) in enumerate(zip(volts, amps, strict=True)):
                if is_so(element, v, i):
                    found[state].append(name)
        return tuple(map(tuple, found))


@dataclass(frozen=True)
class _Base:
    """The linear network with contacts half-way: its matrix and inverse, what sources inject, incidence of the ports."""

    matrix: Matrix
    inverse: Matrix
    feed: Matrix
    contacts: Matrix  # (nodes, contacts)
    ports: Matrix  # (nodes, ports)
    middle: float
    at_contacts: Matrix = field(init=False)

    def __post_init__(self) -> None:
        object.__setattr__(self, "at_contacts", self.contacts.T @ self.inverse @ self.contacts)


class _Switched:
    """The linear network with its contacts set, for all states: the base inverse with a low-rank update."""

    def __init__(self, base: _Base, change: Matrix) -> None:
        self.base = base
        self.change = change  # (states, contacts) S
        unit = np.eye(change.shape[1])
        self.update = np.linalg.inv(unit + base.at_contacts * change[:, None, :]) if change.shape[1] else None

    def answer(self, currents: Matrix) -> Matrix:
        """Potentials for injected node currents, (states, nodes) both."""
        base = self.base
        volts: Matrix = currents @ base.inverse
        if self.update is not None:
            closed = np.einsum("sij,sj->si", self.update, volts @ base.contacts)
            volts = volts - (self.change * closed) @ base.contacts.T @ base.inverse
        return volts

    def at_ports(self, part: float) -> tuple[Matrix, Matrix]:
        """Open-circuit volts (states, ports) and impedances (states, ports, ports) seen by the non-linear ports."""
        base = self.base
        states = len(self.change)
        open_volts = self.answer(np.broadcast_to(part * base.feed, (states, len(base.feed)))) @ base.ports
        impedance = np.broadcast_to(base.ports.T @ base.inverse @ base.ports, (states, *2 * (base.ports.shape[1],)))
        if self.update is not None:
            between = base.contacts.T @ base.inverse @ base.ports
            impedance = impedance - np.einsum("ci,sc,scd,dj->sij", between, self.change, self.update, between, optimize=True)
        return open_volts, impedance

    def potentials(self, feed: Matrix, excess: Matrix) -> Matrix:
        return self.answer(feed - excess @ self.base.ports.T)

    def correct(self, potentials: Matrix, feed: Matrix, excess: Matrix) -> Matrix:
        base = self.base
        flows = potentials @ base.matrix + (self.change * (potentials @ base.contacts)) @ base.contacts.T
        return self.answer(feed - excess @ base.ports.T - flows)


def _stamp(matrix: Matrix, a: int, b: int, siemens: float) -> None:
    matrix[a, a] += siemens
    matrix[b, b] += siemens
    matrix[a, b] -= siemens
    matrix[b, a] -= siemens


def _feed(feed: Matrix, plus: int, minus: int, amps: float) -> None:
    feed[plus] += amps
    feed[minus] -= amps


def _incidence(size: int, pairs: Sequence[tuple[int, int]]) -> Matrix:
    found = np.zeros((size, len(pairs)))
    for n, (a, b) in enumerate(pairs):
        found[a, n] += 1.0
        found[b, n] -= 1.0
    return found


def _islands(size: int, pairs: Sequence[tuple[int, int]]) -> list[int]:
    """For each node the number of the galvanic island that it is on."""
    above = list(range(size))

    def top(n: int) -> int:
        while above[n] != n:
            above[n] = above[above[n]]
            n = above[n]
        return n

    for a, b in pairs:
        above[top(b)] = top(a)
    return [top(n) for n in range(size)]

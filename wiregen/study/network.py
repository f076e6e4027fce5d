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
from collections import Counter
from collections.abc import Sequence
from functools import cached_property

import numpy as np
from numpy.typing import NDArray

from wiregen.study.elements import Contact, Converter, Element, Load, Resistor, Source, pairs
from wiregen.study.growth import parameters
from wiregen.study.laws import Laws, ports_of
from wiregen.study.linear import Linear, Matrix, Switched, feed_in, incidence, islands, solved, stamp
from wiregen.study.solution import OPEN, Solution, State

EPS = 8 * float(np.finfo(float).eps)
TOLERANCE = 1e-3  # relative to max(|v|, 1 V), on the last step of the ports: its error is of the order of its square
ENDED = 1e-7  # the same, on the last one of all nodes, after
REFINED = 5  # steps of all nodes
ROUNDS = 30  # of Newton's method before it is tried in small steps
PATIENT = 400  # rounds in small steps
SETTLING = 0.1  # S across each port, at first
FADED = 1e-6  # S, when nothing is left of it


class NotSolved(Exception):
    """Newton's method did not end for these states, not in small steps either; carries their numbers."""

    def __init__(self, states: tuple[int, ...]) -> None:
        super().__init__(f"the search for an operating point did not end for states {', '.join(map(str, states))}")
        self.states = states


class Network:
    """A net of elements.  Pure: `solve` changes nothing.  Raises ValueError for two elements of one name.

    `parameters` are (element, field), in the order of the columns of a sensitivity.
    """

    def __init__(self, elements: Sequence[Element]) -> None:
        self.elements = {element.name: element for element in elements}
        if twice := sorted(name for name, count in Counter(element.name for element in elements).items() if count > 1):
            raise ValueError(f"two elements are named {twice[0]}")
        between = [pair for element in elements for pair in pairs(element)]
        self.index = {node: n for n, node in enumerate(dict.fromkeys(node for pair in between for node in pair))}
        self.island = islands(len(self.index), [(self.index[a], self.index[b]) for a, b in between])
        self.parameters = tuple((element.name, what) for element in elements for what in parameters(element))
        self.ports = ports_of(elements, self.index)
        self.port: dict[str, list[int]] = {}
        for n, port in enumerate(self.ports):
            self.port.setdefault(port.element.name, []).append(n)
        reach = sum(abs(element.volts) for element in elements if isinstance(element, Source | Converter))
        self.laws = Laws(self.ports, reach)
        self._contacts = [e for e in elements if isinstance(e, Contact)]
        # half-way between the two states of a contact
        self._middle = np.array([math.sqrt(OPEN / contact.ohms) for contact in self._contacts])

    @cached_property
    def unfed(self) -> tuple[str, ...]:
        """Loads and converters that no source reaches at both poles, whatever contacts are closed."""
        loads = [e for e in self.elements.values() if isinstance(e, Load | Converter)]
        return tuple(e.name for e in loads if not self.fed(e.name))

    def fed(self, name: str) -> bool:
        """Whether some path of elements leads from a source through this element and back, whatever contacts are closed."""
        column, sources, transfer = self._loops
        at = column[name][0]
        return bool((np.abs(transfer[at, [n for n in sources if n != at]]) > 1e-9).any())

    @cached_property
    def _loops(self) -> tuple[dict[str, list[int]], list[int], Matrix]:
        """Columns of each element, those of sources, and what a push in one column does in another: nothing but where a loop
        passes through both.  Every element is taken as some resistance, each another one, so that no bridge is balanced."""
        between: list[tuple[int, int]] = []
        column: dict[str, list[int]] = {}
        for name, element in self.elements.items():
            column[name] = [len(between) + n for n in range(len(pairs(element)))]
            between += [(self.index[a], self.index[b]) for a, b in pairs(element)]
        edges = incidence(len(self.index), between)
        matrix = (edges * (1 + np.modf(np.arange(len(between)) * 0.6180339887)[0])) @ edges.T
        for tie in set(self.island):
            matrix[tie, tie] += 1.0
        sources = [column[e.name][-1] for e in self.elements.values() if isinstance(e, Source | Converter)]
        return column, sources, np.asarray(edges.T @ np.linalg.solve(matrix, edges), dtype=np.float64)

    @cached_property
    def _base(self) -> Linear:
        size = len(self.index)
        matrix = np.zeros((size, size))
        feed = np.zeros(size)
        for tie in sorted(set(self.island)):
            matrix[tie, tie] += 1.0
        for element in self.elements.values():
            if isinstance(element, Resistor):
                stamp(matrix, self.index[element.a], self.index[element.b], 1 / element.ohms)
            elif isinstance(element, Source) and element.limit is None:
                plus, minus = self.index[element.plus], self.index[element.minus]
                stamp(matrix, plus, minus, 1 / element.ohms)
                feed_in(feed, plus, minus, element.volts / element.ohms)
        for contact, middle in zip(self._contacts, self._middle, strict=True):
            stamp(matrix, self.index[contact.a], self.index[contact.b], middle)
        for port in self.ports:
            stamp(matrix, port.a, port.b, port.companion)
            feed_in(feed, port.a, port.b, port.injects)
        contacts = incidence(size, [(self.index[c.a], self.index[c.b]) for c in self._contacts])
        return Linear(matrix, feed, contacts, incidence(size, [(p.a, p.b) for p in self.ports]))

    def solve(self, states: Sequence[State]) -> Solution:
        """The operating point in each state.  Raises NotSolved where even small steps do not end, KeyError for a state
        that names a contact which is not there."""
        for state in states:
            for name in state:
                if not isinstance(self.elements[name], Contact):
                    raise KeyError(name)
        closed = np.array([[state.get(c.name, c.closed) for c in self._contacts] for state in states], dtype=bool)
        closed = closed.reshape(len(states), len(self._contacts))
        change = np.where(closed, [1 / c.ohms for c in self._contacts], OPEN) - self._middle
        net = Switched(self._base, change)
        start = self._unloaded(net)
        volts, rounds = self._newton(net, start, 0.0)
        potentials, ended = self._refined(net, volts)
        failed = np.flatnonzero(~ended)
        if failed.size:
            again = Switched(self._base, change[failed])
            volts, rounds[failed] = self._newton(again, start[failed], SETTLING)
            potentials[failed], ended = self._refined(again, volts)
            if lost := failed[~ended].tolist():
                raise NotSolved(tuple(lost))
        at_ports = potentials @ self._base.ports
        excess, _ = self.laws.excess(at_ports)
        return Solution(self, tuple(states), net, potentials, at_ports, excess, rounds)

    def _unloaded(self, net: Switched) -> Matrix:
        """Port volts (states, ports) while loads draw next to nothing: where there are two operating points, the search that
        begins here comes to the one at which the loads run."""
        volts, impedance = net.at_ports
        off = np.eye(len(self.ports)) - impedance * self.laws.sheds
        return self.laws.within(solved(off, volts))

    def _newton(self, net: Switched, volts: Matrix, settling: float) -> tuple[Matrix, NDArray[np.int_]]:
        """Port volts, and the rounds that each state took, -1 where it did not end.

        `settling` S is the pull of a capacitor across each port, as if the network were switched on and left to settle: it
        keeps the search from leaping to and fro between a source at its limit and loads that draw more the less they get.
        (Where little holds a port the capacitor is smaller, so that all settle in the same time.)  It grows where the search
        turns back, and fades as the imbalance does (switched evolution relaxation, Kelley and Keyes 1998).
        """
        if not self.ports:
            return volts, np.zeros(len(volts), dtype=int)
        rounds = np.full(len(volts), -1)
        open_volts, impedance = net.at_ports
        volts = volts.copy()
        live = np.arange(len(volts))
        hold = EPS * np.diagonal(impedance, axis1=1, axis2=2)
        unit = np.eye(len(self.ports))
        pull = np.full(len(volts), settling)
        before = np.zeros(len(volts))
        last, turned = np.zeros_like(volts), np.zeros(len(volts), dtype=bool)
        for count in range(1, (PATIENT if settling else ROUNDS) + 1):
            here, z = volts[live], impedance[live]
            excess, slope = self.laws.excess(here)
            miss = open_volts[live] - here - (z @ excess[..., None])[..., 0]
            if settling:
                size = np.abs(miss).max(axis=1)
                pull[live] *= np.where(turned[live], 4.0, np.clip(size / np.maximum(before[live], TOLERANCE), 0.3, 1.0))
                before[live] = size
                own = np.diagonal(z, axis1=1, axis2=2)
                slope = slope + (pull[live, None] / (1 + pull[live, None] * own))[..., None] * unit
            step = solved(unit + z @ slope, miss)
            turned[live] = (step * last[live]).sum(axis=1) < 0
            last[live] = step
            rounding = np.abs(excess).max(axis=1, keepdims=True) * hold[live]
            small = (np.abs(step) <= TOLERANCE * np.maximum(np.abs(here), 1.0) + rounding).all(axis=1) & (pull[live] < FADED)
            volts[live] = here + self.laws.damp(here, step)
            rounds[live[small]] = count
            live = live[~small]
            if not live.size:
                break
        return volts, rounds

    def _refined(self, net: Switched, volts: Matrix) -> tuple[Matrix, NDArray[np.bool_]]:
        """Potentials (states, nodes) after Newton steps of the whole network, and whether the last one was small (states,).

        The update of the contacts loses digits where one closes in a weak loop; currents summed at every node give them back.
        """
        base = self._base
        excess, slope = self.laws.excess(volts)
        potentials = net.answer(base.feed - excess @ base.ports.T)
        _, impedance = net.at_ports
        unit = np.eye(len(self.ports))
        small = np.zeros(len(volts), dtype=bool)
        for _ in range(REFINED):
            excess, slope = self.laws.excess(potentials @ base.ports)
            off = net.answer(base.feed - excess @ base.ports.T - net.flows(potentials))
            inner = solved(unit + slope @ impedance, (slope @ (off @ base.ports)[..., None])[..., 0])
            off -= net.answer(inner @ base.ports.T)
            potentials = potentials + off
            close = ENDED * np.maximum(np.abs(potentials), 1.0)
            small = np.asarray((np.abs(off) <= close).all(axis=1))
            if not small.all():  # what floats moves by more than that, by rounding alone
                small = np.asarray((np.abs(off) <= close + net.rounding(potentials)).all(axis=1))
            if small.all():
                break
        return potentials, small

"""The operating points of a network, and what they are asked for: volts, readings, currents, ohms, sensitivities."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from functools import cached_property
from typing import TYPE_CHECKING

import numpy as np
from numpy.typing import NDArray

from wiregen.study.elements import Contact, Converter, Element, Load, Node, Resistor, Source, pairs
from wiregen.study.growth import growths
from wiregen.study.linear import Matrix, Switched

if TYPE_CHECKING:
    from wiregen.study.network import Network

OPEN = 1e-9  # S
METER = 10e6  # ohm, the input of a digital meter
FLOATS = 1e6  # ohm, beyond which a meter says more about itself than about the point

DIGITS = 7  # after the point, of volts and amperes as they are told: what rounding does to them, which is not the same on
# every processor, ends far behind (some 1e-13), so that what is alike is told alike everywhere

SIGNAL = 0.1  # A, more than any input or drive of a signal gives: common practice, no source
SHORT = 30.0  # A, more than anything at a door draws: common practice, no source

State = Mapping[str, bool]  # contact → closed


@dataclass(frozen=True)
class Solution:
    """The operating points, one row a state.  Asked by names of nodes and elements.  Made by `Network.solve`."""

    network: Network
    states: tuple[State, ...]
    net: Switched
    potentials: Matrix  # (states, nodes) V against the tie of each node's island
    ports: Matrix  # (states, non-linear ports) V
    excess: Matrix  # (states, non-linear ports) A beyond the companions
    rounds: NDArray[np.int_]  # Newton rounds of each state
    islands: NDArray[np.intp]  # (states or 1, nodes) the galvanic island of each node

    # ---- volts

    def across(self, a: Node, b: Node) -> Matrix:
        """Volts of `a` against `b`, one a state, without the meter's load; NaN where no copper path fixes them."""
        first, second, joined = self._nodes(a, b)
        return np.where(joined, self.potentials[:, first] - self.potentials[:, second], np.nan)

    def thevenin(self, a: Node, b: Node) -> Matrix:
        """Small-signal ohms between two nodes, one a state; infinite between two islands."""
        first, second, joined = self._nodes(a, b)
        if not joined.any():
            return np.full(len(self.states), np.inf)
        return self.ohms(np.array([first]), np.array([second]))[:, 0]

    def reading(self, a: Node, b: Node) -> Matrix:
        """What a meter of 10 megohm shows between two nodes, one a state, to 0.1 uV; 0 between two islands."""
        first, second, joined = self._nodes(a, b)
        if not joined.any():
            return np.zeros(len(self.states))
        return self.readings(np.array([first]), np.array([second]))[:, 0]

    def readings(self, first: NDArray[np.intp], second: NDArray[np.intp], ohms: Matrix | None = None) -> Matrix:
        """The same between many pairs of nodes, by their numbers: (states, pairs); `ohms` between them where they are known."""
        volts = self.potentials[:, first] - self.potentials[:, second]
        shown: Matrix = volts * METER / (METER + (self.ohms(first, second) if ohms is None else ohms))
        return shown.round(DIGITS)

    def ohms(self, first: NDArray[np.intp], second: NDArray[np.intp]) -> Matrix:
        """Small-signal ohms between many pairs of nodes, by their numbers: (states, pairs); infinite between two islands."""
        z = self._answers
        own = np.einsum("snn->sn", z)
        ohms = own[:, first] + own[:, second] - z[:, first, second] - z[:, second, first]
        joined = self.islands[:, first] == self.islands[:, second]
        return np.where(joined, ohms, np.inf)

    def floats(self, a: Node, b: Node) -> NDArray[np.bool_]:
        """True where nothing below 1 megohm fixes the volts between two nodes."""
        return self.thevenin(a, b) > FLOATS

    def floating(self) -> tuple[tuple[Node, ...], ...]:
        """For each state the nodes that nothing below 1 megohm holds against the first node of their island."""
        z, first, node = self._answers, self.islands, np.arange(self.islands.shape[1])
        own, state = np.einsum("snn->sn", z), np.arange(len(z))[:, None]
        ohms = own + own[state, first] - z[state, node, first] - z[state, first, node]
        nodes = tuple(self.network.index)
        return tuple(tuple(nodes[n] for n in np.flatnonzero(row)) for row in ohms > FLOATS)

    # ---- amperes

    def current(self, name: str) -> Matrix:
        """Amperes into the first node of an element (out of the plus of a source or of a converter's output), one a state."""
        element = self.network.elements[name]
        volts = self.across(*pairs(element)[0])
        if isinstance(element, Resistor):
            return volts / element.ohms
        if isinstance(element, Contact):
            return volts * np.where(self.closed(name), 1 / element.ohms, OPEN)
        if isinstance(element, Source) and element.limit is None:
            return (element.volts - volts) / element.ohms
        n = self.network.port[name][-1]
        port = self.network.ports[n]
        drawn: Matrix = self.excess[:, n] + port.companion * self.ports[:, n] - port.injects
        return -drawn if isinstance(element, Converter | Source) else drawn

    def drawn(self, name: str) -> Matrix:
        """Amperes that a converter takes at its input, or any other element at its first node, one a state."""
        if not isinstance(self.network.elements[name], Converter):
            return self.current(name)
        n = self.network.port[name][0]
        return self.excess[:, n] + self.network.ports[n].companion * self.ports[:, n]

    def closed(self, name: str) -> NDArray[np.bool_]:
        """Whether a contact is closed, one a state."""
        element = self.network.elements[name]
        return np.array([state.get(name, getattr(element, "closed", False)) for state in self.states], dtype=bool)

    # ---- how it grows

    def sensitivity(self, a: Node, b: Node) -> Matrix:
        """d volts(a, b) / d parameter, (states, parameters) in the order of `Network.parameters`; 0 between two islands.

        Volts by the ohm, volt, ampere or watt of each parameter, from one row of the inverted linearised network (its transpose
        on the ampere side: converters make it unsymmetric), so no solve for each parameter.
        """
        first, second, joined = self._nodes(a, b)
        if not joined.any():
            return np.zeros((len(self.states), len(self.network.parameters)))
        moves: Matrix = (self._answers[:, first] - self._answers[:, second])[:, None, :] @ self._grows
        return -moves[:, 0]

    def current_sensitivity(self, name: str) -> Matrix:
        """d current(name) / d parameter, (states, parameters), as `sensitivity`: through the volts and direct."""
        network = self.network
        element = network.elements[name]
        if name in network.port:
            n = network.port[name][-1]
            _, slope = network.laws.excess(self.ports)
            siemens = slope[:, n, n] + network.ports[n].companion
        elif isinstance(element, Contact):
            siemens = np.where(self.closed(name), 1 / element.ohms, OPEN)
        else:
            assert isinstance(element, Resistor | Source)
            siemens = np.full(len(self.states), 1 / element.ohms)
        found: Matrix = siemens[:, None] * self.sensitivity(*pairs(element)[-1])
        for p, (owner, what) in enumerate(network.parameters):
            if owner == name:
                found[:, p] += self._direct[owner, what][-1]
        return -found if isinstance(element, Converter | Source) else found

    # ---- what is out of order

    def brown_out(self) -> tuple[tuple[str, ...], ...]:
        """For each state the loads and converters that get less than their least volts."""
        return self._outside(lambda element, volts, _: isinstance(element, Load | Converter) and 1e-3 < volts < element.least)

    def limited(self) -> tuple[tuple[str, ...], ...]:
        """For each state the sources and converters that give all their limit allows."""
        return self._outside(lambda element, _, amps: isinstance(element, Source | Converter)
                             and element.limit is not None and amps >= element.limit * (1 - 1e-9))

    def shorted(self) -> tuple[tuple[str, ...], ...]:
        """For each state the sources and converters that lose half their volts or more within, or give over 30 A.

        The pull-up of an input, which a closed contact shorts, is not one.
        """
        found: list[list[str]] = [[] for _ in self.states]
        for name, element in self.network.elements.items():
            if isinstance(element, Source | Converter):
                volts, amps = self.across(*pairs(element)[-1]), self.current(name)
                for state in np.flatnonzero((amps > SHORT) | ((amps > SIGNAL) & (volts < element.volts / 2))):
                    found[state].append(name)
        return tuple(map(tuple, found))

    def fights(self) -> tuple[tuple[tuple[str, str], ...], ...]:
        """For each state (source driven backwards, source that drives it most): two that fight."""
        network = self.network
        sources = {n: e.volts for n, e in network.elements.items() if isinstance(e, Source | Converter)}
        column = [network.parameters.index((name, "volts")) for name in sources]
        found: list[list[tuple[str, str]]] = [[] for _ in self.states]
        for state, names in enumerate(self.backfed()):
            for name in names:
                drives = -self.current_sensitivity(name)[state, column] * list(sources.values())
                found[state].append((name, list(sources)[int(np.argmax(drives))]))
        return tuple(map(tuple, found))

    def backfed(self) -> tuple[tuple[str, ...], ...]:
        """For each state the sources into which another one drives more than 1 mA."""
        return self._outside(lambda element, _, amps: isinstance(element, Source | Converter) and amps < -1e-3)

    # ---- within

    def _nodes(self, a: Node, b: Node) -> tuple[int, int, NDArray[np.bool_]]:
        """Numbers of two nodes, and whether copper joins them (states or 1,)."""
        first, second = self.network.index[a], self.network.index[b]
        return first, second, np.asarray(self.islands[:, first] == self.islands[:, second])

    @cached_property
    def _answers(self) -> Matrix:
        """Small-signal volts at each node by the ampere into each, (states, nodes, nodes): the inverse of the Jacobian."""
        linear = self.net.inverse()
        at = self.net.base.ports
        if not at.shape[1]:
            return linear
        _, slope = self.network.laws.excess(self.ports)
        inner = np.linalg.solve(np.eye(slope.shape[1]) + slope @ self.net.impedance, slope)
        answers: Matrix = linear - (linear @ at) @ inner @ (at.T @ linear)
        return answers

    @cached_property
    def _direct(self) -> dict[tuple[str, str], tuple[Matrix, ...]]:
        """For each parameter: amperes by its unit into the first node of each pair of its element, volts held; (states,)."""
        found: dict[tuple[str, str], tuple[Matrix, ...]] = {}
        for name, element in self.network.elements.items():
            volts = [self.across(a, b) for a, b in pairs(element)]
            closed = self.closed(name) if isinstance(element, Contact) else np.zeros(0, dtype=bool)
            for what, by in growths(element, volts, closed).items():
                found[name, what] = by
        return found

    @cached_property
    def _grows(self) -> Matrix:
        """Amperes drawn from each node by the unit of each parameter, (states, nodes, parameters)."""
        network = self.network
        grows = np.zeros((len(self.states), len(network.index), len(network.parameters)))
        for p, (name, what) in enumerate(network.parameters):
            for (a, b), by in zip(pairs(network.elements[name]), self._direct[name, what], strict=True):
                grows[:, network.index[a], p] += by
                grows[:, network.index[b], p] -= by
        return grows

    def _outside(self, is_so: Callable[[Element, float, float], bool]) -> tuple[tuple[str, ...], ...]:
        found: list[list[str]] = [[] for _ in self.states]
        for name, element in self.network.elements.items():
            if not isinstance(element, Load | Converter | Source):
                continue
            volts, amps = self.across(*pairs(element)[0]), self.current(name)
            for state, (v, i) in enumerate(zip(volts, amps, strict=True)):
                if is_so(element, v, i):
                    found[state].append(name)
        return tuple(map(tuple, found))

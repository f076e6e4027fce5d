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
from dataclasses import dataclass
from functools import cached_property

import numpy as np
from numpy.typing import NDArray

from wiregen.study.elements import Contact, Converter, Element, Load, Node, Resistor, Source, pairs
from wiregen.study.growth import parameters
from wiregen.study.laws import Laws, ports_of
from wiregen.study.linear import Linear, Linked, Links, Matrix, Switched, feed_in, incidence, joined, stamp
from wiregen.study.search import Search
from wiregen.study.solution import OPEN, Solution, State


@dataclass(frozen=True)
class Link:
    """Between two nodes in one state alone: `siemens` more than there are (less, where something is opened), and `amps` fed
    into the first node out of the second (a source of V behind R: 1 / R and V / R)."""

    a: Node
    b: Node
    siemens: float
    amps: float = 0.0


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
        # for each node its galvanic island: the nodes that elements join, open contacts too
        self.island = joined(len(self.index), [(self.index[a], self.index[b]) for a, b in between])
        self.parameters = tuple((element.name, what) for element in elements for what in parameters(element))
        self.ports = ports_of(elements, self.index)
        self.port: dict[str, list[int]] = {}
        for n, port in enumerate(self.ports):
            self.port.setdefault(port.element.name, []).append(n)
        self._reach = sum(abs(element.volts) for element in elements if isinstance(element, Source | Converter))
        self.laws = Laws(self.ports, self._reach)
        self._contacts = [e for e in elements if isinstance(e, Contact)]
        # half-way between the two states of a contact
        self._siemens = np.array([1 / contact.ohms for contact in self._contacts])
        self._middle = np.array([math.sqrt(OPEN / contact.ohms) for contact in self._contacts])
        self.base = self._linear()

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

    def _linear(self, links: Links | None = None) -> Linear:
        """The linear part; with what one state has beside it where its links are given."""
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
        if links is not None:
            for a, b, siemens, amps in zip(links.first[0], links.second[0], links.siemens[0], links.amps[0], strict=True):
                if b == size:
                    matrix[a, a] += siemens
                else:
                    stamp(matrix, a, b, siemens)
                    feed_in(feed, a, b, amps)
        for port in self.ports:
            stamp(matrix, port.a, port.b, port.companion)
            feed_in(feed, port.a, port.b, port.injects)
        contacts = incidence(size, [(self.index[c.a], self.index[c.b]) for c in self._contacts])
        return Linear(matrix, feed, contacts, incidence(size, [(p.a, p.b) for p in self.ports]))

    def solve(self, states: Sequence[State], links: Sequence[Sequence[Link]] = ()) -> Solution:
        """The operating point in each state; `links`, one sequence a state, are what stands between nodes in that state alone.

        Raises NotSolved where even small steps do not end, KeyError for a state that names a contact which is not there."""
        change = np.where(self._closed(states), self._siemens, OPEN) - self._middle
        net, islands, laws = Switched(self.base, change), np.array([self.island]), self.laws
        if any(links):
            of_states, islands = self._links(links)
            net = Linked(self.base, change, of_states)
            foreign = max((abs(link.amps) / link.siemens for of in links for link in of if link.amps), default=0.0)
            laws = Laws(self.ports, self._reach + foreign)
        search = Search(net, laws)
        start = search.unloaded()
        potentials, excess = np.empty((len(states), len(self.index))), np.empty_like(start)
        rounds, left = np.zeros(len(states), dtype=int), np.arange(len(states))
        slow = () if isinstance(net, Linked) else (Search.settle,)
        for approach in (Search.straight, Search.newton, *slow):
            if len(left) < len(states):
                search = Search(net.taken(left), laws)
            near, took = approach(search, start[left])
            potentials[left], excess[left], ended = search.refine(near)
            rounds[left] += took
            left = left[~ended]
            if not left.size:
                break
        if isinstance(net, Linked):  # opening what a weak loop hangs on may have lost the digits: from a base of its own
            alike: dict[tuple[Link, ...], list[int]] = {}
            for state in left.tolist():
                alike.setdefault(tuple(links[state]), []).append(state)
            for of in map(np.array, alike.values()):
                search = Search(Switched(self._linear(net.links.taken(of[:1])), change[of]), laws)
                near, took = search.settle(start[of])
                potentials[of], excess[of], ended = search.refine(near)
                left = np.setdiff1d(left, of[ended])
        if left.size:
            raise NotSolved(tuple(left.tolist()))
        return Solution(self, tuple(states), net, potentials, potentials @ self.base.ports, excess, rounds, islands)

    def solved(self, potentials: Matrix, states: Sequence[State], links: Sequence[Link] = ()) -> Solution:
        """Operating points that are known by their potentials (states, nodes), to be asked for more; nothing is searched.

        `links` stand in all of these states, in a base of their own: so ohms lose no digits where a wire is opened."""
        change = np.where(self._closed(states), self._siemens, OPEN) - self._middle
        base, islands = self.base, np.array([self.island])
        if links:
            of_all, islands = self._links([links])
            base = self._linear(of_all)
        ports = potentials @ base.ports
        excess, _ = self.laws.excess(ports)
        rounds = np.zeros(len(states), dtype=int)
        return Solution(self, tuple(states), Switched(base, change), potentials, ports, excess, rounds, islands)

    def _links(self, links: Sequence[Sequence[Link]]) -> tuple[Links, NDArray[np.intp]]:
        """As arrays; and for each state the island of each node.  Where a link joins two islands, one of them loses its tie:
        a second one would be a way for current that is not there."""
        size, rows = len(self.index), []
        islands = np.tile(np.array(self.island), (len(links), 1))
        for of_state, island in zip(links, islands, strict=True):
            row = [(self.index[link.a], self.index[link.b], link.siemens, link.amps) for link in of_state]
            for a, b, siemens, _ in tuple(row):
                if siemens > 0 and island[a] != island[b]:
                    row.append((int(island[b]), size, -1.0, 0.0))
                    island[island == island[b]] = island[a]
            rows.append(row)
        most = max(map(len, rows))
        filled = np.array([row + [(0, 0, 0.0, 0.0)] * (most - len(row)) for row in rows]).reshape(len(rows), most, 4)
        first, second = filled[..., 0].astype(np.intp), filled[..., 1].astype(np.intp)
        return Links(first, second, filled[..., 2], filled[..., 3]), islands

    def _closed(self, states: Sequence[State]) -> NDArray[np.bool_]:
        """(states, contacts)"""
        usual = {contact.name: contact.closed for contact in self._contacts}
        names = tuple(usual)
        rows = []
        for state in states:
            if tuple(state) != names:
                if strange := state.keys() - usual.keys():
                    raise KeyError(min(strange))
                state = {**usual, **state}
            rows.append([*state.values()])
        return np.array(rows, dtype=bool).reshape(len(states), len(names))

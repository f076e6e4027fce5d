"""The operating points of a door: every state that its logic knows, each with what its supplies, loads and inputs then have."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from functools import cached_property

from wiregen.reading.model import Band, Door, Input
from wiregen.study.at_once import at_once
from wiregen.study.circuit import Circuit, Modelled
from wiregen.study.copper import Supplied
from wiregen.study.solution import State
from wiregen.study.worst import Amps, Asked, Volts, bands
from wiregen.wiring.fitting import At
from wiregen.wiring.logic import IDLE, STATES, Case, Logic, cases
from wiregen.wiring.model import End, Wiring


@dataclass(frozen=True)
class Point:
    """A state as it is solved.  `lock` is the one of a bank that is on, where not all of the bank may be on at once."""

    state: str
    case: Case
    lock: str | None
    closed: State


@dataclass(frozen=True)
class Contacted:
    """An input with what stands on it forced: all its contacts closed, or all open, the rest as in idle."""

    at: At
    closed: State
    open: State


class Operating:
    """Solves a door in all its states, once, and is then asked for bands: nominal, least and most.

    Raises NotSolved where an operating point is not found.
    """

    def __init__(self, door: Door, wiring: Wiring, model: Modelled, loads: Sequence[Supplied]) -> None:
        self.door, self.wiring = door, wiring
        self.circuit: Circuit = model.circuit
        self.logic: Logic = model.logic
        known = {At(at.device, at.load.name): at for at in loads}
        self.loads: Mapping[At, Supplied] = {at: known[at] for at in self.circuit.loads if at in known}

    @cached_property
    def points(self) -> tuple[Point, ...]:
        found = []
        for state in STATES:
            for case in cases(state, self.door.leave_by):
                closed = self.circuit.state(self.logic, case)
                found += [Point(state, case, lock, sole) for lock, sole in at_once(self.door, self.wiring.chains, closed)]
        return tuple(found)

    @cached_property
    def inputs(self) -> tuple[Contacted, ...]:
        """The inputs on which contacts are landed that the network has."""
        found = []
        idle = self.circuit.state(self.logic, IDLE)
        for at, ways in self.logic.circuits.inputs.items():
            group = self.logic.circuits.group(at)
            if at.device not in self.wiring.devices or not isinstance(group, Input) or str(at) not in self._elements:
                continue
            names = set()
            for way in ways:
                for step, _ in way.steps:
                    side = self.logic.input_step(step, group).side
                    name = f"{step.at}.{side}" if side else str(step.at)
                    names |= {name} & self.circuit.switches.keys()
                    names |= {str(way.drive)} & self.circuit.switches.keys()
            if names:
                found.append(Contacted(at, {**idle, **dict.fromkeys(names, True)}, {**idle, **dict.fromkeys(names, False)}))
        return tuple(found)

    @cached_property
    def _elements(self) -> set[str]:
        return {element.name for element in self.circuit.elements}

    def node(self, end: End) -> End:
        return self.circuit.nodes[end]

    # ---- what is asked

    def across(self, at: At) -> Volts:
        """Volts across a load, plus against minus."""
        load = self.loads[at]
        return Volts(self.node(load.plus), self.node(load.minus))

    @cached_property
    def _solved(self) -> Mapping[Asked, tuple[Band, ...]]:
        asked: list[Asked] = []
        for at in self.loads:
            asked += [self.across(at), Amps(self.circuit.loads[at])]
        asked += [Amps(name) for name in self.circuit.sources.values()]
        asked = list(dict.fromkeys(asked))
        return dict(zip(asked, bands(self.circuit, [point.closed for point in self.points], asked), strict=True))

    def volts(self, at: At) -> tuple[Band, ...]:
        """Volts across a load at each point."""
        return self._solved[self.across(at)]

    def amps(self, at: At) -> tuple[Band, ...]:
        """Amperes that a load draws, or an output gives, at each point."""
        return self._solved[Amps({**self.circuit.loads, **self.circuit.sources}[at])]

    @cached_property
    def input_volts(self) -> Mapping[At, tuple[Band, Band]]:
        """Volts at each input with what stands on it closed, and open."""
        states = [state for one in self.inputs for state in (one.closed, one.open)]
        asked = []
        for one in self.inputs:
            group = self.logic.circuits.of(one.at, Input)
            asked.append(Volts(self.node(End(one.at.device, group.in_)), self._against(one.at.device, group.ref)))
        found = bands(self.circuit, states, asked) if states else ()
        return {one.at: (of[2 * n], of[2 * n + 1]) for n, (one, of) in enumerate(zip(self.inputs, found, strict=True))}

    def _against(self, ref: str, mark: str) -> End:
        end = End(ref, mark)
        return self.circuit.nodes.get(end, end)

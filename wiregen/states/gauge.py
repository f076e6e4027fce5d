"""What the network is asked while the logic settles: which loads have power, what inputs read, which outputs give too much."""

from __future__ import annotations

from collections.abc import Collection, Iterator, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from wiregen.reading.model import Gives, Group, Input, Part, Takes
from wiregen.reading.quantity import band
from wiregen.study.circuit import LEAST, Circuit
from wiregen.study.elements import Node
from wiregen.study.load import coil_of
from wiregen.study.network import Network
from wiregen.study.solution import Solution
from wiregen.wiring.fitting import At
from wiregen.wiring.logic import IDLE, Logic
from wiregen.wiring.model import End

Flags = NDArray[np.bool_]
Volts = NDArray[np.float64]
Pairs = NDArray[np.intp]  # (things, 2) numbers of nodes

DROPPED = 0.1  # of the volts it works at, where a load whose sheet does not say so lets go: common practice, no source
HALF = 0.5  # of the pull-up's volts, where an input whose sheet gives no bands changes: common practice, no source
ABOVE = "above "  # in an input's `active`
ALONE = "alone"  # in an output's `overload`: its short leaves the rest of the device running


@dataclass(frozen=True)
class Needs:
    """Volts from which a load surely starts (`works`), at which it surely stays on (`keeps`), and has let go (`drops`)."""

    works: float
    keeps: float
    drops: float
    either_way: bool  # round, too


def needs(parts: Sequence[Part], load: Takes) -> Needs:
    """By the coil inside, or else by the range of the load."""
    coil, least = coil_of(parts, load), load.range.least if load.range else LEAST
    if coil is None:
        keeps = load.brown_out.most if load.brown_out else least
        return Needs(least, min(keeps, least), load.brown_out.least if load.brown_out else least, load.current == "ac")
    works = coil.pulls_in.most if coil.pulls_in else least
    keeps = min(coil.holds.most if coil.holds else works, works)
    return Needs(works, keeps, min(coil.lets_go.least if coil.lets_go else DROPPED * works, keeps), True)


@dataclass(frozen=True)
class Reads:
    """An input: it turns at `turns` V, works while its volts are below (or above), and is told to be faulty out of `within`."""

    turns: float
    works_low: bool
    within: tuple[float, float]


def reads(group: Input, supervised: bool, closed_at_rest: bool) -> Reads | None:
    """None where the data sheet says of no volts at which it turns."""
    bands = group.supervised if supervised else group.plain
    works_low = group.active == "closed" if group.active else not closed_at_rest
    if "closed" in bands and "open" in bands:
        closed, open_ = bands["closed"], bands["open"]
        within = (closed.least, open_.most) if supervised else (-np.inf, np.inf)
        return Reads((closed.most + open_.least) / 2, works_low, within)
    if group.active and group.active.startswith(ABOVE):
        return Reads(band(group.active.removeprefix(ABOVE), "V").nominal, False, (-np.inf, np.inf))
    return Reads(HALF * group.pull_up_to.nominal, works_low, (-np.inf, np.inf)) if group.pull_up_to else None


class Gauge:
    """Reads loads, inputs and outputs off a solution, for all its states at once; `supervised` are inputs as "A1.door"."""

    def __init__(self, circuit: Circuit, network: Network, logic: Logic, supervised: Collection[str]) -> None:
        self.circuit, self.network, self.logic = circuit, network, logic
        loads, inputs = list(self._loads()), list(self._inputs(supervised))
        self.loads = tuple(at for at, _, _ in loads)
        self.needs = tuple(need for _, _, need in loads)
        self.inputs = tuple(at for at, _, _ in inputs)
        limits = {at: limit for at in circuit.sources if (limit := self._limit(at)) is not None}
        self.outputs = tuple(limits)
        self._poles, self._ends = self._numbers([pair for _, pair, _ in loads]), self._numbers([pair for _, pair, _ in inputs])
        self._works, self._drops = (np.array([getattr(n, f) for n in self.needs]) for f in ("works", "drops"))
        self._either = np.array([n.either_way for n in self.needs], dtype=bool)
        self._limits = np.array([*limits.values()], dtype=float)
        self._below = np.array([[one in self._above(other) for one in self.outputs] for other in self.outputs], dtype=bool)
        self._turns = np.array([r.turns for _, _, r in inputs])
        self._low = np.array([r.works_low for _, _, r in inputs], dtype=bool)
        self._within = np.array([r.within for _, _, r in inputs], dtype=float).reshape(len(inputs), 2)

    def _groups(self) -> Iterator[tuple[At, Group]]:
        for key, sheet in self.circuit.sheets.items():
            for group in sheet.groups.values():
                yield At(key, group.name), group

    def _loads(self) -> Iterator[tuple[At, tuple[Node, Node], Needs]]:
        for at, group in self._groups():
            if isinstance(group, Takes) and group.current != "mains":
                pair = self._pair(at.device, group.first, group.second)
                if pair is not None:
                    yield at, pair, needs(self.circuit.sheets[at.device].inside, group)

    def _inputs(self, supervised: Collection[str]) -> Iterator[tuple[At, tuple[Node, Node], Reads]]:
        for at, group in self._groups():
            if isinstance(group, Input) and str(at) in self.network.elements:
                pair = self._pair(at.device, group.in_, group.ref)
                ways = self.logic.circuits.inputs.get(at, [])
                at_rest = any(self.logic.way_closed(IDLE, way, group) for way in ways)
                read = reads(group, str(at) in supervised, at_rest)
                if pair is not None and read is not None and ways:
                    yield at, pair, read

    def _limit(self, at: At) -> float | None:
        """Amperes beyond which an output does not give; None where none is known, or it is known in watts."""
        group = self.logic.circuits.group(at)
        if not isinstance(group, Gives) or group.limit is None or group.limit.unit != "A":
            return None
        return max(group.limit.most, group.peak.amps if group.peak else 0.0)

    def _above(self, output: At) -> frozenset[At]:
        """The outputs that what gives this one is itself fed from, up to the first."""
        found: set[At] = set()
        waiting = [output.device]
        while waiting:
            ref = waiting.pop()
            sources = {feed.source for load, feed in self.logic.circuits.feeds.items() if load.device == ref} - found
            found |= sources
            waiting += [at.device for at in sources]
        return frozenset(found)

    def _pair(self, ref: str, first: str | None, second: str | None) -> tuple[Node, Node] | None:
        a, b = (self.circuit.nodes.get(End(ref, mark or ""), End(ref, mark or "")) for mark in (first, second))
        return (a, b) if a in self.network.index and b in self.network.index and a != b else None

    def _numbers(self, pairs: Sequence[tuple[Node, Node]]) -> Pairs:
        index = self.network.index
        return np.array([[index[a], index[b]] for a, b in pairs], dtype=np.intp).reshape(len(pairs), 2)

    # ---- reading

    def load_volts(self, solution: Solution) -> Volts:
        """V at each load, (states, loads); 0 where no copper joins its poles."""
        volts = _volts(solution, self._poles)
        return np.where(self._either, np.abs(volts), volts)

    def on(self, volts: Volts, before: Flags) -> Flags:
        """Whether each load has power; between its volts it is as before."""
        return np.asarray((volts >= self._works) | ((volts > self._drops) & before))

    def active(self, solution: Solution) -> Flags:
        """Whether each input is worked; a loop told to be faulty works nothing."""
        volts = _volts(solution, self._ends)
        inside = (volts >= self._within[:, 0]) & (volts <= self._within[:, 1])
        return np.asarray(((volts < self._turns) == self._low) & inside)

    def tripped(self, solution: Solution, before: Flags) -> Flags:
        """Outputs that would give more than they can; what has tripped stays so.  Of several behind one another the last goes
        first: what is before it may then hold."""
        if not self.outputs:
            return before
        amps = np.stack([solution.current(self.circuit.sources[at]) for at in self.outputs], axis=1)
        over = (amps > self._limits) & ~before
        return np.asarray(before | (over & ~(over @ self._below)))

    def down(self, tripped: Flags) -> frozenset[str]:
        """Devices that the overload of their own outputs takes with it."""
        gone = [at for at, is_ in zip(self.outputs, tripped, strict=True) if is_]
        return frozenset(at.device for at in gone if not runs_on(self.logic.circuits.of(at, Gives)))


def runs_on(output: Gives) -> bool:
    """Whether the rest of a device runs on while this output of it is shorted."""
    return output.limit_kind == "fuse" or ALONE in (output.overload or "").split()


def _volts(solution: Solution, pairs: Pairs) -> Volts:
    first, second = pairs[:, 0], pairs[:, 1]
    joined = solution.islands[:, first] == solution.islands[:, second]
    found: Volts = np.where(joined, solution.potentials[:, first] - solution.potentials[:, second], 0.0)
    return found

"""Operating points of a door with their worst cases: nominal, least and most of what a meter shows in each state.

How a reading grows with each value that is known only within a band says at which end of it the reading is least and most;
there the network is solved again.  Corners that do not contradict one another are solved together, and which way a contact
stands is the same at every corner.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from typing import Any, ClassVar

import numpy as np
from numpy.typing import NDArray

from wiregen.reading.model import Band, Unit
from wiregen.study.circuit import Circuit
from wiregen.study.elements import Element, Node, pairs
from wiregen.study.network import Network
from wiregen.study.solution import DIGITS, Solution, State

NOTHING = 1e-6  # V or A: what a value moves less than this does not count


@dataclass(frozen=True)
class Volts:
    """Asked for: volts of `a` against `b`, through a meter of 10 megohm."""

    a: Node
    b: Node
    unit: ClassVar[Unit] = "V"

    def nominal(self, solution: Solution) -> NDArray[np.float64]:
        return solution.reading(self.a, self.b)

    def grows(self, solution: Solution) -> NDArray[np.float64]:
        return solution.sensitivity(self.a, self.b)


@dataclass(frozen=True)
class Amps:
    """Asked for: amperes through an element, out of the plus of a source, to 0.1 uA."""

    element: str
    unit: ClassVar[Unit] = "A"

    def nominal(self, solution: Solution) -> NDArray[np.float64]:
        return solution.current(self.element).round(DIGITS)

    def grows(self, solution: Solution) -> NDArray[np.float64]:
        return solution.current_sensitivity(self.element)


Asked = Volts | Amps
Directions = NDArray[np.int_]  # one a spread: -1 least, 1 most, 0 does not matter


@dataclass
class _Corner:
    """Ends of bands that several readings ask for, none against another; `wanted` are (asked, state, whether the most)."""

    directions: Directions
    wanted: list[tuple[int, int, bool]]


def bands(circuit: Circuit, states: Sequence[State], asked: Sequence[Asked]) -> tuple[tuple[Band, ...], ...]:
    """For each thing asked its band in each state, in V or A.

    Each piece of the circuit is solved by itself, and states that are alike in it once.  Raises NotSolved where an operating
    point is not found.
    """
    found: dict[int, tuple[Band, ...]] = {}
    nodes = {element.name: pairs(element)[0] for element in circuit.elements}
    for piece, numbers in circuit.apart([nodes[one.element] if isinstance(one, Amps) else (one.a, one.b) for one in asked]):
        own = [tuple((name, state[name]) for name in piece.switches if name in state) for state in states]
        apart = list(dict.fromkeys(own))
        told = _bands(piece, list(map(dict, apart)), [asked[n] for n in numbers])
        at = {state: n for n, state in enumerate(apart)}
        found |= {n: tuple(of[at[state]] for state in own) for n, of in zip(numbers, told, strict=True)}
    return tuple(found[n] for n in range(len(asked)))


def _bands(circuit: Circuit, states: Sequence[State], asked: Sequence[Asked]) -> Iterator[tuple[Band, ...]]:
    solution = circuit.network.solve(states)
    nominal = np.array([one.nominal(solution) for one in asked]).reshape(len(asked), len(states))
    least, most = nominal.copy(), nominal.copy()
    for corner in _corners(circuit, solution, asked):
        rows = sorted({state for _, state, _ in corner.wanted})
        moved = Network(_moved(circuit, corner.directions)).solve([states[row] for row in rows])
        answers = {one: asked[one].nominal(moved) for one in sorted({one for one, _, _ in corner.wanted})}
        for one, state, is_most in corner.wanted:
            value = answers[one][rows.index(state)]
            if is_most:
                most[one, state] = max(most[one, state], value)
            else:
                least[one, state] = min(least[one, state], value)
    for what, *of in zip(asked, nominal, least, most, strict=True):
        yield tuple(Band(float(n), float(low), float(high), what.unit, "") for n, low, high in zip(*of, strict=True))


def _corners(circuit: Circuit, solution: Solution, asked: Sequence[Asked]) -> list[_Corner]:
    column = {parameter: n for n, parameter in enumerate(solution.network.parameters)}
    columns = [column[spread.element, spread.what] for spread in circuit.spreads]
    width = np.array([spread.band.most - spread.band.least for spread in circuit.spreads])
    corners: list[_Corner] = []
    for one, of in enumerate(asked):
        moves = of.grows(solution)[:, columns] * width
        directions = np.where(np.abs(moves) > NOTHING, np.sign(moves), 0).astype(int)
        for state, direction in enumerate(directions):
            if direction.any():
                _want(corners, direction, (one, state, True))
                _want(corners, -direction, (one, state, False))
    return corners


def _want(corners: list[_Corner], directions: Directions, wanted: tuple[int, int, bool]) -> None:
    for corner in corners:
        if (corner.directions * directions >= 0).all():
            corner.directions = np.where(directions, directions, corner.directions)
            corner.wanted.append(wanted)
            return
    corners.append(_Corner(directions, [wanted]))


def _moved(circuit: Circuit, directions: Directions) -> list[Element]:
    """The elements with each spread value at the end of its band that the direction names."""
    changes: dict[str, dict[str, Any]] = {}
    for spread, direction in zip(circuit.spreads, directions, strict=True):
        if direction:
            band = spread.band
            changes.setdefault(spread.element, {})[spread.what] = band.most if direction > 0 else band.least
    return [replace(e, **changes[e.name]) if e.name in changes else e for e in circuit.elements]

"""Least and most of the demo doors' readings against searches over the corners of all that is known only within a band.

The search is blind: it knows no sensitivities, only the network solved at a corner.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from functools import cache
from typing import Any

import numpy as np
import pytest
from numpy.typing import NDArray

from tests.study.doors import circuits
from wiregen.reading.model import Band
from wiregen.study.circuit import Circuit
from wiregen.study.elements import Element, Load, Resistor, pairs
from wiregen.study.network import Network
from wiregen.study.solution import State
from wiregen.study.worst import Amps, Asked, Volts, bands

Corner = NDArray[np.bool_]  # of each spread: at its most, or at its least
WIDTH = 0.01  # part of a band's width by which a corner may lie beyond it, or the search fall short of its end
NOTHING = 2e-6  # V or A: a band that is no wider is a point

# doors that are fed in different ways, one on alternating current and one in gauges and feet
SEARCHED = ["fernhill D101", "fernhill D104", "fernhill D105", "fernhill D103", "annex D113"]
THROWN = [*SEARCHED, "fernhill D107", "fernhill D110", "fernhill D117", "fernhill D120", "annex D114", "annex D119"]


@cache
def doors() -> dict[str, tuple[Circuit, list[State]]]:
    return {name: (circuit, states) for site in ("fernhill", "annex") for name, circuit, states in circuits(site)}


def readings(circuit: Circuit) -> list[Asked]:
    """Volts and amps of every load, and amps of every output."""
    elements = {element.name: element for element in circuit.elements}
    found: list[Asked] = []
    for name in circuit.loads.values():
        match elements[name]:
            case Resistor() as coil:
                found += [Volts(coil.a, coil.b), Amps(name)]
            case Load() as load:
                found += [Volts(load.plus, load.minus), Amps(name)]
    return [*found, *(Amps(name) for name in circuit.sources.values())]


def at_corner(circuit: Circuit, corner: Corner, states: Sequence[State], asked: Sequence[Asked]) -> NDArray[np.float64]:
    """What is asked, by reading and state."""
    changes: dict[str, dict[str, Any]] = {}
    for spread, most in zip(circuit.spreads, corner, strict=True):
        changes.setdefault(spread.element, {})[spread.what] = spread.band.most if most else spread.band.least
    solution = Network([replace(e, **changes.get(e.name, {})) for e in circuit.elements]).solve(states)
    return np.array([one.nominal(solution) for one in asked])


def ends(told: Sequence[Sequence[Band]]) -> tuple[NDArray[np.float64], NDArray[np.float64]]:
    return np.array([[b.least for b in row] for row in told]), np.array([[b.most for b in row] for row in told])


@pytest.mark.parametrize("name", THROWN)
def test_no_corner_thrown_at_random_lies_outside(name: str) -> None:
    circuit, states = doors()[name]
    asked = readings(circuit)
    least, most = ends(bands(circuit, states, asked))
    slack = WIDTH * (most - least) + NOTHING
    random = np.random.default_rng(20261102)
    count = len(circuit.spreads)
    corners = [np.zeros(count, bool), np.ones(count, bool), *random.random((30, count)).round().astype(bool)]
    for corner in corners:
        got = at_corner(circuit, corner, states, asked)
        assert (got >= least - slack).all()
        assert (got <= most + slack).all()


def climbed(circuit: Circuit, start: Corner, state: State, one: Asked, sign: int) -> float:
    """The most (sign 1) or least (-1) of a reading that flipping one value after the other reaches from a corner."""
    corner = start.copy()
    best = sign * at_corner(circuit, corner, [state], [one])[0, 0]
    moved = True
    while moved:
        moved = False
        for spread in range(len(corner)):
            corner[spread] = not corner[spread]
            got = sign * at_corner(circuit, corner, [state], [one])[0, 0]
            if got > best + 1e-12:
                best, moved = got, True
            else:
                corner[spread] = not corner[spread]
    return float(sign * best)


@pytest.mark.parametrize("name", [*SEARCHED[:2], *(pytest.param(name, marks=pytest.mark.sweep) for name in SEARCHED[2:])])
def test_a_climb_from_either_side_ends_at_least_and_most(name: str) -> None:
    """The two readings of widest band that are not of one element, each in the state in which it is widest."""
    circuit, states = doors()[name]
    asked = readings(circuit)
    least, most = ends(bands(circuit, states, asked))
    width = most - least
    volts = max((n for n, one in enumerate(asked) if isinstance(one, Volts)), key=lambda n: width[n].max())
    amps = max((n for n, one in enumerate(asked) if isinstance(one, Amps)), key=lambda n: width[n].max())
    for n in (volts, amps):
        row = int(width[n].argmax())
        assert width[n, row] > NOTHING
        slack = WIDTH * width[n, row]
        for start in (np.zeros(len(circuit.spreads), bool), np.ones(len(circuit.spreads), bool)):
            assert climbed(circuit, start, states[row], asked[n], -1) == pytest.approx(least[n, row], abs=slack)
            assert climbed(circuit, start, states[row], asked[n], 1) == pytest.approx(most[n, row], abs=slack)


def test_pieces_of_a_circuit_are_solved_as_if_they_were_one() -> None:
    """Two doors side by side share no node: each has the bands that it has alone, and a meter between them shows nothing."""
    (one, of_one), (two, of_two) = (doors()[name] for name in SEARCHED[:2])
    other = Circuit(
        tuple(_named(element) for element in two.elements),
        tuple(replace(spread, element=f"2 {spread.element}") for spread in two.spreads),
        {f"2 {name}": closed for name, closed in two.switches.items()}, {}, {},
        {at: f"2 {name}" for at, name in two.loads.items()}, {},
    )  # fmt: skip
    both = replace(
        one, elements=one.elements + other.elements, spreads=one.spreads + other.spreads,
        switches={**one.switches, **other.switches},
    )  # fmt: skip
    states = [{**a, **{f"2 {name}": on for name, on in b.items()}} for a, b in zip(of_one, of_two, strict=False)]
    asked = readings(one) + readings(replace(other, sources={}))
    assert len(list(both.apart([_ends(both, name) for name in asked]))) >= 2
    told = bands(both, states, asked)
    assert told[: len(readings(one))] == bands(one, of_one[: len(states)], readings(one))
    assert told[len(readings(one)) :] == bands(other, [_of_two(s) for s in states], readings(replace(other, sources={})))
    whole = Network(both.elements).solve(states)
    for n, name in enumerate(asked):
        assert [band.nominal for band in told[n]] == pytest.approx(list(name.nominal(whole)), abs=1e-9)
    between = Volts(pairs(one.elements[0])[0][0], pairs(other.elements[0])[0][0])
    assert [len(numbers) for _, numbers in both.apart([(between.a, between.b)])] == [1]
    assert all(abs(band.nominal) < NOTHING for band in bands(both, states, [between])[0])


def _named(element: Element) -> Element:
    """The same under another name, between nodes of its own."""
    nodes = {field: ("2", getattr(element, field)) for field in vars(element) if getattr(element, field) in _all(element)}
    return replace(element, name=f"2 {element.name}", **nodes)


def _all(element: Element) -> set[Any]:
    return {node for pair in pairs(element) for node in pair}


def _ends(circuit: Circuit, one: Asked) -> tuple[Any, ...]:
    known = {element.name: element for element in circuit.elements}
    return pairs(known[one.element])[0] if isinstance(one, Amps) else (one.a, one.b)


def _of_two(state: State) -> State:
    return {name: on for name, on in state.items() if name.startswith("2 ")}

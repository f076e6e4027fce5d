"""What stands in one state alone, against a network made anew with it."""

from __future__ import annotations

import random
from dataclasses import replace

import numpy as np
import pytest

from tests.study.random_networks import make
from wiregen.study.elements import Element, Resistor, Source
from wiregen.study.network import Link, Network
from wiregen.study.solution import OPEN

SHORT = 0.01  # ohm


def changed(elements: list[Element], r: random.Random) -> tuple[list[Link], list[Element]]:
    """A wire opened, two nodes joined, or a foreign source between them: as links, and as elements."""
    wires = [e for e in elements if isinstance(e, Resistor)]
    a, b = r.sample(sorted(Network(elements).index), 2)
    match r.choice(["open", "short", "source", "swap"]):
        case "open" if wires:
            wire = r.choice(wires)
            without = [replace(e, ohms=1 / OPEN) if e is wire else e for e in elements]
            return [Link(wire.a, wire.b, OPEN - 1 / wire.ohms)], without
        case "source":
            volts = r.choice([12.0, 24.0])
            return [Link(a, b, 1 / 0.5, volts / 0.5)], [*elements, Source("foreign", a, b, volts, 0.5)]
        case "swap" if wires:
            wire = r.choice(wires)
            moved = [replace(e, b=a) if e is wire else e for e in elements]
            if wire.a != a:
                stub = Resistor("stub", wire.a, wire.b, 1 / OPEN)
                return [Link(wire.a, wire.b, OPEN - 1 / wire.ohms), Link(wire.a, a, 1 / wire.ohms)], [*moved, stub]
    return [Link(a, b, 1 / SHORT)], [*elements, Resistor("short", a, b, SHORT)]


@pytest.mark.parametrize("first", [0, *(pytest.param(first, marks=pytest.mark.sweep) for first in (50, 100, 150))])
def test_a_link_is_as_good_as_an_element(first: int) -> None:
    """200 random networks, six changes each in the first state: volts within 1e-6 of max(|V|, 1 V) over what under 0.1 megohm
    holds, between islands that a link joins too."""
    for seed in range(first, first + 50):
        elements, states = make(seed)
        r = random.Random(seed)
        changes = [changed(elements, r) for _ in range(6)]
        network = Network(elements)
        at = network.solve([states[0]] * 6, [links for links, _ in changes])
        start, *nodes = sorted(network.index)
        found = [(at.thevenin(start, node), at.across(start, node)) for node in nodes]
        for n, (_, anew) in enumerate(changes):
            one = Network(anew).solve([states[0]])
            for node, (ohms, volts) in zip(nodes, found, strict=True):
                due = one.thevenin(start, node)[0]
                assert (due < np.inf) == (ohms[n] < np.inf)
                if due < 1e5:
                    wanted = one.across(start, node)[0]
                    assert abs(volts[n] - wanted) < 1e-6 * max(abs(wanted), 1.0), (seed, n, node)


@pytest.mark.parametrize("first", [0, pytest.param(50, marks=pytest.mark.sweep)])
def test_what_is_known_by_its_potentials_is_asked_like_a_fresh_network(first: int) -> None:
    """Ohms of wires that are opened too, for which an update of the whole network's inverse has lost the digits."""
    kink = 0.1  # ohm, by which the two sides of a converter that gives nothing may differ: it may be on either
    opened = 0
    for seed in range(first, first + 50):
        elements, states = make(seed)
        network, r = Network(elements), random.Random(seed)
        for links, anew in [changed(elements, r) for _ in range(4)]:
            at = network.solve([states[0]], [links])
            known, one = network.solved(at.potentials, [states[0]], links), Network(anew).solve([states[0]])
            pairs = [r.sample(sorted(network.index), 2) for _ in range(6)]
            numbers = np.array([[network.index[node] for node in pair] for pair in pairs]).T
            ohms, readings = known.ohms(*numbers)[0], known.readings(*numbers)[0]
            for n, pair in enumerate(pairs):
                due = one.thevenin(*pair)[0]
                assert ohms[n] == pytest.approx(due, rel=1e-3, abs=kink), (seed, pair)
                assert readings[n] == pytest.approx(one.reading(*pair)[0], abs=1e-4), (seed, pair)
                opened += 1e8 < due < np.inf
    assert opened > 20

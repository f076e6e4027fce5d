"""Operating points against a second opinion written plainly and solved by scipy (tests/study/nodal.py)."""

from __future__ import annotations

import numpy as np
import pytest

from bench.spice import compared
from tests.study import nodal
from tests.study.random_networks import make
from wiregen.study.elements import Load, Source
from wiregen.study.network import Network

SUMS = 1e-9  # A that may be left at a node


@pytest.mark.parametrize("first", range(0, 200, 50))
def test_kirchhoffs_sums_hold_at_every_node(first: int) -> None:
    """200 random networks, four states each: every law, evaluated on its own, gives currents that add up to nothing."""
    for seed in range(first, first + 50):
        elements, states = make(seed)
        at = Network(elements).solve(states)
        for state, volts in zip(states, at.potentials, strict=True):
            left = nodal.imbalance(elements, state, at.network.index, volts)
            assert np.abs(left).max() < SUMS, (seed, state)


@pytest.mark.parametrize("seed", range(20))
def test_scipy_comes_back_to_the_same_point(seed: int) -> None:
    """From 2 mV off at every node: within 1e-6 of max(|V|, 1 V) where less than 0.1 megohm holds a node."""
    elements, states = make(seed)
    at = Network(elements).solve(states[:1])
    index = at.network.index
    start = at.potentials[0] + np.random.default_rng(seed).uniform(-0.002, 0.002, len(index))
    found = nodal.solve(elements, states[0], index, sorted(set(at.network.island)), start)
    assert compared(at, found[None]).max() < 1e-6


def test_a_point_that_is_none_is_told() -> None:
    """The check itself: a solution with one potential off by a millivolt leaves amperes over."""
    elements = [Source("G", "p", "m", 24.0, 0.5), Load("L", "p", "m", 18.0, watts=6.0)]
    at = Network(elements).solve([{}])
    off = at.potentials[0] + np.array([1e-3, 0.0])
    assert np.abs(nodal.imbalance(elements, {}, at.network.index, off)).max() > 1e3 * SUMS

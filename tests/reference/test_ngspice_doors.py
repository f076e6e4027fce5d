"""Every operating point of every demo door, both sites, against ngspice and against plain laws with scipy.

Each door in every state of its logic with each way to leave it.  Without ngspice the second half still runs.
"""

from __future__ import annotations

from functools import cache
from pathlib import Path

import numpy as np
import pytest

from bench.spice import PROGRAM, compared, misfits, points
from tests.study import nodal
from tests.study.doors import SITES, circuits
from wiregen.study.network import Network
from wiregen.study.solution import Solution

CLOSE = 1e-6  # of max(|V|, 1 V), on nodes that less than 0.1 megohm holds


@cache
def solved(site: str) -> dict[str, Solution]:
    """Each door in all states that differ in a contact."""
    doors = {}
    for door, built, states in circuits(site):
        distinct = {tuple(sorted(state.items())): state for state in states}
        doors[door] = Network(built.elements).solve(list(distinct.values()))
    return doors


@pytest.mark.skipif(PROGRAM is None, reason="ngspice is not installed (Debian: apt install ngspice): not checked against it")
@pytest.mark.parametrize("site", SITES)
def test_against_ngspice(site: str, tmp_path: Path) -> None:
    for door, at in solved(site).items():
        volts = points(at, tmp_path)
        assert volts.shape == at.potentials.shape, door
        assert misfits(at, volts) == [], door
        assert compared(at, volts).max() < CLOSE, door


@pytest.mark.parametrize("site", SITES)
def test_against_plain_laws(site: str) -> None:
    """Kirchhoff's sums of currents by laws that share no code with the solver's; for one state scipy finds the point again."""
    for door, at in solved(site).items():
        index, elements = at.network.index, list(at.network.elements.values())
        for state, volts in zip(at.states, at.potentials, strict=True):
            assert np.abs(nodal.imbalance(elements, state, index, volts)).max() < 1e-9, door
        start = at.potentials[0] + np.random.default_rng(7).uniform(-0.002, 0.002, len(index))
        found = nodal.solve(elements, at.states[0], index, sorted(set(at.network.island)), start)
        assert compared(at.network.solve(at.states[:1]), found[None]).max() < CLOSE, door


@pytest.mark.parametrize("site", SITES)
def test_no_load_of_a_demo_door_is_unfed_and_no_supply_shorted(site: str) -> None:
    for door, at in solved(site).items():
        assert at.network.unfed == (), door
        assert not any(at.shorted()), door
        assert not any(at.fights()), door

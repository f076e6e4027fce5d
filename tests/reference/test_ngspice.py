"""Operating points against ngspice (a Debian package of that name): random networks of all elements, two states each.

The deck is linear in the mode of each part that bends, and the modes are checked from ngspice's own volts: that proves a
solution, not that it is the only one.  Its diodes are its own; what differs there (3e-7) is its older Boltzmann constant.
"""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest

from bench.spice import LOOSER, PROGRAM, compared, deck_of, misfits, points, run, volts_in
from tests.study.random_networks import make
from wiregen.study.network import Network

pytestmark = pytest.mark.skipif(
    PROGRAM is None, reason="ngspice is not installed (Debian: apt install ngspice): not checked against it"
)
CLOSE = 1e-6  # of max(|V|, 1 V), on nodes that less than 0.1 megohm holds


@pytest.mark.parametrize("first", range(0, 200, 25))
def test_random_networks(first: int, tmp_path: Path) -> None:
    for seed in range(first, first + 25):
        elements, states = make(seed)
        at = Network(elements).solve(states[:2])
        volts = points(at, tmp_path)
        assert misfits(at, volts) == [], seed
        assert compared(at, volts).max() < CLOSE, seed


@pytest.mark.parametrize("seed", [1, 4, 8, 11, 132, 158])
def test_what_is_named_as_floating_floats(seed: int, tmp_path: Path) -> None:
    """A nanoampere into one node after the other: what ngspice sees move by over a millivolt a nanoampere is what is named."""
    elements, states = make(seed)
    at = Network(elements).solve(states[1:2])
    deck = deck_of(at)
    nodes = len(at.network.index)
    push = 1e-9
    lines = [f"itest{n} {at.network.island[n] + 1} {n + 1} 0" for n in range(nodes)]
    control = [".control", "set numdgt=15", "op", asked := "print " + " ".join(f"v({n + 1})" for n in range(nodes))]
    for n in range(nodes):
        control += [f"alter itest{n} = {push}", "op", asked, f"alter itest{n} = 0", "destroy all"]
    whole = deck.text(options=LOOSER).split(".control")[0]
    still, *moved = volts_in(run("\n".join([whole, *lines, *control, "quit 0", ".endc", ".end", ""]), tmp_path), nodes)
    island = at.network.island
    ohms = np.array([(v[n] - v[island[n]]) - (still[n] - still[island[n]]) for n, v in enumerate(moved)]) / push
    clear = (ohms < 0.5e6) | (ohms > 2e6)  # a diode's ohms are not the same on both sides of a nanoampere
    named = np.array([node in at.floating()[0] for node in at.network.index])
    assert (named == (ohms > 1e6))[clear].all()
    assert clear.sum() > 0.8 * nodes

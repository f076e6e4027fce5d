"""Every fault as an update of the door's network, against a network made anew with it."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest

from tests.random_doors import seeded_site
from tests.study.anew import with_links
from wiregen.faults.effects import Trials
from wiregen.reading.load import load_site
from wiregen.states.table import settler_of
from wiregen.study.network import Network
from wiregen.wiring.wire import wire_door, wire_site

CLOSE = 1e-6  # of max(|V|, 1 V), on nodes that less than 0.1 megohm holds
HELD = 1e5  # ohm
DOORS = 10


def _check(seed: int, folder: Path, doors: int = DOORS) -> int:
    site = load_site(seeded_site(folder / "site", seed, doors))
    shared, count = wire_site(site), 0
    for door in site.doors.values():
        wiring = wire_door(site, door)
        settler = settler_of(site, door, wiring, shared)
        trials = Trials(door, wiring, settler, ("idle",))
        for tried in trials.tried[1:]:
            assert tried.fault is not None
            if tried.fault.links:
                row = tried.rows["idle"][0][1]
                anew = Network(with_links(settler.circuit.elements, tried.fault.links)).solve([tried.settled.contacts[row]])
                off = _off(settler.network, tried.settled.potentials[row], anew.network, anew.potentials[0], anew._answers[0])
                assert off < CLOSE, (seed, door.id, tried.fault.key)
                count += 1
    return count


def _off(ours: Network, volts: np.ndarray, anew: Network, again: np.ndarray, ohms: np.ndarray) -> float:
    """By how much the volts against the first node of each island differ, relative to max(|V|, 1 V)."""
    worst = 0.0
    first: dict[int, int] = {}
    for node, n in anew.index.items():
        if node in ours.index:
            ref = first.setdefault(anew.island[n], n)
            held = ohms[n, n] + ohms[ref, ref] - ohms[n, ref] - ohms[ref, n] < HELD
            names = list(anew.index)
            told, due = volts[ours.index[node]] - volts[ours.index[names[ref]]], again[n] - again[ref]
            worst = max(worst, abs(told - due) / max(abs(due), 1.0) if held else 0.0)
    return worst


def test_faults_of_four_random_doors(tmp_path: Path) -> None:
    assert _check(0, tmp_path, 4) > 40 * 4


@pytest.mark.sweep
@pytest.mark.parametrize("seed", range(1, 11))
def test_faults_of_a_hundred_random_doors(seed: int, tmp_path: Path) -> None:
    assert _check(seed, tmp_path) > 40 * DOORS

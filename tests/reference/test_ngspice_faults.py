"""Faulted and attacked networks of the demo doors against ngspice: wires opened, wires that touch, and foreign sources.

Over 300 networks, each made anew as a deck of its own.
"""

from __future__ import annotations

import random
from pathlib import Path

import pytest

from bench.spice import PROGRAM, compared, misfits, points
from tests.demo import site_of
from tests.study.anew import with_links
from tests.study.doors import SITES
from wiregen.faults.effects import Trials
from wiregen.states.settle import Point, Settler
from wiregen.states.table import settler_of
from wiregen.study.network import Link, Network
from wiregen.wiring.wire import wire_door, wire_site

CLOSE = 1e-6  # of max(|V|, 1 V), on nodes that less than 0.1 megohm holds
FAULTS, ATTACKS = 8, 6  # of each door, picked by a seed
BEHIND = 0.5  # ohm, of a foreign source


def attacks(settler: Settler, seed: int) -> list[Point]:
    """Foreign sources of 12 and 24 V between nodes of the door, either way round."""
    r, nodes = random.Random(seed), sorted(settler.network.index)
    found = []
    for _ in range(ATTACKS):
        a, b = r.sample(nodes, 2)
        found.append(Point(links=(Link(a, b, 1 / BEHIND, r.choice([12.0, 24.0]) / BEHIND),)))
    return found


@pytest.mark.skipif(PROGRAM is None, reason="ngspice is not installed (Debian: apt install ngspice): not checked against it")
@pytest.mark.parametrize("site", [pytest.param(SITES[0], marks=pytest.mark.sweep), SITES[1]])
def test_faulted_and_attacked_networks(site: str, tmp_path: Path) -> None:
    spec = site_of(site)
    shared, count = wire_site(spec), 0
    for seed, door in enumerate(spec.doors.values()):
        wiring = wire_door(spec, door)
        settler = settler_of(spec, door, wiring, shared)
        with_links_ = [f for f in Trials(door, wiring, settler).faults if f.links]
        picked = random.Random(seed).sample(with_links_, min(FAULTS, len(with_links_)))
        of_faults = [Point(strike=fault.strike, links=fault.links) for fault in picked]
        settled = settler.settle([*of_faults, *attacks(settler, seed)])
        for point, state in zip(settled.points, settled.contacts, strict=True):
            anew = Network(with_links(settler.circuit.elements, point.links)).solve([state])
            volts = points(anew, tmp_path)
            assert misfits(anew, volts) == [], (door.id, point.links)
            assert compared(anew, volts).max() < CLOSE, (door.id, point.links)
            count += 1
    assert count >= 12 * len(spec.doors)

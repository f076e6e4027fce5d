"""Specs of doors that can be opened from outside, and the same cured: what the network shows of them under attack.

What opens which lock is trade knowledge: a lock that needs power to open is opened by joining what its relay joins, one that
needs power to hold by cutting it, and a board inside obeys a controller outside that is told to unlock.
"""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import pytest

from tests.demo import examined as demo
from tests.review.test_pairs import SPECS, lay_out_pair
from wiregen.attacks.listed import attacks
from wiregen.attacks.model import Tried
from wiregen.attacks.reached import reached
from wiregen.attacks.tried import tried
from wiregen.faults.listed import Lister
from wiregen.reading.load import load_site
from wiregen.states.happenings import STILL
from wiregen.states.settle import Point
from wiregen.states.table import settler_of
from wiregen.wiring.wire import wire_door, wire_site

PAIRS = sorted(path.name for path in SPECS.glob("secured-*"))


def _tried(pair: str, which: str, folder: Path) -> Tried:
    site = load_site(lay_out_pair(pair, which, folder))
    (door,) = site.doors.values()
    wiring = wire_door(site, door)
    return tried(site, door, wiring, settler_of(site, door, wiring, wire_site(site)))


@pytest.mark.parametrize("pair", PAIRS)
def test_the_wrong_one_is_opened(pair: str, tmp_path: Path) -> None:
    assert _tried(pair, "wrong", tmp_path).successes


@pytest.mark.parametrize("pair", PAIRS)
def test_the_cured_one_withstands(pair: str, tmp_path: Path) -> None:
    found = _tried(pair, "cured", tmp_path)
    assert sum(count for _, count in found.counts)
    assert found.successes == ()


@pytest.mark.parametrize("name", ["fernhill", "annex"])
def test_no_attack_on_a_demo_door_succeeds(name: str) -> None:
    """As the examination of the site tried them."""
    for door in demo(name).site.doors:
        study = demo(name).studies[door]
        assert study.tried is not None
        assert study.tried.successes == (), door


def test_one_at_a_time_on_fresh_networks_shows_the_same() -> None:
    site = demo("annex").site
    shared = wire_site(site)
    door = min(site.doors.values(), key=lambda each: each.id)
    wiring = demo("annex").wirings[door.id]
    settler = settler_of(site, door, wiring, shared)
    points = [a.point for a in attacks(reached(site, door, wiring, settler), Lister(wiring, settler))]
    at_once = settler.settle([Point(strike=STILL), *points])
    for row, point in enumerate(points[::7]):
        alone = settler_of(site, door, wiring, shared).settle([replace(point)])
        assert alone.active[0].tolist() == at_once.active[1 + 7 * row].tolist()
        assert alone.on[0].tolist() == at_once.on[1 + 7 * row].tolist()
        assert alone.load_volts[0] == pytest.approx(at_once.load_volts[1 + 7 * row], abs=1e-6)

"""What the networks of the demo's doors show under attack; doors that can be opened from outside are in tests/review."""

from __future__ import annotations

from dataclasses import replace

import pytest

from tests.demo import examined as demo
from wiregen.attacks.listed import attacks
from wiregen.attacks.reached import reached
from wiregen.faults.listed import Lister
from wiregen.states.happenings import STILL
from wiregen.states.settle import Point
from wiregen.states.table import settler_of
from wiregen.wiring.wire import wire_site


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

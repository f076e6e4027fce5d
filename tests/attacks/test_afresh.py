"""All attacks on a door at once, against one at a time on networks made anew; which doors open is held in tests/review."""

from __future__ import annotations

from dataclasses import replace

import pytest

from tests.demo import site_of
from wiregen.attacks.listed import attacks
from wiregen.attacks.reached import reached
from wiregen.faults.listed import Lister
from wiregen.states.happenings import STILL
from wiregen.states.settle import Point
from wiregen.states.table import settler_of
from wiregen.wiring.wire import wire_door, wire_site


def test_one_at_a_time_on_fresh_networks_shows_the_same() -> None:
    site = site_of("annex")
    shared = wire_site(site)
    door = min(site.doors.values(), key=lambda each: each.id)
    wiring = wire_door(site, door)
    settler = settler_of(site, door, wiring, shared)
    points = [a.point for a in attacks(reached(site, door, wiring, settler), Lister(wiring, settler))]
    at_once = settler.settle([Point(strike=STILL), *points])
    for row, point in enumerate(points[::7]):
        alone = settler_of(site, door, wiring, shared).settle([replace(point)])
        assert alone.active[0].tolist() == at_once.active[1 + 7 * row].tolist()
        assert alone.on[0].tolist() == at_once.on[1 + 7 * row].tolist()
        assert alone.load_volts[0] == pytest.approx(at_once.load_volts[1 + 7 * row], abs=1e-6)

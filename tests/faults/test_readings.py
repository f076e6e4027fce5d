"""What a meter shows with each fault: against a network made anew with the fault in it, and the meter as a part of it."""

from __future__ import annotations

import random

import numpy as np
import pytest

from tests.faults.doors import suspects
from tests.study.anew import with_links
from wiregen.faults.readings import LEAST, SHARE, Readings, error, in_errors
from wiregen.study.elements import Resistor
from wiregen.study.network import Network

METER = 10e6  # ohm, the input of common digital meters: common practice, no source
HELD = 1 / (1 / 1e6 + 1 / METER)  # ohm with the meter across: beyond, it floats without it
CLOSE = 0.01  # V, a fifth of the least error of the meter


@pytest.mark.parametrize("door", ["D104", "D112"])
def test_the_meter_as_a_part_of_the_network_shows_the_same(door: str) -> None:
    readings = suspects(door).readings
    trials, draw = readings.trials, random.Random(7)
    elements, count, floats, shown = trials.settler.circuit.elements, 0, 0, 0.0
    for n, tried in enumerate(trials.tried):
        links = tried.fault.links if tried.fault else ()
        if tried.fault and tried.fault.instead:
            continue
        rows = [row for of_state in tried.rows.values() for _, row in of_state]
        for _ in range(4):
            moment, point = draw.randrange(len(rows)), draw.randrange(len(readings.points))
            a, b = (readings.nodes[end] for end in (readings.points[point].a, readings.points[point].b))
            anew = Network([*with_links(elements, links), Resistor("the meter", a, b, METER)])
            solution = anew.solve([tried.settled.contacts[rows[moment]]])
            due = float(solution.across(a, b)[0])
            if solution.thevenin(a, b)[0] > HELD:  # the meter itself is most of what holds it
                floats, due = floats + 1, 0.0
            assert readings.volts[n, moment, point] == pytest.approx(due, abs=CLOSE), (tried.fault, readings.points[point])
            count, shown = count + 1, shown + abs(due)
    assert floats > 0
    assert count - floats > 100
    assert shown > count / 2  # not nothing against nothing


def test_every_point_is_at_one_place_and_no_mains() -> None:
    wiring = suspects("D104").readings.trials.wiring
    place = {ref: one.place for of in (wiring.devices, wiring.boxes) for ref, one in of.items()}
    points = suspects("D104").readings.points
    assert len(points) > 100
    assert all(place[p.a.device] == place[p.b.device] == p.place for p in points)
    assert not {end for p in points for end in (p.a, p.b)} & set(wiring.mains)


def test_a_point_that_somebody_names_is_measured_with_the_leads_as_named() -> None:
    trials = suspects("D104").readings.trials
    nodes = {str(end): end for end in trials.settler.circuit.nodes}
    far, plus, minus = nodes["FB1:F2+"], nodes["Y1:+"], nodes["Y1:-"]
    readings = Readings(trials, [(minus, far), (minus, plus)])
    column, sign = readings.column(far, minus)
    assert (readings.points[column].place, sign) == (None, -1.0)
    straight, turned = readings.column(plus, minus), readings.column(minus, plus)
    assert straight[0] == turned[0]
    assert straight[1] == -turned[1]


def test_the_scale_of_errors() -> None:
    """Its slope is 1 / error everywhere; the error of a meter is 2 % and 0.05 V: common practice, no source."""
    assert (SHARE, LEAST) == (0.02, 0.05)
    volts = np.linspace(-30, 30, 101)
    step = 1e-6
    slope = (in_errors(volts + step) - in_errors(volts - step)) / (2 * step)
    assert slope == pytest.approx(1 / error(volts), rel=1e-4)


def test_the_easiest_come_first_and_the_fire_state_last() -> None:
    readings = suspects("D124").readings
    efforts = [readings.moments[m].effort for m, _ in readings.distinct]
    assert [max(e, 1) for e in efforts] == sorted(max(e, 1) for e in efforts)
    assert readings.moments[readings.distinct[-1][0]].fire
    assert len(readings.distinct) < readings.volts[0].size

"""The fault guide of a door, against its own faults and against what the trade knows."""

from __future__ import annotations

from functools import cache

import pytest

from tests.faults.doors import suspects, trials
from wiregen.faults.guide import ROWS, Guide, guide
from wiregen.faults.retest import retests
from wiregen.faults.seen import Seen

DOORS = ("D101", "D104", "D107")


@cache
def of(door: str) -> Guide:
    return guide(trials(door), Seen(trials(door)))


@pytest.mark.parametrize("door", DOORS)
def test_it_fits_its_page_and_begins_with_a_lock_that_does_not_let_go(door: str) -> None:
    found = of(door).complaints
    assert sum(len(one.checks) + 1 for one in found) <= ROWS
    first = found[0].symptom
    assert (first.sign.is_, first.sign.state, first.is_so) == ("free", "grant", False)
    assert all(look.startswith(("push the door", "look at", "work ", "ask at")) for one in found for look in one.looks)
    assert all(one.looks for one in found)


@pytest.mark.parametrize("door", DOORS)
def test_good_values_are_those_of_the_whole_door(door: str) -> None:
    readings = suspects(door).readings
    checks = [check for one in of(door).complaints for check in one.checks]
    assert len(checks) > 5
    for check in checks:
        column, sign = readings.column(check.between.a, check.between.b)
        due = sign * readings.volts[0, readings.moments.index(check.moment), column]
        assert check.good.nominal == pytest.approx(due, abs=1e-6)
        assert check.good.least <= check.good.nominal + 1e-9
        assert check.good.nominal <= check.good.most + 1e-9


@pytest.mark.parametrize("door", DOORS)
def test_the_thing_itself_is_measured_first(door: str) -> None:
    """From the trade: volts at the lock first, in the state complained of; where they are good, it is the lock."""
    for one in of(door).complaints:
        if one.symptom.sign.is_ == "free":
            first = one.checks[0]
            assert {first.between.a.device, first.between.b.device} == {one.symptom.sign.what}
            assert first.moment.happening.name == one.symptom.sign.state


@pytest.mark.parametrize("door", DOORS)
def test_what_is_named_shows_what_is_said_and_gives_the_complaint(door: str) -> None:
    readings, seen = suspects(door).readings, suspects(door).seen
    number = {fault.key: n for n, fault in enumerate(readings.trials.faults, 1)}
    for one in of(door).complaints:
        signs = [seen.column[sign] for sign in (one.symptom.sign, *one.symptom.others)]
        for check in one.checks:
            for likely in check.likely:
                column, turned = readings.column(check.between.a, check.between.b)
                moment = readings.moments.index(check.moment)
                for fault in likely.faults:
                    shown = turned * readings.volts[number[fault.key], moment, column]
                    assert shown == pytest.approx(likely.volts, abs=0.1 + 0.04 * abs(likely.volts))  # of one class
                    assert (not check.good.least - 0.05 <= shown <= check.good.most + 0.05) or check.if_good
                    assert all(seen.is_so[number[fault.key], sign] == one.symptom.is_so for sign in signs)
        left = [number[fault.key] for faults in one.left for fault in faults]
        assert all(seen.is_so[row, sign] == one.symptom.is_so for row in left for sign in signs)
        assert all(seen.is_so[0, sign] != one.symptom.is_so for sign in signs)


@pytest.mark.sweep
def test_a_bank_is_told_by_one_of_its_locks() -> None:
    found = [one.symptom for one in of("D121").complaints if one.symptom.sign.is_ == "free"]
    assert {symptom.sign.what for symptom in found} == {"Y1"}
    assert {symptom.likewise for symptom in found} == {tuple(f"Y{n}" for n in range(2, 12))}


def test_silent_faults_of_the_release_chain_have_their_test() -> None:
    """From the trade: a release that works beside the controller is proved only with the controller unable to help."""
    found = retests(trials("D104"), Seen(trials("D104")))
    (sensor,) = [one for one in found if one.way == "exit-sensor"]
    assert "hung-rest" in sensor.states
    assert sensor.locks == ("Y1",)
    assert "welded S2.chain" in [fault.key for fault in sensor.faults]
    assert (sensor.by, sensor.told) == (("S2",), ("A1.exit",))


def test_a_welded_fire_contact_is_on_the_retest_sheet() -> None:
    found = retests(trials("D124"), Seen(trials("D124")))
    assert [(one.states, one.way, [f.key for f in one.faults]) for one in found] == [(("fire",), None, ["welded K90.c-1.make"])]
    assert found[0].volts["Y1"].nominal == pytest.approx(0, abs=0.05)


def test_nothing_to_retest_where_nobody_needs_the_circuit_to_leave() -> None:
    assert retests(trials("D101"), Seen(trials("D101"))) == ()

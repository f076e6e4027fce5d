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
    return guide(trials(door))


@pytest.mark.parametrize("door", DOORS)
def test_it_fits_its_page_and_begins_with_a_lock_that_does_not_let_go(door: str) -> None:
    found = of(door).complaints
    assert sum(len(one.checks) for one in found) <= ROWS
    assert "stays held on grant" in found[0].words
    assert all(look.startswith(("push the door", "look at", "work ")) for one in found for look in one.looks)
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
def test_what_is_named_shows_something_else_and_gives_the_complaint(door: str) -> None:
    readings, seen = suspects(door).readings, suspects(door).seen
    number = {fault.key: n for n, fault in enumerate(readings.trials.faults, 1)}
    for one in of(door).complaints:
        sign = seen.column[one.sign]
        for check in one.checks:
            for likely in check.likely:
                assert abs(likely.volts - check.good.nominal) > 0.1  # twice 0.05 V at the very least
                assert all(seen.is_so[number[fault.key], sign] == one.is_so for fault in likely.faults)
        assert all(seen.is_so[number[fault.key], sign] == one.is_so for faults in one.left for fault in faults)
        assert seen.is_so[0, sign] != one.is_so


@pytest.mark.sweep
def test_a_bank_is_told_by_one_of_its_locks() -> None:
    words = [one.words for one in of("D121").complaints]
    assert "Y1 (likewise Y2, Y3, Y4, Y5, Y6, Y7, Y8, Y9, Y10, Y11) stays held on grant" in words
    assert not any(text.startswith("Y2") for text in words)


def test_silent_faults_of_the_release_chain_have_their_test() -> None:
    """From the trade: a release that works beside the controller is proved only with the controller unable to help."""
    found = retests(trials("D104"), Seen(trials("D104")))
    (sensor,) = [one for one in found if one.way == "exit-sensor"]
    assert "hung-rest" in sensor.states
    assert sensor.locks == ("Y1",)
    assert "welded S2.chain" in [fault.key for fault in sensor.faults]


def test_a_welded_fire_contact_is_on_the_retest_sheet() -> None:
    found = retests(trials("D124"), Seen(trials("D124")))
    assert [(one.states, one.way, [f.key for f in one.faults]) for one in found] == [(("fire",), None, ["welded K90.c-1.make"])]


def test_nothing_to_retest_where_nobody_needs_the_circuit_to_leave() -> None:
    assert retests(trials("D101"), Seen(trials("D101"))) == ()

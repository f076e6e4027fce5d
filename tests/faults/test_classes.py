"""Classes of faults that no meter can tell apart, against the definition taken word by word."""

from __future__ import annotations

from itertools import combinations

import numpy as np
import pytest

from tests.faults.doors import suspects
from wiregen.faults.suspects import Suspects

DOORS = ("D101", "D104", "D112")


def alike(of: Suspects, one: int, other: int) -> bool:
    """No reading differs by over twice the meter's error (2 % + 0.05 V, of each reading its own), and nothing that is seen."""
    a, b = of.readings.volts[one].ravel(), of.readings.volts[other].ravel()
    apart = np.abs(a - b) > (0.02 * np.abs(a) + 0.05) + (0.02 * np.abs(b) + 0.05)
    seen = of.seen
    differ = (seen.is_so[one] != seen.is_so[other]) & seen.certain[one] & seen.certain[other]
    return not apart.any() and not differ.any()


@pytest.mark.parametrize("door", DOORS)
def test_every_two_of_a_class_look_alike_in_every_reading(door: str) -> None:
    of = suspects(door)
    pairs = [pair for one in of.classes.of for pair in combinations(one, 2)]
    assert len(pairs) > 20
    assert all(alike(of, *pair) for pair in pairs)


@pytest.mark.parametrize("door", DOORS)
def test_no_class_could_have_taken_in_the_next(door: str) -> None:
    of = suspects(door)
    for n, one in enumerate(of.classes.of):
        for earlier in of.classes.of[:n]:
            assert not all(alike(of, one[0], member) for member in earlier)


@pytest.mark.parametrize("door", DOORS)
def test_silent_faults_look_like_the_whole_door_and_no_others_do(door: str) -> None:
    of = suspects(door)
    faults = range(1, len(of.readings.volts))
    assert set(of.classes.silent) == {n for n in faults if alike(of, 0, n)}
    assert sorted([*of.classes.silent, *(n for one in of.classes.of for n in one)]) == list(faults)
    assert of.classes.silent


def test_what_is_one_thing_to_a_meter_is_one_class() -> None:
    """From the trade: a welded contact is its two terminals joined; two leads of one pair are either of them open."""
    of = suspects("D104")
    key = {n: fault.key for n, fault in enumerate(of.readings.trials.faults, 1)}
    named = [{key[n] for n in one} for one in of.classes.of]
    assert any({"welded S2.chain", "touch S2:3 S2:4"} <= one for one in named)
    assert any({"touch Y1:+ Y1:-", "short A109a FB102b"} <= one for one in named)
    assert not any({"open A109a", "open FB102b"} <= one for one in named)  # a meter at the lock against the other pole


def test_the_first_to_the_frame_is_silent_while_the_supply_floats() -> None:
    """Common practice, no source: with 0 V on no earth the first fault to the frame lets no current flow."""
    of = suspects("D104")
    faults = of.readings.trials.faults
    floating = {n for n, fault in enumerate(faults, 1) if fault.kind == "frame" and not fault.bonded}
    assert floating <= set(of.classes.silent)
    assert any(faults[n - 1].bonded for one in of.classes.of for n in one)

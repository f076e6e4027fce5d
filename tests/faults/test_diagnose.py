"""`diagnose` finds faults: measured as a technician would, with seeded error of the meter."""

from __future__ import annotations

from itertools import pairwise

import pytest

from bench.diagnose import AIM, doors, prove
from tests.faults.doors import suspects, trials
from tests.small_site import ROOT
from wiregen.faults.diagnose import Diagnosis, diagnose, diagnosis_text
from wiregen.faults.readings import BEFORE
from wiregen.faults.suspects import Told


def diagnosed(door: str, *texts: str) -> Diagnosis:
    of = trials(door)
    return diagnose(of.door, of.wiring, of.settler, texts)


@pytest.mark.parametrize("door", ["D101", "D104", "D118"])
def test_the_class_is_among_the_first_three_after_three_measurements(door: str) -> None:
    proof = prove(trials(door))
    assert proof.shows > 50
    assert proof.found >= AIM * proof.shows
    assert proof.found_as_built >= AIM * proof.shows
    assert proof.found >= proof.found_by_meter  # what is seen is no hindrance


@pytest.mark.sweep
def test_over_all_demo_doors() -> None:
    proofs = [prove(each) for each in doors()]
    names = ("shows", "found", "found_by_meter", "found_as_built")
    shows, found, by_meter, as_built = (sum(getattr(p, name) for p in proofs) for name in names)
    assert len(proofs) > 20
    assert found >= AIM * shows
    readme = " ".join((ROOT / "README.md").read_text("utf-8").split())
    assert f"among its first three for {found / shows:.0%} of them".replace("%", " %") in readme
    assert f"by the meter alone {by_meter / shows:.0%}".replace("%", " %") in readme
    assert f"drawn from its data sheet's band {as_built / shows:.0%}".replace("%", " %") in readme
    assert f"The largest class has {max(len(p.largest) for p in proofs)} faults" in readme
    assert f"{sum(len(p.silent) for p in proofs)} of {sum(p.faults for p in proofs)} faults show in no reading" in readme


def test_the_lead_that_is_open_comes_first() -> None:
    """D104 by hand: no volts at the magnet, all of them over the lead from the relay to its plus."""
    found = diagnosed("D104", "lock is free", "Y1.+ Y1.- = 0.02 V", "S2.4 Y1.- = 27.1 V", "A1.NO Y1.+ = 27.0 V")
    assert [fault.key for fault in found.suspects[0].faults] == ["open A109a"]
    assert found.suspects[0].share > 0.8
    assert found.explained


def test_what_no_single_fault_explains_is_said() -> None:
    found = diagnosed("D104", "Y1.+ Y1.- = 90 V")
    assert not found.explained
    assert "No single fault explains all of this" in diagnosis_text(found)


def test_mechanical_causes_stand_first() -> None:
    lines = diagnosis_text(diagnosed("D104", "lock stays held on grant")).splitlines()
    assert lines[1].startswith("First: push the door and try again")
    assert lines[2].lstrip().startswith("1.")


def test_what_is_as_it_should_be_is_said() -> None:
    well = diagnosed("D104", "lock held", "lock free on grant", "Y1.+ Y1.- = 26 V")
    assert "All of this is as it should be." in diagnosis_text(well)
    assert not diagnosed("D104", "lock held", "lock held on grant").as_due
    one = diagnosed("D104", "lock held", "U1 is dark")
    assert [look.split(":")[0] for look in one.looks] == ["look at U1"]  # the lock does what it should


def test_short_enough_for_a_telephone() -> None:
    """The lines of a page that a person can hear read out: common practice, no source."""
    for texts in ((), ("lock stays held on grant",), ("U1 is dark", "Y1.+ Y1.- = 26 V")):
        text = diagnosis_text(diagnosed("D104", *texts))
        assert len(text.splitlines()) < 30
        assert max(map(len, text.splitlines())) <= 110


def test_the_next_measurement_splits_what_is_left() -> None:
    found = diagnosed("D104", "lock stays held on grant")
    assert found.next is not None
    assert len(found.next.outcomes) >= 2
    edges = [(one.least, one.most) for one in found.next.outcomes]
    assert all(least <= most for least, most in edges)
    assert all(before[1] < after[0] for before, after in pairwise(edges))
    assert {n for one in found.next.outcomes for n in one.leaves} <= set(range(1, len(found.suspects) + 1))


def test_the_fire_state_is_asked_for_last_and_the_panel_put_on_test_first() -> None:
    """A fire contact that is welded shows in nothing else."""
    of = suspects("D124")
    row = next(n for n, f in enumerate(of.readings.trials.faults, 1) if f.key == "welded K90.c-1.make")
    told, asked = Told(), []
    while (one := of.next(told)) is not None:
        asked.append(of.readings.moments[one.moment])
        told = Told((*told.readings, (one.moment, one.point, float(of.readings.volts[row, one.moment, one.point]))))
    fire = [moment.fire for moment in asked]
    assert any(fire)
    assert fire == sorted(fire)
    assert BEFORE[asked[-1].effort] == "fire panel on test first"
    assert row in of.classes.of[of.ranked(told)[0][0]]

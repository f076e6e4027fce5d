"""The state table: against tables written by hand, against the logic of the contacts alone, at volts between held and free."""

from __future__ import annotations

from functools import cache
from pathlib import Path

import pytest
import yaml

from tests.demo import site_of
from tests.random_doors import seeded_site
from tests.study.doors import SITES
from wiregen.reading.load import load_site
from wiregen.reading.model import DataSheet, Door, Site
from wiregen.states.gauge import Needs
from wiregen.states.happenings import happenings, ways
from wiregen.states.model import DoorStates
from wiregen.states.settle import Point
from wiregen.states.table import door_states, locks_of, settler_of
from wiregen.states.verdict import lock_by_volts, passable
from wiregen.wiring.logic import IDLE, logic_of
from wiregen.wiring.model import Wiring
from wiregen.wiring.wire import wire_door, wire_site

PLAIN = ("idle", "grant", "call", "fire", "tamper", "power-dead", "controller-dead")  # cases that the logic has of its own
BY_HAND = yaml.safe_load((Path(__file__).parent / "by_hand.yaml").read_text("utf-8"))["doors"]


@cache
def loaded(site: str) -> tuple[Site, Wiring]:
    found = site_of(site)
    return found, wire_site(found)


def worked_out(site: Site, shared: Wiring, door: Door) -> DoorStates:
    wiring = wire_door(site, door)
    return door_states(door, wiring, settler_of(site, door, wiring, shared))


@pytest.mark.parametrize("door", sorted(BY_HAND))
def test_as_written_by_hand(door: str) -> None:
    """Written from the data sheets and the knowledge of the trade before there was a program for it."""
    written = BY_HAND[door]
    site, shared = loaded(written["folder"])
    told = worked_out(site, shared, site.doors[door])
    for state, due in written["states"].items():
        row = told.row(state)
        locks = {lock: is_ for lock, is_ in due.items() if lock not in ("leave", "enter")}
        assert {lock: does.does for lock, does in row.locks.items()} == locks, state
        assert (row.leave, row.enter) == (due["leave"], due["enter"]), state


@pytest.mark.parametrize("site", SITES)
def test_every_demo_door_can_be_left_and_settles(site: str) -> None:
    spec, shared = loaded(site)
    for door in spec.doors.values():
        for row in worked_out(spec, shared, door).rows:
            assert row.swings == (), (door.id, row.state)
            assert row.leave == "free" or "none" in door.leave_by, (door.id, row.state)


def test_with_volts_enough_the_network_does_what_the_contacts_say(tmp_path: Path) -> None:
    """Random doors: states that the boolean logic of the contacts knows come out alike, unless the volts are in doubt."""
    site = load_site(seeded_site(tmp_path / "site", 3, 10))
    shared, alike = wire_site(site), 0
    for door in site.doors.values():
        wiring = wire_door(site, door)
        logic = logic_of(site, door, wiring)
        locks = locks_of(wiring)
        settler = settler_of(site, door, wiring, shared)
        at_rest = settler.settle([Point()])
        if [bool(on) for on in at_rest.on[0]] != [logic.on(IDLE, load) for load in at_rest.gauge.loads]:
            continue  # something gets too few volts, which contacts do not know
        told = door_states(door, wiring, settler)
        for state in happenings(door, logic, ways(door, logic, locks), locks):
            if state.name in PLAIN:
                for lock in locks:
                    does = told.row(state.name).locks[lock.device].does
                    due = logic.lock_is(state.case, lock)
                    assert does in ("not certain", due), (door.id, state.name)
                    alike += does == due
    assert alike > 40


def test_between_its_volts_a_lock_is_not_certain() -> None:
    magnet = _sheet("magnet-24")
    need = Needs(works=15, keeps=9, drops=2, either_way=True)
    assert [lock_by_volts(magnet, need, v) for v in (0, 2, 5, 9, 24)] == ["free", "free", "not certain", "held", "held"]
    strike = _sheet("strike-12")
    need = Needs(works=9.6, keeps=5, drops=1, either_way=True)
    assert [lock_by_volts(strike, need, v) for v in (0, 5, 9.5, 9.6)] == ["held", "not certain", "not certain", "free"]
    bolt = _sheet("bolt-motor")
    assert lock_by_volts(bolt, need, 0, "held") == "held"
    assert lock_by_volts(bolt, need, 0, "free") == "free"


def _sheet(type_: str) -> DataSheet:
    sheet = loaded("fernhill")[0].sheets.get(type_) or loaded("annex")[0].sheets[type_]
    assert isinstance(sheet, DataSheet)
    return sheet


def test_a_door_is_as_passable_as_its_locks() -> None:
    assert passable(())
    assert not passable(("free", "not certain"))
    assert not passable(("free", "held"))

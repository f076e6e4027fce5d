"""Cable goes where runs lead: of three buildings without a run between them, a door is offered what stands in its own."""

from __future__ import annotations

import pytest

from bench.sites import many_doors
from tests.demo import site_of
from wiregen.feeds.offers import Offers
from wiregen.reading.load import load_site
from wiregen.reading.model import Site
from wiregen.reading.reach import Reach
from wiregen.reading.view import Views


@pytest.fixture(scope="module")
def buildings(tmp_path_factory: pytest.TempPathFactory) -> Site:
    return load_site(many_doors(tmp_path_factory.mktemp("buildings"), 66))


def test_only_what_stands_in_the_same_building_is_in_reach(buildings: Site) -> None:
    reach = Reach(buildings)
    for door in buildings.doors.values():
        own = int(door.id[1]) - 1
        assert {device.place for ref, device in buildings.shared.items() if ref in reach.of(door)} == {
            f"closet-{number}-{own}" for number in (1, 2)
        }, door.id


def test_a_door_is_offered_no_more_and_sees_no_more(buildings: Site) -> None:
    door = buildings.doors["D205"]
    assert door.otherwise
    offers = Offers(buildings, door, ())
    places = {device.place for device, _ in offers.branches()}
    places |= {buildings.shared[contact.device].place for contact in offers.fire_contacts()}
    assert offers.port is not None
    assert {*places, buildings.shared[offers.port.device].place} == {"closet-1-1", "closet-2-1"}
    seen = Views(buildings).of("D205")
    assert seen.shared.keys() == Reach(buildings).of(door)
    assert {ref for ref, _ in seen.taken} <= seen.shared.keys()


def test_at_the_demo_runs_lead_everywhere() -> None:
    site = site_of("fernhill")
    reach = Reach(site)
    assert all(reach.of(door) == site.shared.keys() for door in site.doors.values())

"""What no wire and no place joins has pages of its own: here the closets of three buildings that have nothing in common."""

from __future__ import annotations

from collections import defaultdict

import pytest

from bench.sites import many_doors
from tests.demo import site_of
from tests.drafting.layout.legal import problems
from tests.drafting.layout.test_layout import SPARSE, draw
from wiregen.drafting.areas import FEW, areas
from wiregen.reading.load import load_site
from wiregen.reading.model import House
from wiregen.wiring.model import End, Wiring
from wiregen.wiring.wire import wire_door, wire_site


@pytest.fixture(scope="module")
def buildings(tmp_path_factory: pytest.TempPathFactory) -> tuple[House, Wiring]:
    site = load_site(many_doors(tmp_path_factory.mktemp("buildings"), 66))
    return site.house, wire_site(site)


def _wires(*wirings: Wiring) -> list[str]:
    return sorted(wire for of in wirings for wire in (*(c.wire for c in of.conductors), *(link.ref for link in of.links)))


def test_each_building_is_an_area_with_all_that_stands_there(buildings: tuple[House, Wiring]) -> None:
    _, whole = buildings
    parts = list(areas(whole))
    assert [set(part.places) for part in parts] == [{f"closet-{at}-{number}" for at in (1, 2)} for number in range(3)]
    assert _wires(*parts) == _wires(whole)
    assert [ref for part in parts for ref in part.devices] == sorted(whole.devices, key=lambda ref: int(ref[-3:]) // 10)
    for part in parts:
        assert {part.devices[ref].place for ref in part.devices} <= set(part.places)
        assert {c.cable for c in part.conductors} - {None} == part.cables.keys()
        assert {j.end.device for j in part.junctions} <= part.boxes.keys() | part.devices.keys()


def test_pages_show_one_building_each_and_all_of_it(buildings: tuple[House, Wiring]) -> None:
    house, whole = buildings
    pages = draw(whole, house)
    assert [f for f in problems(whole, pages) if not SPARSE.match(f)] == []
    assert {device.ref for page in pages for device in page.devices} == whole.devices.keys()
    for page in pages:
        assert len({whole.devices[device.ref].place.rsplit("-", 1)[1] for device in page.devices}) == 1
    numbers: dict[End, set[int]] = defaultdict(set)
    for page in pages:
        for bar in page.bars:
            numbers[bar.end].add(page.page)
    assert any(len(on) > 1 for on in numbers.values())
    for page in pages:  # what is led on leads to where the same bar stands, counted over all pages
        for off in page.offs:
            assert off.page in numbers[off.end] - {page.page}


def test_a_door_is_one_area() -> None:
    site = site_of("fernhill")
    for door in site.doors.values():
        wiring = wire_door(site, door)
        assert list(areas(wiring)) == [wiring], door.id


def test_few_wires_are_drawn_with_their_neighbours() -> None:
    """The annex: seven wires in a closet, and a pole with a device that has none."""
    site = site_of("annex")
    wiring = wire_site(site)
    assert len(_wires(wiring)) < FEW
    assert list(areas(wiring)) == [wiring]

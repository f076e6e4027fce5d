"""What no wire and no place joins has pages of its own: here the closets of three buildings that have nothing in common."""

from __future__ import annotations

import re
from collections import defaultdict
from dataclasses import replace

import pytest

from bench.sites import many_doors
from tests.demo import site_of
from tests.drafting.layout.legal import problems
from tests.drafting.layout.test_layout import SPARSE, draw
from tests.drafting.sheet.paper import pages as read
from tests.drafting.sheet.paper import words
from wiregen.drafting.areas import FEW, areas
from wiregen.drafting.sheet import draw_sheets
from wiregen.reading.load import load_site
from wiregen.reading.model import House, Site
from wiregen.reading.shared import as_door
from wiregen.wiring.model import End, Revised, Wiring
from wiregen.wiring.wire import wire_door, wire_site


@pytest.fixture(scope="module")
def site(tmp_path_factory: pytest.TempPathFactory) -> Site:
    return load_site(many_doors(tmp_path_factory.mktemp("buildings"), 66))


@pytest.fixture(scope="module")
def buildings(site: Site) -> tuple[House, Wiring]:
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
    demo = site_of("fernhill")
    for door in demo.doors.values():
        wiring = wire_door(demo, door)
        assert list(areas(wiring)) == [wiring], door.id


def test_few_wires_are_drawn_with_their_neighbours() -> None:
    """The annex: seven wires in a closet, and a pole with a device that has none."""
    wiring = wire_site(site_of("annex"))
    assert len(_wires(wiring)) < FEW
    assert list(areas(wiring)) == [wiring]


def test_notes_of_a_building_stand_on_its_own_sheets(site: Site) -> None:
    """Screws and plugs are told of what the sheet shows, and what was taken away once."""
    whole = replace(wire_site(site), revised=Revised("B", "A", (), ("FB9901a (RD, G99:V+ to FB99:IN+)",)))
    pages = draw(whole, site.house)
    sheets = draw_sheets(site, as_door(site), whole, pages, (), "9f3c21ab")
    printed = [" ".join(word["text"] for word in words(page)) for page in read(sheets)]
    of = {ref: int(re.sub(r"\D", "", ref)[-3:]) // 10 for ref in whole.devices if ref.startswith(("FB", "G"))}
    for text, page in zip(printed, pages, strict=True):
        here = {whole.devices[device.ref].place.rsplit("-", 1)[1] for device in page.devices}
        named = {ref for ref in re.findall(r"\b(?:FB|G)\d{4}\b", text) if ref in of}
        assert {str(of[ref]) for ref in named} <= here
    assert sum("Screws" in text for text in printed) >= 3
    assert sum("Removed since A: FB9901a" in text for text in printed) == 1

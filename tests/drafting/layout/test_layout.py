"""Placing and routing over the demo doors, doors made by hand, and random doors: every page is legal, and the same again."""

from __future__ import annotations

import re
import shutil
from collections.abc import Iterator
from dataclasses import replace
from functools import cache
from pathlib import Path

import pytest

from tests.demo import site_of
from tests.drafting.layout.by_hand import STRIKE
from tests.drafting.layout.legal import problems
from tests.random_doors import seeded_site
from wiregen.drafting.frame import field_for, zone_at
from wiregen.drafting.layout import lay_out
from wiregen.drafting.model import Layout, Rect
from wiregen.reading.load import load_site
from wiregen.reading.model import House
from wiregen.wiring.model import Wiring
from wiregen.wiring.wire import wire_door, wire_site

SPECS = Path(__file__).parents[3] / "door_specs"
SITES = ("fernhill", "annex")
# What may be missing where a page is full: a second label on a conductor whose other end carries one.
SPARSE = re.compile(r"page \d+: \S+: a label is missing or far from its end")


DEMO = [(site, path.stem) for site in SITES for path in sorted((SPECS / site / "doors").glob("*.yaml"))]


@cache
def wired(at: int) -> tuple[House, Wiring]:
    name, door = DEMO[at]
    site = site_of(name)
    return site.house, wire_door(site, site.doors[door])


def draw(wiring: Wiring, house: House) -> tuple[Layout, ...]:
    return lay_out(wiring, field_for(house), house)


@cache
def drawn(at: int) -> tuple[Layout, ...]:
    house, wiring = wired(at)
    return draw(wiring, house)


@pytest.mark.parametrize("at", [n if n % 5 == 0 else pytest.param(n, marks=pytest.mark.sweep) for n in range(len(DEMO))])
def test_demo_door_is_legal(at: int) -> None:
    found = problems(wired(at)[1], drawn(at))
    assert [f for f in found if not SPARSE.match(f)] == []
    assert len(found) <= 2


@pytest.mark.parametrize("at", range(0, len(DEMO), 5))
def test_same_values_again(at: int) -> None:
    house, wiring = wired(at)
    assert draw(wiring, house) == drawn(at)


def test_most_conductors_are_one_straight_line() -> None:
    straight = total = 0
    for at, (_, door) in enumerate(DEMO):
        routes = [r for page in drawn(at) for r in page.routes]
        level = sum(len(r.points) == 2 for r in routes)
        assert level >= 0.65 * len(routes), door
        straight, total = straight + level, total + len(routes)
    assert straight >= 0.75 * total


def test_door_by_hand_on_one_page() -> None:
    house = House()
    pages = draw(STRIKE, house)
    assert len(pages) == 1
    assert problems(STRIKE, pages) == []


@pytest.mark.parametrize("paper", ["A4", "letter"])
def test_both_papers(paper: str) -> None:
    house = replace(House(), paper=paper)
    assert problems(STRIKE, draw(STRIKE, house)) == []


def test_exposed_places_lie_behind_the_chain_line() -> None:
    (page,) = draw(STRIKE, House())
    assert page.exposed_line
    inside = [d.ref for d in page.devices for r in page.regions if r.exposed and _holds(r.box, d.box)]
    assert inside == ["A1"]


def _holds(region: Rect, box: Rect) -> bool:
    across = region.x <= box.x and box.x + box.w <= region.x + region.w
    return across and region.y <= box.y and box.y + box.h <= region.y + region.h


def test_small_field_is_cut_into_pages_that_refer_to_one_another() -> None:
    house = House()
    field = field_for(house)
    small = Rect(field.x, field.y + field.h - 70, field.w, 70)
    pages = lay_out(STRIKE, small, house)
    assert len(pages) > 1
    found = [f for f in problems(STRIKE, pages) if not SPARSE.match(f)]
    assert found == []
    bars = {(bar.end, page.page): zone_at(house, bar.points[0]) for page in pages for bar in page.bars}
    for page in pages:
        told = {(off.end, off.page): off.zone for off in page.offs}
        due = {(end, n): zone for (end, n), zone in bars.items() if n != page.page and any(b.end == end for b in page.bars)}
        assert told == due


def test_contacts_of_a_bank_stay_whole_where_its_sheet_is_cut() -> None:
    """The cabinets take two pages: on each, a relay's common stands with its make (K1 and K2: data sheets of the modules)."""
    pages = drawn(DEMO.index(("fernhill", "D121")))
    assert len(pages) == 2
    for page in pages:
        for ref in ("K1", "K2"):
            marks = {pin.end.terminal for device in page.devices if device.ref == ref for pin in device.pins}
            assert {f"C{mark[2:]}" for mark in marks if mark.startswith("NO")} <= marks


def test_more_devices_without_a_wire_than_a_page_holds_stand_on_none(tmp_path: Path) -> None:
    shutil.copytree(SPECS / "annex", tmp_path / "annex")
    shutil.copytree(SPECS / "devices", tmp_path / "devices")
    text = (tmp_path / "annex" / "site.yaml").read_text("utf-8")
    bars = "".join(f"  E{n}: {{type: earth-bar, at: closet-1}}\n" for n in range(10, 60))
    (tmp_path / "annex" / "site.yaml").write_text(text.replace("shared:\n", f"shared:\n{bars}", 1), encoding="utf-8")
    site = load_site(tmp_path / "annex")
    wiring = wire_site(site)
    pages = lay_out(wiring, field_for(site.house), site.house)
    assert {route.wire for page in pages for route in page.routes} == {
        *(conductor.wire for conductor in wiring.conductors), *(link.ref for link in wiring.links)
    }  # fmt: skip
    assert not [device.ref for page in pages for device in page.devices if device.ref == "E10"]


def test_field_that_holds_nothing_is_refused() -> None:
    with pytest.raises(ValueError, match="no conductor fits"):
        lay_out(STRIKE, Rect(20, 20, 40, 20), House())


def random_doors(tmp: Path, seeds: range) -> Iterator[tuple[str, House, Wiring]]:
    for seed in seeds:
        site = load_site(seeded_site(tmp, seed, doors=5))
        for door in site.doors.values():
            yield f"{seed}/{door.id}", site.house, wire_door(site, door)


GRAVE = re.compile(
    r"drawn \d+ times|joins other|runs from|slanted|mm apart|touch|runs through|[A-Z]\d+ leaves the field|stands where|"
    r"^page \d+: [A-Z]+\d+ lies on [A-Z]+\d+$"
)


@pytest.mark.parametrize("seeds", [range(0, 1), pytest.param(range(1, 60), marks=pytest.mark.sweep)], ids=["few", "many"])
def test_random_doors_never_mislead(tmp_path: Path, seeds: range) -> None:
    """Whatever the door: all conductors once, from the right terminal to the right terminal, none on another or a device."""
    for name, house, wiring in random_doors(tmp_path, seeds):
        assert [f for f in problems(wiring, draw(wiring, house)) if GRAVE.search(f)] == [], name

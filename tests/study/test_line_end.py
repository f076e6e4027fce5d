"""Supervised inputs of the demo site, against sums by hand and a search over the corners of all tolerances."""

from __future__ import annotations

import shutil
from itertools import product
from pathlib import Path

import pytest

from tests.demo import site_of
from wiregen.reading.load import load_site
from wiregen.reading.model import Site
from wiregen.study.line_end import Loop, line_ends
from wiregen.study.route import Routes, long, metres
from wiregen.wiring.model import End
from wiregen.wiring.wire import wire_door

ROOT = Path(__file__).parents[2] / "door_specs"


@pytest.fixture(scope="module")
def fernhill() -> Site:
    return site_of("fernhill")


def _loops(site: Site, door: str) -> tuple[Loop, ...]:
    loops, missing = line_ends(site, wire_door(site, site.doors[door]))
    assert not missing
    return loops


def _changed(folder: Path, *changes: tuple[str, str, str]) -> Site:
    for part in ("fernhill", "devices"):
        shutil.copytree(ROOT / part, folder / part)
    for file, old, new in changes:
        path = folder / file
        text = path.read_text(encoding="utf-8")
        assert old in text
        path.write_text(text.replace(old, new), encoding="utf-8")
    return load_site(folder / "fernhill")


@pytest.mark.parametrize("door", ["D105", "D110", "D130"])
def test_the_four_cases_by_hand(fernhill: Site, door: str) -> None:
    """4 m of 0.22 mm² there and back are 0.64 ohm; 2.2 kohm to 5 V: 1.563 V shut, 2.381 V open, resistors cast in or added."""
    (loop,) = _loops(fernhill, door)
    assert loop.ohms["closed"].value == pytest.approx(1000.64, abs=0.02)
    assert loop.volts["closed"].value == pytest.approx(5 * 1000.64 / 3200.64, rel=1e-5)
    assert loop.volts["open"].value == pytest.approx(5 * 2000.64 / 4200.64, rel=1e-5)
    assert loop.volts["cut"].most == pytest.approx(5, rel=1e-5)
    assert loop.volts["cut"].least == pytest.approx(5 * 1e6 / 1.0022e6)
    for told in loop.volts.values():
        assert told.margin is not None
        assert told.margin > 0


def test_least_and_most_are_those_of_all_corners(fernhill: Site) -> None:
    """The open case over the corners of both resistors and of the cable, 10 to 40 °C."""
    (loop,) = _loops(fernhill, "D105")
    cable = [loop.ohms["short"].most, loop.ohms["closed"].least - 990]
    corners = [5 * sum(c) / (2200 + sum(c)) for c in product((990, 1010), (990, 1010), cable)]
    assert (loop.volts["open"].least, loop.volts["open"].most) == pytest.approx((min(corners), max(corners)))


def test_resistors_that_do_not_suit_the_input_break_its_bands(tmp_path: Path) -> None:
    """4.7 kohm in series: shut reads as 3.4 V, which the input takes for nothing."""
    site = _changed(tmp_path, ("devices/contact-eol.yaml", "series: 1 kohm ±1 %", "series: 4.7 kohm ±1 %"))
    (loop,) = _loops(site, "D105")
    told = loop.volts["closed"]
    assert told.value == pytest.approx(3.406, abs=1e-3)
    assert told.margin is not None
    assert told.margin < 0
    assert "line-end resistors" in told.cure


def test_a_long_thin_cable_breaks_them_too(tmp_path: Path) -> None:
    """What is shut is taken for open once the cable adds 333 ohm: 5 V x 1.333 / 3.533 is 1.89 V, and 2 V is the most."""
    site = _changed(tmp_path, ("fernhill/doors/D105.yaml", "frame: [box, 4 m]", "frame: [box, 3200 m]"))
    (loop,) = _loops(site, "D105")
    assert loop.ohms["short"].most > 500
    assert (loop.volts["closed"].margin or 0) < 0


def test_an_input_without_pull_up_or_band_is_named(tmp_path: Path) -> None:
    door = "door: {kind: input, in: DOOR, ref: 0V2, pull-up: 2.2 kohm to 5 V,"
    site = _changed(tmp_path, ("devices/inner-controller.yaml", door, door.replace(" pull-up: 2.2 kohm to 5 V,", "")))
    loops, missing = line_ends(site, wire_door(site, site.doors["D105"]))
    assert not loops[0].volts
    assert "volts at A1.door: its data sheet inner-controller gives no pull-up" in missing[0]


def test_the_way_of_a_conductor(fernhill: Site) -> None:
    """From the controller to the reader in the lift's car: one pair of the travelling cable, joined in a box."""
    wiring = wire_door(fernhill, fernhill.doors["D120"])
    way = Routes(wiring).way(End("A1", "A"), End("U1", "4"))
    assert way is not None
    assert metres(way) == 45
    assert [c.cable for c in long(way)] == ["W2"]
    assert Routes(wiring).way(End("A1", "A"), End("U1", "1")) is None

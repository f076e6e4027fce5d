"""Cores of power transfers on the demo sites."""

from __future__ import annotations

import shutil
from pathlib import Path

import pytest

from tests.demo import site_of
from wiregen.reading.load import load_site
from wiregen.reading.model import Site
from wiregen.study.copper import Copper, supplied
from wiregen.study.model import Figure
from wiregen.study.transfer import transfers
from wiregen.wiring.wire import wire_door

ROOT = Path(__file__).parents[2] / "door_specs"


def _told(site: Site, door: str) -> tuple[dict[str, Figure], tuple[str, ...]]:
    wiring = wire_door(site, site.doors[door])
    figures, missing = transfers(site.doors[door], wiring, supplied(site, wiring, Copper(wiring)))
    return {f.about: f for f in figures}, missing


@pytest.mark.parametrize(
    ("door", "cores", "amps", "rating"),
    [
        ("D108", {"T1.core-1", "T1.core-2", "T2.core-1", "T2.core-2"}, 0.3, 4.0),  # each leaf's own bar, no other
        ("D110", {"T1.core-1", "T1.core-2"}, 27.3 / 110, 3.0),
        ("D124", {"T1.core-1", "T1.core-2"}, 27.3 / 190, 3.0),  # its plus comes through a shared relay
    ],
)
def test_going_and_coming_of_what_is_on_the_leaf(door: str, cores: set[str], amps: float, rating: float) -> None:
    told, missing = _told(site_of("fernhill"), door)
    assert told.keys() == cores
    assert not missing
    for figure in told.values():
        assert (figure.value, figure.ceiling) == (pytest.approx(amps), rating)


def test_a_core_that_is_too_thin_or_has_no_rating(tmp_path: Path) -> None:
    for part in ("fernhill", "devices"):
        shutil.copytree(ROOT / part, tmp_path / part)
    path = tmp_path / "devices" / "hinge-10.yaml"
    text = path.read_text(encoding="utf-8")
    path.write_text(text.replace("rating: {dc: 3 A}", "rating: {dc: 200 mA}"), encoding="utf-8")
    told, _ = _told(load_site(tmp_path / "fernhill"), "D110")
    margin = told["T1.core-1"].margin
    assert margin is not None
    assert margin < 0
    path.write_text(text.replace(", rating: {dc: 3 A}", ""), encoding="utf-8")
    told, missing = _told(load_site(tmp_path / "fernhill"), "D110")
    assert told["T1.core-1"].margin is None
    assert "hinge-10 gives no rating (groups: {core-1: {rating: {dc: 1 A}}})" in missing[0]

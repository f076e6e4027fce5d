"""The proof over the doors of both demo sites and over random doors: what is printed is what is listed, both ways."""

from __future__ import annotations

from collections import Counter
from collections.abc import Mapping
from functools import cache, lru_cache
from pathlib import Path
from tempfile import TemporaryDirectory

import pytest
from hypothesis import HealthCheck, given, settings

from tests.demo import site_of
from tests.proof.against import differences
from tests.proof.expect import from_wiring
from tests.proof.ink import prove
from tests.proof.printing import print_door
from tests.proof.rows import LANDING, TABLE, rows_of
from tests.proof.states import unmet
from tests.random_doors import seeded_site, sites, write_files
from wiregen.reading.load import load_site
from wiregen.reading.model import Door, Site
from wiregen.wiring.model import Wiring
from wiregen.wiring.wire import wire_door

SPECS = Path(__file__).parents[2] / "door_specs"
DEMO = [(site, path.stem) for site in ("fernhill", "annex") for path in sorted((SPECS / site / "doors").glob("*.yaml"))]
PER_SITE, QUICK, SWEEP = 10, 20, 200  # doors of a random site; sites


@cache
def _demo(site: str) -> Site:
    return site_of(site)


def _defects(site: Site, door: Door, wiring: Wiring) -> list[str]:
    defects = prove(print_door(site, door, wiring), from_wiring(wiring))
    drawn = [f"{door.id}: {d}" for d in defects]
    return [*drawn, *differences(site, door, wiring), *unmet(site, door, wiring)]


@pytest.mark.parametrize(("site", "door"), DEMO)
def test_demo_door(site: str, door: str) -> None:
    of = _demo(site).doors[door]
    assert _defects(_demo(site), of, wire_door(_demo(site), of)) == []


@lru_cache(maxsize=QUICK)
def _wired(seed: int) -> tuple[Site, Mapping[str, Wiring]]:
    """A random site, and its doors wired."""
    with TemporaryDirectory() as folder:
        site = load_site(seeded_site(Path(folder), seed, PER_SITE))
    return site, {door.id: wire_door(site, door) for door in site.doors.values()}


def _prove_site(seed: int) -> None:
    site, wirings = _wired(seed)
    assert len(site.doors) == PER_SITE
    assert [d for of, wiring in wirings.items() for d in _defects(site, site.doors[of], wiring)] == []


@pytest.mark.parametrize("seed", range(QUICK))
def test_random_doors(seed: int) -> None:
    _prove_site(seed)


@pytest.mark.sweep
@pytest.mark.parametrize("seed", range(QUICK, QUICK + SWEEP))
def test_many_random_doors(seed: int) -> None:
    _prove_site(seed)


@settings(max_examples=5, deadline=None, database=None, derandomize=True, suppress_health_check=list(HealthCheck))
@given(files=sites())
def test_any_door(files: dict[str, str]) -> None:
    """The same, with doors that Hypothesis makes and makes small when it finds something."""
    with TemporaryDirectory() as folder:
        site = load_site(write_files(Path(folder) / "site", files))
    for door in site.doors.values():
        assert _defects(site, door, wire_door(site, door)) == []


def test_random_doors_reach_every_row() -> None:
    """Every row of the table and every landing rule, small doors and ones that no page takes."""
    rows: Counter[str] = Counter()
    sizes = []
    for seed in range(QUICK // 2):
        site, wirings = _wired(seed)
        for of, wiring in wirings.items():
            door = site.doors[of]
            sizes.append(len(wiring.conductors))
            rows.update(rows_of(site, door, wiring))
            rows.update("drop" for _ in door.drop)
            rows.update("add" for c in wiring.conductors if c.why.startswith("added"))
            rows["two boxes"] += len(wiring.boxes) > 1
            rows["two places exposed"] += len({d.place for d in wiring.devices.values() if d.exposed}) > 1
    wanted = {*TABLE, *LANDING, "add", "drop", "two boxes", "two places exposed"}
    assert {row for row in wanted if rows[row] < 2} == set()
    assert min(sizes) < 12
    assert max(sizes) > 40
    assert sum(20 <= size <= 40 for size in sizes) > len(sizes) // 3

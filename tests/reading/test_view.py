"""What a door sees of its site: all that its work may depend on, and nothing that is another's alone."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import pytest

from tests.demo import examined, site_of
from tests.keeping.sites import DOOR, SITE
from tests.random_doors import seeded_site
from tests.small_site import lay_out_site
from wiregen.keeping.canon import content_hash
from wiregen.reading.load import load_site
from wiregen.reading.model import Site
from wiregen.reading.shared import SITE as SHARED
from wiregen.reading.view import Views
from wiregen.wiring.wire import among, wire_door, wire_site

SECOND = """  N2: {type: poe-switch-16, at: closet-1, from: mains}
  G1: {type: supply-24-8, at: closet-1, from: mains}
  FB1: {type: fuse-board-8, at: closet-1, from: G1.out}
"""


def read(folder: Path, other: str) -> Site:
    """Door E1 on the first switch, E2 on the second, with another door on that."""
    doors = {"E1": DOOR.format(n=1), "E2": DOOR.format(n=2).replace("N1.", "N2."), "E3": other}
    return load_site(lay_out_site(folder, SITE + SECOND, doors))


@pytest.fixture(scope="module")
def two(tmp_path_factory: pytest.TempPathFactory) -> tuple[Site, Site]:
    """A site, and the same with the other door on another port of its switch."""
    folder, other = tmp_path_factory.mktemp("views"), DOOR.format(n=3).replace("N1.", "N2.")
    return read(folder / "one" / "weir", other), read(folder / "two" / "weir", other.replace("p-3", "p-7"))


def test_a_door_sees_no_more_of_what_is_shared_than_it_names(two: tuple[Site, Site]) -> None:
    views = Views(two[0])
    assert [list(views.of(door).shared) for door in ("E1", "E2")] == [["N1"], ["N2"]]
    assert list(views.of(SHARED).shared) == ["N1", "N2", "G1", "FB1"]
    assert "fuse-board-8" not in views.of("E1").sheets
    assert "fuse-board-8" in views.of(SHARED).sheets


def test_a_port_that_another_door_takes_is_nothing_to_a_door_that_asks_for_none(two: tuple[Site, Site]) -> None:
    seen = [[content_hash(Views(site).of(door)) for site in two] for door in ("E1", "E2", "E3")]
    assert [one == other for one, other in seen] == [True, True, False]
    assert two[0].taken != two[1].taken


def test_a_door_sees_the_runs_to_its_places_alone(two: tuple[Site, Site]) -> None:
    """A riser that leads elsewhere is nothing to it, one below the other to its own closet is."""
    site = two[0]
    run = next(iter(next(iter(site.doors.values())).runs.values()))
    own, riser, other = (replace(run, parent=parent) for parent in ("floor-1", "basement", "basement"))
    wide = replace(site, runs={"closet-1": own, "floor-1": riser, "closet-9": other})
    assert list(Views(wide).of("E1").runs) == ["closet-1", "floor-1"]
    assert list(Views(wide).of(SHARED).runs) == ["closet-1", "floor-1", "closet-9"]
    longer = replace(wide, runs={**wide.runs, "closet-9": replace(other, parent="roof")})
    assert content_hash(Views(wide).of("E1")) == content_hash(Views(longer).of("E1"))


@pytest.mark.parametrize("name", ["fernhill", "annex"])
def test_a_demo_door_sees_what_its_wiring_holds_and_what_leads_on_from_it(name: str) -> None:
    site = site_of(name)
    shared, views = wire_site(site), Views(site)
    for door, wiring in examined(name).wirings.items():
        if door == SHARED:
            continue
        seen = views.of(door)
        held = {ref.removeprefix("site/") for ref, device in wiring.devices.items() if device.origin == "site"}
        assert held <= seen.shared.keys()
        part = among(shared, seen.shared)
        ends = {end.device for c in part.conductors for end in (c.a, c.b)}
        left = {end.device for c in shared.conductors if c not in part.conductors for end in (c.a, c.b)}
        assert held <= part.devices.keys()
        assert not (ends & left) - shared.boxes.keys()


@pytest.mark.parametrize("seed", range(300, 302))
def test_a_door_is_wired_from_what_it_sees_as_from_the_whole_site(seed: int, tmp_path: Path) -> None:
    site = load_site(seeded_site(tmp_path, seed, 5))
    views = Views(site)
    for door in site.doors.values():
        assert wire_door(views.of(door.id), door) == wire_door(site, door), door.id


def test_all_copper_is_among_all_devices() -> None:
    shared = wire_site(site_of("fernhill"))
    whole = among(shared, shared.devices)
    assert (whole.conductors, whole.links, whole.chains, whole.cables) == (
        shared.conductors, shared.links, shared.chains, {c: s for c, s in shared.cables.items() if c in whole.cables}
    )  # fmt: skip

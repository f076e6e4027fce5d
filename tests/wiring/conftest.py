from __future__ import annotations

from pathlib import Path

import pytest

from tests.demo import site_of
from wiregen.reading.model import Site
from wiregen.wiring.model import Wiring
from wiregen.wiring.wire import wire_door

SPECS = Path(__file__).parents[2] / "door_specs"


@pytest.fixture(scope="session")
def fernhill() -> Site:
    return site_of("fernhill")


@pytest.fixture(scope="session")
def annex() -> Site:
    return site_of("annex")


@pytest.fixture(scope="session")
def wirings(fernhill: Site, annex: Site) -> dict[str, tuple[Site, Wiring]]:
    """Every door of the demo, wired."""
    return {door.id: (site, wire_door(site, door)) for site in (fernhill, annex) for door in site.doors.values()}

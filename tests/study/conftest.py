"""The strike door wired by hand, and the demo site wired by the program."""

from __future__ import annotations

from pathlib import Path

import pytest

from tests.demo import SITES, examined
from tests.packet.by_hand import DOOR, wire_d101
from wiregen.reading.load import load_site
from wiregen.reading.model import Site
from wiregen.reading.shared import SITE
from wiregen.study.model import Study
from wiregen.study.study import study_door
from wiregen.wiring.wire import wire_site

ROOT = Path(__file__).parents[2]


@pytest.fixture(scope="session")
def yard() -> Site:
    return load_site(ROOT / "tests" / "packet" / "specs" / "yard")


@pytest.fixture(scope="session")
def strike(yard: Site) -> Study:
    return study_door(yard, yard.doors[DOOR], wire_d101(yard), wire_site(yard))


@pytest.fixture(scope="session")
def demo() -> dict[str, Study]:
    """Every door of both demo sites, by site and door."""
    return {f"{site} {of}": study for site in SITES for of, study in examined(site).studies.items() if of != SITE}

from __future__ import annotations

from collections.abc import Callable
from functools import cache

import pytest

from tests.specs.sites import SITES, SPECS, loaded
from wiregen.reading.library import Library
from wiregen.reading.model import Problem, Sheet, Site
from wiregen.wiring.model import Wiring
from wiregen.wiring.wire import wire_door


@pytest.fixture(scope="session")
def sites(tmp_path_factory: pytest.TempPathFactory) -> dict[str, Site]:
    return {name: loaded(name, tmp_path_factory.mktemp("sites")) for name in SITES}


@pytest.fixture(scope="session")
def wired(sites: dict[str, Site]) -> Callable[[str, str], Wiring]:
    """The wiring of a door of a site, worked out once."""
    return cache(lambda name, door: wire_door(sites[name], sites[name].doors[door]))


@pytest.fixture(scope="session")
def sheets() -> dict[str, Sheet]:
    """Every data sheet, whether a door uses it or not."""
    problems: list[Problem] = []
    library = Library.within(SPECS / "fernhill" / "devices", SPECS / "devices", problems.append)
    made = {name: library.get(name) for name in sorted(library.types)}
    assert problems == []
    assert len(made) == len(list((SPECS / "devices").glob("*.yaml")))
    return {name: sheet for name, sheet in made.items() if sheet is not None}

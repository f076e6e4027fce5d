from __future__ import annotations

import pytest

from tests.specs.sites import SITES, SPECS, loaded
from wiregen.reading.library import Library
from wiregen.reading.model import Problem, Sheet, Site


@pytest.fixture(scope="session")
def sites(tmp_path_factory: pytest.TempPathFactory) -> dict[str, Site]:
    return {name: loaded(name, tmp_path_factory.mktemp("sites")) for name in SITES}


@pytest.fixture(scope="session")
def sheets() -> dict[str, Sheet]:
    """Every data sheet, whether a door uses it or not."""
    problems: list[Problem] = []
    library = Library(SPECS / "fernhill" / "devices", SPECS / "devices", problems.append)
    made = {name: library.get(name) for name in sorted(library.types)}
    assert problems == []
    assert len(made) == len(list((SPECS / "devices").glob("*.yaml")))
    return {name: sheet for name, sheet in made.items() if sheet is not None}

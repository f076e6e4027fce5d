"""For speed fewer looks for what may be freed.  Nothing is kept from one test for the next, but where a test asks for it."""

from __future__ import annotations

import gc
import os
from collections.abc import Iterator
from pathlib import Path

import pytest

import wiregen  # noqa: F401  as what it says to numpy and reportlab is heard only before they are loaded

gc.set_threshold(100_000, 1_000, 50)
os.environ["WIREGEN_CACHE"] = ""


@pytest.fixture(scope="session")
def kept_by_all(tmp_path_factory: pytest.TempPathFactory, request: pytest.FixtureRequest) -> Path:
    """One folder for all workers of a run, and for no other run."""
    own = tmp_path_factory.getbasetemp()
    return (own.parent if hasattr(request.config, "workerinput") else own) / "kept"


@pytest.fixture(scope="module")
def kept(kept_by_all: Path) -> Iterator[None]:
    """For a module that runs the command line on the sites of others: what any of them has worked out is not done again."""
    with pytest.MonkeyPatch.context() as patch:
        patch.setenv("WIREGEN_CACHE", str(kept_by_all))
        yield

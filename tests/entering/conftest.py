"""An orchard with room for forty doors more, as a folder of its own with the demo's kits and data sheets beside it."""

from __future__ import annotations

import shutil
from pathlib import Path

import pytest

from tests.cli.run import wiregen
from tests.small_site import ROOT

HERE = Path(__file__).parent


def orchard_in(folder: Path) -> Path:
    for shared in ("devices", "kits"):
        shutil.copytree(ROOT / "door_specs" / shared, folder / shared)
    (folder / "orchard").mkdir()
    shutil.copy(HERE / "site.yaml", folder / "orchard")
    return folder / "orchard"


@pytest.fixture
def orchard(tmp_path: Path) -> Path:
    return orchard_in(tmp_path)


@pytest.fixture(scope="session")
def forty(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The orchard with the forty doors of the list."""
    site = orchard_in(tmp_path_factory.mktemp("forty"))
    done = wiregen("new", "doors", site, "--from", HERE / "forty.csv")
    assert (done.returncode, done.stdout) == (0, "")
    return site

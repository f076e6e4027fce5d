"""The sites that the tests run over, each in a folder of its own with the demo's data sheets beside it."""

from __future__ import annotations

import shutil
from pathlib import Path

from wiregen.reading.load import load_site
from wiregen.reading.model import Site

TOP = Path(__file__).resolve().parents[2]
SPECS = TOP / "door_specs"
SITES = {"fernhill": SPECS / "fernhill", "annex": SPECS / "annex", "yard": Path(__file__).parent / "yard"}


def copied(name: str, folder: Path) -> Path:
    """The site of that name, copied into `folder` with the data sheets, free to be changed."""
    shutil.copytree(SPECS / "devices", folder / "devices")
    return Path(shutil.copytree(SITES[name], folder / name))


def loaded(name: str, folder: Path) -> Site:
    return load_site(SITES[name] if SITES[name].parent == SPECS else copied(name, folder))

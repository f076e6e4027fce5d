"""The demo sites, read and examined once for all tests of a process: what they give is frozen, so that none can spoil it."""

from __future__ import annotations

from functools import cache
from pathlib import Path

from wiregen.build import Examined, examine
from wiregen.reading.load import load_site
from wiregen.reading.model import Site

SPECS = Path(__file__).parents[1] / "door_specs"
SITES = ("fernhill", "annex")


@cache
def site_of(name: str) -> Site:
    return load_site(SPECS / name)


@cache
def examined(name: str) -> Examined:
    return examine(SPECS / name)

"""The demo sites, read and examined once for all tests of a process: what they give is frozen, so that none can spoil it."""

from __future__ import annotations

from collections.abc import Mapping
from functools import cache
from pathlib import Path
from types import MappingProxyType

from wiregen.build import Examined, examine, ways_to_feed
from wiregen.feeds.model import Judged
from wiregen.making import make
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


@cache
def made(name: str) -> Mapping[str, bytes]:
    """The files of the packet."""
    return MappingProxyType(dict(make(examined(name))))


@cache
def fed(name: str, door: str) -> tuple[Judged, ...]:
    """Every way to feed a door, judged."""
    return ways_to_feed(SPECS / name, site_of(name), [door])[door]

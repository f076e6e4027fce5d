"""Random doors: whatever hangs on what, the figures of ports, converters, fuses, screws and runs come out whole."""

from __future__ import annotations

from collections.abc import Iterator
from math import isclose
from pathlib import Path

import pytest

from tests.random_doors import seeded_site
from wiregen.reading.load import load_site
from wiregen.reading.model import Door, Site
from wiregen.study.conduit import conduits
from wiregen.study.converter import converters
from wiregen.study.copper import Copper, supplied
from wiregen.study.formula import CALLS
from wiregen.study.fuse import fuses, guards
from wiregen.study.load import draws
from wiregen.study.model import Figure
from wiregen.study.poe import poe, switch_budget
from wiregen.study.run import runs
from wiregen.study.screw import screws, splices
from wiregen.study.source_class import source_classes
from wiregen.wiring.model import Wiring
from wiregen.wiring.wire import wire_door

SEEDS = range(4)
DOORS = 5


def _figures(site: Site, door: Door, wiring: Wiring) -> Iterator[Figure]:
    copper = Copper(wiring)
    loads = supplied(site, wiring, copper)
    of_ports, uses, _ = poe(door, wiring, loads)
    yield from of_ports
    yield from converters(door, wiring, loads, uses)
    yield from fuses(door, wiring, loads)
    yield from guards(wiring, loads, copper)
    yield from screws(wiring)
    yield from splices(wiring)[0]
    yield from conduits(door.runs, wiring.cables.values(), wiring.links)[0]
    yield from source_classes(site, loads)
    yield from runs(site, door, wiring, loads)
    yield from (told for at in loads if (told := draws(door, wiring, loads, at)))
    for ref in site.shared:
        yield from switch_budget(site, ref, uses)


@pytest.mark.parametrize("seed", SEEDS)
def test_figures_are_whole(seed: int, tmp_path: Path) -> None:
    """Each can be worked out again from what is printed, lies within its band, and says what its bound is and what helps."""
    site = load_site(seeded_site(tmp_path / "site", seed, DOORS))
    seen = 0
    for door in site.doors.values():
        for told in _figures(site, door, wire_door(site, door)):
            again = eval(told.formula, {"__builtins__": {}}, {**CALLS, **told.inputs})
            assert isclose(again, told.value, rel_tol=1e-12, abs_tol=1e-15), told
            assert told.least <= told.value * (1 + 1e-12) <= told.most * (1 + 1e-9), told
            assert told.inputs.keys() == told.units.keys(), told
            assert told.margin is None or (told.bound and told.cure), told
            seen += 1
    assert seen > 50

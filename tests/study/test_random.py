"""Calming, contacts, supervised inputs, lines and transfers of random doors: finite, in order, and never a traceback."""

from __future__ import annotations

from math import isfinite
from pathlib import Path

import pytest

from tests.random_doors import seeded_site
from wiregen.reading.load import load_site
from wiregen.reading.model import SpecError
from wiregen.study.calming import calming
from wiregen.study.contact import behind, contact_figures
from wiregen.study.copper import Copper, supplied
from wiregen.study.ethernet import channels
from wiregen.study.line_end import line_ends
from wiregen.study.signal import signals
from wiregen.study.transfer import transfers
from wiregen.wiring.wire import wire_door


@pytest.mark.parametrize("seed", [3, 17, 29])
def test_random_doors(tmp_path: Path, seed: int) -> None:
    site = load_site(seeded_site(tmp_path, seed))
    topics: set[str] = set()
    for door in site.doors.values():
        try:
            wiring = wire_door(site, door)
        except SpecError:
            continue
        loads = supplied(site, wiring, Copper(wiring))
        loops, _ = line_ends(site, wiring)
        figures = (
            *calming(site, wiring, loads)[0], *contact_figures(wiring, behind(door, wiring, loads))[0],
            *transfers(door, wiring, loads)[0], *(f for loop in loops for f in loop.figures),
            *signals(site, wiring)[0], *channels(wiring),
        )  # fmt: skip
        for told in figures:
            assert all(map(isfinite, (told.value, told.least, told.most))), told
            assert told.least <= told.value * (1 + 1e-12) <= told.most * (1 + 2e-12), told
            assert told.bound or told.margin is None, told
            assert told.cure or told.margin is None, told
            topics.add(told.topic)
        assert len({(f.about, f.name) for f in figures}) == len(figures)
    assert topics == {"calming", "contact", "input", "line"}

"""What a stranger could do himself, and what would let him in, stands in no fault guide and not in the record."""

from __future__ import annotations

import json
from pathlib import Path

import pytest

from tests.review.test_pairs import lay_out_pair
from wiregen.attacks.withheld import withheld
from wiregen.faults.effects import Trials
from wiregen.faults.upkeep import upkeep
from wiregen.packet.fault_guide import fault_guide
from wiregen.packet.fault_words import brief
from wiregen.packet.record_faults import faults_data
from wiregen.reading.load import load_site
from wiregen.states.table import settler_of
from wiregen.study.model import Study
from wiregen.wiring.wire import wire_door, wire_site


def _told(which: str, folder: Path, pair: str) -> tuple[frozenset[str], str, list[str]]:
    """Keys withheld, what page and record say, and the words of what is withheld."""
    site = load_site(lay_out_pair(pair, which, folder))
    (door,) = site.doors.values()
    wiring = wire_door(site, door)
    trials = Trials(door, wiring, settler_of(site, door, wiring, wire_site(site)))
    keys = withheld(site, trials)
    words = [text for fault in trials.faults if fault.key in keys for text in (fault.words, brief(fault))]
    kept = [upkeep(trials, of) for of in ((), keys)]
    pages = [repr(fault_guide(door, Study(door=door.id, upkeep=one))) for one in kept]
    every, told = (page + json.dumps(faults_data(one, lambda band: None)) for page, one in zip(pages, kept, strict=True))
    assert not keys or any(text in every for text in words)  # else nothing would be withheld
    return keys, told, words


@pytest.mark.parametrize(
    ("pair", "key"),
    [("secured-side--relay-outside", "welded A1.relay.make"), ("secured-side--supply-outside", "touch U1:1 U1:2"),
     ("secured-side--board-outside", "touch K2:C1 K2:NO1")],
)  # fmt: skip
def test_what_lets_a_stranger_in_is_not_told(pair: str, key: str, tmp_path: Path) -> None:
    keys, told, words = _told("wrong", tmp_path, pair)
    assert key in keys
    assert not any(text in told for text in words)
    assert "is not told here" in told


@pytest.mark.parametrize("pair", ["secured-side--relay-outside", "secured-side--supply-outside"])
def test_the_cured_one_hides_nothing(pair: str, tmp_path: Path) -> None:
    keys, told, _ = _told("cured", tmp_path, pair)
    assert keys == frozenset()
    assert "is open between" in told

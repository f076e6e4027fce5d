"""The winner on every demo door is the one that was worked out by hand before the program could say it."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import pytest
import yaml

from tests.demo import fed, site_of
from wiregen.feeds.rank import recommended

ROOT = Path(__file__).parents[2]
BY_HAND: dict[str, dict[str, dict[str, Any]]] = yaml.safe_load((ROOT / "tests/study/feeds_by_hand.yaml").read_text("utf-8"))


DAILY = {"D105", "D106", "D119"}  # each with another winner, or won by another rule
DOORS = [
    pytest.param(site, door, marks=[] if door in DAILY else [pytest.mark.sweep])
    for site, doors in BY_HAND.items()
    for door in doors
]


@pytest.mark.parametrize(("site", "door"), DOORS)
def test_the_winner_is_the_one_by_hand(site: str, door: str) -> None:
    hand, best = BY_HAND[site][door], recommended(fed(site, door))
    assert best is not None
    words = (best.candidate.controller or "as written", best.candidate.lock or "as written")
    assert words == (hand["controller"], hand["lock"])


def test_every_demo_door_is_worked_out_by_hand() -> None:
    for site, doors in BY_HAND.items():
        assert list(doors) == sorted(site_of(site).doors)
        assert all(hand["why"] for hand in doors.values())

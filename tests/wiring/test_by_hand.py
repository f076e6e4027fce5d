"""The wiring of eleven demo doors against a technician's list, written down before it (`by_hand/README.md`)."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from pathlib import Path
from typing import Any

import pytest
import yaml

from wiregen.reading.load import load_site
from wiregen.reading.model import Site
from wiregen.wiring.model import Wiring
from wiregen.wiring.wire import wire_door, wire_site

HERE = Path(__file__).parent / "by_hand"
SITE = Path(__file__).resolve().parents[2] / "door_specs" / "fernhill"
LISTS = sorted(HERE.glob("*.yaml"))

Partition = set[frozenset[str]]


@pytest.fixture(scope="module")
def site() -> Site:
    return load_site(SITE)


def written(path: Path) -> dict[str, Any]:
    loaded = yaml.safe_load(path.read_text(encoding="utf-8"))
    assert isinstance(loaded, dict)
    return loaded


def joined(pairs: Iterable[tuple[str, str]]) -> Partition:
    """The partition that the pairs make of their ends, by plain merging of sets."""
    sets: list[set[str]] = []
    for pair in pairs:
        meets = [found for found in sets if found & set(pair)]
        sets = [found for found in sets if found not in meets] + [set(pair).union(*meets)]
    return {frozenset(found) for found in sets}


def copper(wiring: Wiring, ties: Mapping[str, str]) -> Partition:
    """What the program joins, junctions, transfers and what was added from stock left out."""
    pairs = [(str(conductor.a), str(conductor.b)) for conductor in wiring.conductors]
    transfers = {ref for ref, device in wiring.devices.items() if device.sheet.is_ == "transfer"}
    for ref in transfers:
        for group in wiring.devices[ref].sheet.groups.values():
            first, second = group.marks
            pairs.append((f"{ref}:{first}", f"{ref}:{second}"))
    pairs += [(terminal, first) for terminal, first in ties.items()]
    added = {ref for ref, device in wiring.devices.items() if device.origin == "stock"}
    hidden = transfers | added | set(wiring.boxes)
    landed = {str(end) for conductor in wiring.conductors for end in (conductor.a, conductor.b) if end.device not in hidden}
    seen = {ties.get(terminal, terminal) for terminal in landed}
    return {kept for found in joined(pairs) if len(kept := found & seen) > 1}


def tied(wiring: Wiring) -> dict[str, str]:
    """Each terminal that is tied inside its device, and the first of its tie that stands for all."""
    return {str(end): str(tie[0]) for tie in wiring.ties for end in tie[1:]}


def test_there_are_lists() -> None:
    assert len(LISTS) >= 6


@pytest.mark.parametrize("path", LISTS, ids=lambda path: path.stem)
def test_copper_joins_what_the_technician_joins(site: Site, path: Path) -> None:
    hand = written(path)
    wiring = wire_door(site, site.doors[hand["door"]])
    ties = tied(wiring)
    shared = joined((str(conductor.a), str(conductor.b)) for conductor in wire_site(site).conductors)
    nowhere = [points for points in hand.get("of-the-site", ()) if not any(set(points) <= found for found in shared)]
    assert nowhere == [], "joins of two shared devices that stand on no list"
    expected = joined((ties.get(first, first), ties.get(other, other)) for first, *rest in hand["joins"] for other in rest)
    found = copper(wiring, ties)
    assert sorted(map(sorted, found - expected)) == sorted(map(sorted, expected - found))
    assert found == expected


@pytest.mark.parametrize("path", LISTS, ids=lambda path: path.stem)
def test_plugs_calmers_settings_and_spare_leads(site: Site, path: Path) -> None:
    hand = written(path)
    wiring = wire_door(site, site.doors[hand["door"]])
    if "links" in hand:
        assert {frozenset((str(link.a), str(link.b))) for link in wiring.links} == {frozenset(link) for link in hand["links"]}
    added = {
        calmer.lock: {"type": calmer.sheet.type, **({"band": str(calmer.band_at)} if calmer.band_at else {})}
        for calmer in wiring.calmers
        if calmer.sheet is not None
    }
    assert added == hand["calmers"]
    for ref, settings in hand.get("set", {}).items():
        assert {key: wiring.devices[ref].settings.get(key) for key in settings} == settings
    if "unused" in hand:
        transfers = {ref for ref, device in wiring.devices.items() if device.sheet.is_ == "transfer"}
        spare = [unused for unused in wiring.unused if unused.is_lead and unused.device not in transfers]
        leads = {f"{unused.device}:{unused.terminal}" for unused in spare}
        assert leads == set(hand["unused"])

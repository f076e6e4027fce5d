"""The wiring of random doors against the oracle; and what is taken away from a spec is gone from the wiring."""

from __future__ import annotations

from dataclasses import replace
from functools import cache
from pathlib import Path
from tempfile import TemporaryDirectory

import pytest

from tests.proof.against import differences
from tests.proof.states import unmet
from tests.random_doors import Seeded, seeded_site
from wiregen.reading.load import load_site
from wiregen.reading.model import Door, Site, SpecError
from wiregen.wiring.model import Wiring
from wiregen.wiring.wire import wire_door

PER_SITE, QUICK = 20, 2


@cache
def _site(seed: int) -> Site:
    with TemporaryDirectory() as folder:
        return load_site(seeded_site(Path(folder), seed, PER_SITE))


def _joined(wiring: Wiring) -> set[frozenset[str]]:
    """Pairs of ends that lie on one wire number."""
    ends: dict[str, set[str]] = {}
    for c in wiring.conductors:
        ends.setdefault(c.potential, set()).update(map(str, (c.a, c.b)))
    return {frozenset((a, b)) for group in ends.values() for a in group for b in group if a < b}


@pytest.mark.parametrize("seed", range(1000, 1000 + QUICK))
def test_wiring_agrees_with_the_oracle(seed: int) -> None:
    site = _site(seed)
    found = [
        d
        for door in site.doors.values()
        for w in [wire_door(site, door)]
        for d in (*differences(site, door, w), *unmet(site, door, w))
    ]
    assert found == []


def _without(door: Door, choose: Seeded) -> tuple[Door, str] | None:
    """The door with one of its reporting, data or driving relations struck out."""
    kinds = ("tells", "speaks", "obeys", "earths")
    choices = [(ref, r) for ref, device in door.devices.items() for r in device.relations if r.kind in kinds]
    if not choices:
        return None
    ref, struck = choose.one(choices)
    device = door.devices[ref]
    left = replace(device, relations=tuple(r for r in device.relations if r is not struck))
    return replace(door, devices={**door.devices, ref: left}), f"{ref} {struck.kind} {struck.target}"


@pytest.mark.parametrize("seed", range(1000, 1000 + QUICK))
def test_what_is_struck_out_is_gone(seed: int) -> None:
    site, choose = _site(seed), Seeded(seed)
    gone = 0
    for door in site.doors.values():
        struck = _without(door, choose)
        if struck is None:
            continue
        less, what = struck
        try:
            before, after = wire_door(site, door), wire_door(site, less)
        except SpecError:
            continue  # others hang on what was struck out
        assert list(differences(site, less, after)) == [], what
        lost = _joined(before) - _joined(after) or {k.ref for k in before.links} - {k.ref for k in after.links}
        assert lost, f"{door.id}: nothing is lost without {what}"
        gone += 1
    assert gone >= PER_SITE // 2


@pytest.mark.parametrize("seed", range(1000, 1000 + QUICK))
def test_a_conductor_too_few_or_astray_is_told(seed: int) -> None:
    """The oracle can fail: it finds each single conductor that is left out or led elsewhere."""
    site, choose = _site(seed), Seeded(seed)
    for door in site.doors.values():
        wiring = wire_door(site, door)
        if not wiring.conductors:
            continue
        left_out = choose.one(list(wiring.conductors))
        less = replace(wiring, conductors=tuple(c for c in wiring.conductors if c is not left_out))
        assert list(differences(site, door, less)), f"{door.id} without {left_out.wire}"
        stock = {d.ref for d in wiring.devices.values() if d.origin == "stock"}  # a varistor may lie either way round
        copper = [c for c in wiring.conductors if not {c.a.device, c.b.device} & stock]
        if len(copper) < 2:
            continue
        one, other = choose.shuffled(copper)[:2]
        if one.potential == other.potential:
            continue
        swapped = [replace(c, b=other.b if c is one else one.b) if c in (one, other) else c for c in wiring.conductors]
        assert list(differences(site, door, replace(wiring, conductors=tuple(swapped)))), (
            f"{door.id}: {one.wire}, {other.wire} swapped"
        )

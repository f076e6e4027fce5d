"""What must hold for the wiring of any door: over the demo and over random doors."""

from __future__ import annotations

import os
import re
import subprocess
import sys
from collections import Counter
from collections.abc import Iterator
from dataclasses import replace
from pathlib import Path

import pytest

from tests.random_doors import seeded_site
from tests.specs.sites import loaded
from tests.wiring import points
from tests.wiring.oracle import Oracle
from wiregen.reading.load import load_site
from wiregen.reading.model import Device, Door, Relation, Site, Target
from wiregen.wiring.model import End, Wiring
from wiregen.wiring.wire import wire_door

Case = tuple[Site, Door, Wiring]
SEEDS = range(100, 105)


@pytest.fixture(scope="module")
def cases(fernhill: Site, annex: Site, tmp_path_factory: pytest.TempPathFactory) -> list[Case]:
    yard = loaded("yard", tmp_path_factory.mktemp("yard"))
    sites = [fernhill, annex, yard, *(load_site(seeded_site(tmp_path_factory.mktemp(f"s{seed}"), seed)) for seed in SEEDS)]
    return [(site, door, wire_door(site, door)) for site in sites for door in site.doors.values()]


def test_there_are_doors_of_every_row(cases: list[Case]) -> None:
    rows = Counter(conductor.why for _, _, wiring in cases for conductor in wiring.conductors)
    rows.update("T4" if link.poe else "T14" for _, _, wiring in cases for link in wiring.links)
    rows.update("T3" for _, _, wiring in cases if wiring.mains)
    assert {f"T{n}" for n in range(1, 17) if n != 5} <= set(rows)
    assert any(chain.links for _, _, wiring in cases for chain in wiring.chains)


def test_every_relation_is_joined_and_nothing_else(cases: list[Case]) -> None:
    for site, door, wiring in cases:
        asked = _of_door(points.of_real(Oracle(site, door, wiring).points().all(), wiring), wiring)
        joined = _of_door(points.of_real(points.of_wiring(wiring).all(), wiring), wiring)
        assert joined == asked, f"{door.id}: missing {asked - joined}, too much {joined - asked}"


def _of_door(found: set[frozenset[str]], wiring: Wiring) -> set[frozenset[str]]:
    """Without sets of shared devices' terminals alone: those are the site's (L9)."""
    return {p for p in found if any(wiring.devices[name.rsplit(":", 1)[0]].origin != "site" for name in p)}


def test_every_core_carries_one_conductor(cases: list[Case]) -> None:
    for _, door, wiring in cases:
        used = Counter((c.cable, c.core) for c in wiring.conductors if c.kind == "core")
        assert all(count == 1 for count in used.values()), door.id
        for cable in wiring.cables.values():
            listed = {(core, wire) for core, wire in cable.cores if wire is not None}
            assert listed == {(c.core, c.wire) for c in wiring.conductors if c.cable == cable.ref}
            assert [core for core, _ in cable.cores] == list(cable.sheet.cores)


def test_wire_numbers_are_unique_and_one_a_potential(cases: list[Case]) -> None:
    for _, door, wiring in cases:
        numbers = [c.wire for c in wiring.conductors]
        assert len(set(numbers)) == len(numbers), door.id
        assert all(re.fullmatch(re.escape(c.potential) + "[a-z]+", c.wire) for c in wiring.conductors)
        whole = points.Points()
        for conductor in wiring.conductors:
            whole.join(str(conductor.a), str(conductor.b))
        for tied in wiring.ties:
            whole.join(*map(str, tied))
        number_of: dict[frozenset[str], set[str]] = {}
        for conductor in wiring.conductors:
            point = next(p for p in whole.all() if str(conductor.a) in p)
            number_of.setdefault(point, set()).add(conductor.potential)
        assert all(len(found) == 1 for found in number_of.values()), door.id
        assert len({next(iter(found)) for found in number_of.values()}) == len(number_of), door.id


def test_no_more_wires_on_a_screw_than_it_takes(cases: list[Case]) -> None:
    """Two and more wires must fit by number and section; a single core that is too thick is for the review to say."""
    seen = 0
    for _, door, wiring in cases:
        landed: dict[End, list[float]] = {}
        for conductor in wiring.conductors:
            for end in (conductor.a, conductor.b):
                landed.setdefault(end, []).append(conductor.area)
        for end, areas in landed.items():
            device = wiring.devices.get(end.device)
            if device is None or device.sheet.screw is None or device.sheet.terminal(end.terminal).is_lead or len(areas) < 2:
                continue
            seen += 1
            ways = device.sheet.screw.wires
            assert any(len(areas) <= number for number, _ in ways), f"{door.id} {end}: {len(areas)} wires, {ways}"
            jumpered = [area for area in areas if area <= 1.0e-6]
            thickest = max(jumpered, default=0.0)
            assert any(len(jumpered) <= n and thickest <= most * 1.001 for n, most in ways), f"{door.id} {end}"
    assert seen > 20 or len(cases) < 50


def test_no_conductor_is_too_much(cases: list[Case]) -> None:
    """Copper makes a tree: taking any conductor away parts something."""
    for _, door, wiring in cases:
        sets = points.Points()
        for tied in wiring.ties:
            sets.join(*map(str, tied))
        for conductor in wiring.conductors:
            ends = {str(conductor.a), str(conductor.b)}
            assert not any(ends <= point for point in sets.all()), f"{door.id}: {conductor.wire} closes a ring"
            sets.join(*ends)


def test_cables_run_whole_along_the_tree(cases: list[Case]) -> None:
    """No cable parts ways: all cores go from its one end to the other, and places next to one another are joined by a run."""
    for _, door, wiring in cases:
        where = {ref: device.place for ref, device in wiring.devices.items()} | {b.ref: b.place for b in wiring.boxes.values()}
        transfers = {ref for ref, device in wiring.devices.items() if device.sheet.is_ == "transfer"}
        for cable in wiring.cables.values():
            for outer, inner in zip(cable.along, cable.along[1:], strict=False):
                assert wiring.runs[outer].parent == inner
                assert wiring.runs[outer].transfer is None, f"{door.id} {cable.ref} goes through a transfer uncut"
            ends = {cable.along[0], cable.along[-1]}
            for conductor in wiring.conductors:
                if conductor.cable == cable.ref:
                    here = {where[e.device] for e in (conductor.a, conductor.b) if e.device not in transfers}
                    assert here <= ends, f"{door.id} {conductor.wire}"
        for conductor in wiring.conductors:
            if conductor.kind in ("wire", "jumper"):
                assert {where[conductor.a.device], where[conductor.b.device]} == {conductor.place}, conductor.wire


def test_what_is_not_used_is_listed(cases: list[Case]) -> None:
    for _, door, wiring in cases:
        landed = points.landed(wiring) | {e for link in wiring.links for e in (link.a, link.b)} | set(wiring.mains)
        landed |= {cable.screen_at for cable in wiring.cables.values() if cable.screen_at}
        unused = {(u.device, u.terminal) for u in wiring.unused}
        for ref, device in wiring.devices.items():
            if device.origin != "door":
                continue
            for terminal in device.sheet.terminals:
                is_landed = any(e.device == ref and e.terminal == terminal.mark for e in landed)
                if is_landed:
                    assert (ref, terminal.mark) not in unused, door.id
                elif not any(r.code == "other-door" for r in wiring.remarks):
                    assert (ref, terminal.mark) in unused, f"{door.id} {ref}:{terminal.mark}"


def _appended(site: Site, door: Door) -> Iterator[Door]:
    """The door with one more contact on an input that nobody uses, and with one more sensor fed from a controller."""
    used = {str(t) for d in door.devices.values() for r in d.relations for t in r.targets}
    sheet = next(
        (
            d.sheet
            for other in site.doors.values()
            for d in other.devices.values()
            if d.sheet.is_ == "contact" and [g.kind for g in d.sheet.groups.values()] == ["contact"]
        ),
        None,
    )
    for ref, device in door.devices.items():
        for name, group in device.sheet.groups.items():
            if sheet is None or group.kind != "input" or f"{ref}.{name}" in used or name in device.set:
                continue
            bridged = {end.terminal for item in door.add for end in (item.from_, item.to) if end.device == ref}
            if any(r.own == name for r in device.relations) or bridged & set(group.marks):
                continue
            relation = Relation("tells", None, (Target(ref, group=name),), door.where)
            more = Device(ref="B77", sheet=sheet, place=device.place, relations=(relation,), where=door.where)
            yield replace(door, devices={**door.devices, "B77": more})
            return


def test_a_device_appended_renumbers_nothing(cases: list[Case]) -> None:
    tried = 0
    for site, door, wiring in cases:
        for longer in _appended(site, door):
            tried += 1
            after = {(c.a, c.b, c.cable is not None): c.wire for c in wire_door(site, longer).conductors}
            before = {(c.a, c.b, c.cable is not None): c.wire for c in wiring.conductors}
            kept = before.keys() & after.keys()
            assert len(kept) >= len(before) / 3
            assert {key: before[key] for key in kept} == {key: after[key] for key in kept}, door.id
    assert tried > 30 or len(cases) < 50


@pytest.mark.sweep
@pytest.mark.parametrize("seed", range(1000, 1050))
def test_sweep(seed: int, tmp_path: Path) -> None:
    site = load_site(seeded_site(tmp_path, seed))
    found = [(site, door, wire_door(site, door)) for door in site.doors.values()]
    test_every_relation_is_joined_and_nothing_else(found)
    test_every_core_carries_one_conductor(found)
    test_wire_numbers_are_unique_and_one_a_potential(found)
    test_no_more_wires_on_a_screw_than_it_takes(found)
    test_no_conductor_is_too_much(found)
    test_cables_run_whole_along_the_tree(found)
    test_what_is_not_used_is_listed(found)


PRINT_ALL = """
import sys
from pathlib import Path
from wiregen.reading.load import load_site
from wiregen.wiring.wire import wire_door, wire_site
site = load_site(Path(sys.argv[1]))
for wiring in [*(wire_door(site, door) for door in site.doors.values()), wire_site(site)]:
    print(wiring.conductors, wiring.cables, wiring.junctions, wiring.lead_joints, wiring.unused, wiring.remarks)
"""


@pytest.mark.sweep
def test_the_same_whatever_the_hash_seed(tmp_path: Path) -> None:
    folder = seeded_site(tmp_path, 101)
    printed = {
        subprocess.run(
            [sys.executable, "-c", PRINT_ALL, str(folder)],
            env={**os.environ, "PYTHONHASHSEED": seed, "PYTHONPATH": str(Path(__file__).parents[2])},
            capture_output=True,
            check=True,
        ).stdout
        for seed in ("1", "2", "77")
    }
    assert len(printed) == 1
    assert len(printed.pop()) > 10_000

"""What comparing two records tells: each edit of a spec as what is to be done on the wall, and nothing where nothing is."""

from __future__ import annotations

import json
from collections.abc import Callable, Mapping
from functools import cache
from pathlib import Path
from typing import Any

import pytest
import yaml

from tests.changes.records import edited, record_of
from tests.cli.run import two_doors
from wiregen.changes.compare import compare, doors_of
from wiregen.changes.told import changes_text
from wiregen.packet.change_sheet import change_sheet
from wiregen.packet.content import Table
from wiregen.reading.shared import SITE


@pytest.fixture(scope="module")
def before(tmp_path_factory: pytest.TempPathFactory) -> Any:
    return record_of(two_doors(tmp_path_factory.mktemp("before") / "mill"))


Edits = Mapping[str, tuple[str, str]]

# Edits, and the doors that they change with some of what must be told of each: (of, how, name).
EDITS: dict[str, tuple[Edits, dict[str, set[tuple[str, str, str]]]]] = {
    "another port of the fuse board, a device gone": (
        {
            "doors/E1.yaml": ("FB1.f-1, through", "FB1.f-2, through"),
            "doors/E2.yaml": ("  B1: {type: contact-plain, at: frame, tells: A1.door}\n", ""),
        },
        {
            SITE: {("pages", "changed", SITE)},  # the fuse board's unused terminals stand there
            "E1": {("conductor", "moved", "FB105a"), ("conductor", "relabelled", "FB105a"), ("conductor", "moved", "FB102a")},
            "E2": {("device", "removed", "B1"), ("conductor", "removed", "A113a"), ("cable", "relabelled", "W4")},
        },
    ),
    "a setting, a longer run": (
        {
            "doors/E1.yaml": ("exit: unlock", "exit: mask only"),
            "doors/E2.yaml": ("frame: [box, 3 m]", "frame: [box, 60 m]"),
        },
        {
            "E1": {("device", "set", "A1")},
            "E2": {
                ("cable", "changed", "W3"), ("reading", "moved", "Y1:+ to Y1:-, grant"), ("finding", "added", "volts-short"),
            },
        },
    ),
    "a button hung lower, another lock": (
        {
            "doors/E1.yaml": ("height: 1100 mm", "height: 1050 mm"),
            "doors/E2.yaml": ("type: strike-12", "type: magnet-24"),
        },
        {SITE: set(), "E1": {("device", "changed", "S1")}, "E2": {("device", "swapped", "Y1")}},
    ),
    "another id": ({"doors/E2.yaml": ("door: E2", "door: E9")}, {"E9": set()}),
    "who drew": (
        {"site.yaml": ("drawn: P. Sedge", "drawn: R. Sedge")},
        {of: {("pages", "changed", of)} for of in (SITE, "E1", "E2")},
    ),
    "contacts, which only the cover has": ({"site.yaml": ("codes:", "contacts: {owner: Tide Mill}\ncodes:")}, {}),
}  # fmt: skip


@pytest.fixture(scope="module")
def after(tmp_path_factory: pytest.TempPathFactory) -> Callable[[str], Any]:
    """The record after edits of that name."""
    return cache(lambda name: record_of(edited(tmp_path_factory.mktemp("after") / "mill", EDITS[name][0])))


@pytest.mark.parametrize("name", sorted(EDITS))
def test_an_edit_is_told_at_the_doors_whose_hash_it_changes(before: Any, after: Callable[[str], Any], name: str) -> None:
    found = compare(before, after(name))
    then, now = doors_of(before), doors_of(after(name))
    other = {door for door in now if door not in then or now[door]["hash"] != then[door]["hash"]}
    assert {d.door for d in found.doors} == other == EDITS[name][1].keys()
    for door in found.doors:
        assert EDITS[name][1][door.door] <= {(c.of, c.how, c.name) for c in door.changes}, changes_text(found)
    assert found.doors or found.sheets == ("Door wiring packet",)


def test_a_door_with_another_id_is_relabelled(before: Any, after: Callable[[str], Any]) -> None:
    (found,) = compare(before, after("another id")).doors
    assert (found.how, found.was, found.door) == ("relabelled", "E2", "E9")


def test_copper_whose_letter_moves_up_is_no_other_copper(before: Any, after: Callable[[str], Any]) -> None:
    """The door contact's 0 V is gone, so those after it are relabelled, each with its own ends."""
    found = compare(before, after("another port of the fuse board, a device gone")).doors[-1]
    relabelled = {(c.old, c.new) for c in found.changes if (c.of, c.how) == ("conductor", "relabelled")}
    assert relabelled >= {("A102e", "A102d"), ("A102f", "A102e")}
    assert not any(c.how == "added" for c in found.changes if c.of == "conductor")


def test_files_reformatted_and_renamed_change_nothing(before: Any, tmp_path: Path) -> None:
    site = two_doors(tmp_path / "mill")
    door = site / "doors" / "E1.yaml"
    loaded = yaml.load(door.read_text(encoding="utf-8"), Loader=yaml.BaseLoader)  # all scalars as text
    door.unlink()
    (site / "doors" / "boats.yaml").write_text("# anew\n\n" + yaml.safe_dump(loaded, sort_keys=False), encoding="utf-8")
    found = compare(before, record_of(site))
    assert (found.doors, found.sheets) == ((), ())
    assert changes_text(found) == "no door changed"


def test_doors_come_and_go(before: Any) -> None:
    less = {**before, "doors": before["doors"][:1]}
    (gone,), (come,) = compare(before, less).doors, compare(less, before).doors
    assert (gone.door, gone.how, come.door, come.how) == ("E2", "removed", "E2", "added")


def test_a_record_without_its_sections_can_still_be_compared(before: Any) -> None:
    """As from before sections were told: the door is named, though not which pages."""
    old = {**before, "doors": [{k: v for k, v in d.items() if k != "sections"} for d in before["doors"]]}
    old["doors"][0]["hash"] = "0"
    (found,) = compare(old, before).doors
    assert [(c.of, c.how) for c in found.changes] == [("pages", "changed")]
    assert found.sections == ()


def test_readings_are_told_when_they_leave_their_old_band(before: Any) -> None:
    old = json.loads(json.dumps(before))
    door = old["doors"][0]
    door["hash"] = "0"
    within, over = door["readings"][0], door["readings"][1]
    within["least"], within["nominal"] = within["nominal"] / 2, within["nominal"] * 0.9
    over["most"] = over["nominal"] * 0.9
    (found,) = compare(old, before).doors
    assert [c.name for c in found.changes if c.of == "reading"] == [f"{' to '.join(over['between'])}, {over['state']}"]


def test_the_sheet_has_a_line_to_tick_for_each_thing_to_do(before: Any, after: Callable[[str], Any]) -> None:
    found = compare(before, after("another port of the fuse board, a device gone"))
    tables = [block for block in change_sheet(found).blocks if isinstance(block, Table)]
    assert len(tables) == len(found.doors)
    for table, door in zip(tables, found.doors, strict=True):
        assert [row[-2:] for row in table.rows[: len(door.changes)]] == [(c.old or "–", c.new or "–") for c in door.changes]
    moved = next(c for c in found.doors[1].changes if (c.of, c.how, c.name) == ("conductor", "moved", "FB105a"))
    assert (moved.old, moved.new) == ("FB1:F1+ to X1:s2", "FB1:F2+ to X1:s2")

"""The content hash: what it does not see, and what it must."""

from __future__ import annotations

import shutil
from collections.abc import Callable
from dataclasses import replace
from pathlib import Path

import pytest
import yaml

from tests.packet.by_hand import DOOR, wire_d101
from tests.packet.conftest import SPECS
from wiregen.drafting.sheet import draw_sheets
from wiregen.packet.bind import door_hash
from wiregen.reading.load import load_site
from wiregen.reading.model import Site, Where
from wiregen.review.model import Finding
from wiregen.study.study import study_door
from wiregen.wiring.wire import wire_site

FINDING = Finding(
    code="c", level="warn", message="m", cure="c", source="common practice", where=Where("doors/D101.yaml", 3, 1), door=DOOR
)


def _hash(site: Site, *findings: Finding) -> str:
    wiring, door = wire_d101(site), site.doors[DOOR]
    sheets = draw_sheets(site, door, wiring, (), findings, "")  # title block and notes
    return door_hash(site, door, wiring, study_door(site, door, wiring, wire_site(site)), findings, None, sheets)


def _copy(to: Path) -> Path:
    shutil.copytree(SPECS, to / "yard")
    shutil.copytree(SPECS.parent / "devices", to / "devices")
    return to / "yard"


def test_reformatting_and_renaming_a_spec_changes_nothing(site: Site, tmp_path: Path) -> None:
    folder = _copy(tmp_path)
    door = folder / "doors" / f"{DOOR}.yaml"
    loaded = yaml.load(door.read_text(encoding="utf-8"), Loader=yaml.BaseLoader)  # all scalars as text
    door.unlink()
    text = "# reformatted\n\n" + yaml.safe_dump(loaded, sort_keys=False, default_flow_style=False, width=40)
    (folder / "doors" / "another-name.yaml").write_text(text, encoding="utf-8")
    again = load_site(folder)
    assert again.doors[DOOR].where.file != site.doors[DOOR].where.file
    assert _hash(again) == _hash(site)


def test_a_finding_that_moves_in_its_file_changes_nothing(site: Site) -> None:
    moved = replace(FINDING, where=Where("elsewhere.yaml", 90, 7))
    assert _hash(site, moved) == _hash(site, FINDING)
    assert _hash(site, FINDING) != _hash(site)


CHANGES: dict[str, Callable[[str], str]] = {
    "doors/D101.yaml: mount": lambda text: text.replace("height: 1050 mm, box", "height: 1060 mm, box"),
    "doors/D101.yaml: name": lambda text: text.replace("name: Laboratory 1 ", "name: Laboratory 9 "),
    "doors/D101.yaml: run": lambda text: text.replace("38 m", "39 m"),
    "doors/D101.yaml: way out": lambda text: text.replace("leave-by: handle", "leave-by: bar"),
    "doors/D101.yaml: setting": lambda text: text.replace("exit: mask only", "exit: unlock"),
    "doors/D101.yaml: revision": lambda text: text.replace("2026-11-20", "2026-11-26"),
    "site.yaml: code basis": lambda text: text.replace("EN 13637, 2015", "EN 13637, 2024"),
    "site.yaml: who drew": lambda text: text.replace("drawn: M. Alder", "drawn: N. Alder"),
    "site.yaml: shared device": lambda text: text.replace("by: network firm", "by: another firm", 1),
    "../devices/strike-12.yaml: ratings": lambda text: text.replace("40 ohm", "41 ohm"),
    "../devices/reader-controller.yaml: lights": lambda text: text.replace("white: idle", "amber: idle"),
}


@pytest.mark.parametrize("change", sorted(CHANGES))
def test_a_printed_fact_that_changes_changes_it(site: Site, tmp_path: Path, change: str) -> None:
    folder = _copy(tmp_path)
    path = folder / change.split(":")[0]
    before = path.read_text(encoding="utf-8")
    after = CHANGES[change](before)
    assert after != before
    path.write_text(after, encoding="utf-8")
    assert _hash(load_site(folder)) != _hash(site)


def test_another_door_s_change_leaves_it_alone(site: Site, tmp_path: Path) -> None:
    folder = _copy(tmp_path)
    path = folder / "doors" / "D104.yaml"
    path.write_text(path.read_text(encoding="utf-8").replace("name: Seed hall", "name: Seed vault"), encoding="utf-8")
    assert _hash(load_site(folder)) == _hash(site)

"""What the comparison says, and that it follows the spec: one length changed changes the winner."""

from __future__ import annotations

import json
import shutil
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest

from tests.cli.run import ROOT, two_doors, wiregen
from tests.demo import fed
from wiregen.build import ways_to_feed
from wiregen.feeds.model import Judged
from wiregen.feeds.rank import ranked, recommended
from wiregen.feeds.table import feeds_text, rows
from wiregen.packet.content import Table
from wiregen.packet.datasheet import data_sheet
from wiregen.reading.load import load_site
from wiregen.study.model import Study
from wiregen.wiring.wire import wire_door


def ways(folder: Path, door: str) -> tuple[Judged, ...]:
    return ways_to_feed(folder, load_site(folder), [door])[door]


def once(work: Callable[..., Any]) -> Callable[..., Any]:
    """Works once, and then gives the same again."""
    found: list[Any] = []

    def again(*given: Any, **options: Any) -> Any:
        if not found:
            found.append(work(*given, **options))
        return found[0]

    return again


def named(judged: tuple[Judged, ...], name: str) -> Judged:
    (one,) = (one for one in judged if one.candidate.name == name)
    return one


@pytest.fixture(scope="module")
def server_room(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The demo's site with door D105 alone."""
    specs = tmp_path_factory.mktemp("specs")
    shutil.copytree(ROOT / "door_specs", specs, dirs_exist_ok=True)
    for path in (specs / "fernhill" / "doors").glob("*.yaml"):
        if path.stem != "D105":
            path.unlink()
    site = specs / "fernhill" / "site.yaml"
    site.write_text(site.read_text("utf-8").split("joint:")[0], "utf-8")
    return specs / "fernhill"


@pytest.fixture(scope="module")
def compared() -> tuple[Judged, ...]:
    return fed("fernhill", "D105")


def test_one_length_changes_the_winner(server_room: Path, compared: tuple[Judged, ...]) -> None:
    near = recommended(compared)
    assert near is not None
    assert near.candidate.controller == "FB2"
    door = server_room / "doors" / "D105.yaml"
    text = door.read_text("utf-8")
    assert "box: [closet-1, 18 m]" in text
    try:
        door.write_text(text.replace("box: [closet-1, 18 m]", "box: [closet-1, 260 m]"), "utf-8")
        far = ways(server_room, "D105")
    finally:
        door.write_text(text, "utf-8")
    best = recommended(far)
    assert best is None or best.candidate.controller != "FB2"
    lost = named(far, near.candidate.name)
    assert not lost.passes
    assert lost.cure


def test_the_feeds_of_the_spec_stand_among_the_ways(compared: tuple[Judged, ...]) -> None:
    names = {one.candidate.feed for one in compared}
    assert {"port", "splitter", "local", "central"} <= names
    assert named(compared, "feed splitter (as written)").devices == {}
    assert named(compared, "feed port").devices == {"splitter-12": -1}


def test_what_volts_forbid_is_told_with_a_cure(compared: tuple[Judged, ...]) -> None:
    one = named(compared, "lock: FB2")
    assert not one.passes
    assert "27.3 V" in one.wrong
    assert "Y1" in one.cure


def test_only_batteries_count_in_a_mains_failure(compared: tuple[Judged, ...]) -> None:
    assert named(compared, "controller: FB2, lock: controller").on_battery == 2
    assert named(compared, "feed port").on_battery == 0
    assert "goes dead" in named(compared, "feed port").mains


def test_a_way_that_passes_comes_before_one_that_does_not(compared: tuple[Judged, ...]) -> None:
    passes = [one.passes for one in ranked(compared)]
    assert passes == sorted(passes, reverse=True)


def test_no_two_ways_have_one_name(compared: tuple[Judged, ...]) -> None:
    names = [one.candidate.name for one in compared]
    assert len(names) == len(set(names))


def test_the_limiting_figure_is_the_tightest_that_the_feed_decides(compared: tuple[Judged, ...]) -> None:
    for one in compared:
        if one.limiting is not None:
            assert one.limiting in one.figures
            assert one.limiting.topic not in ("screw", "conduit")


def test_text_marks_the_recommended_way(compared: tuple[Judged, ...]) -> None:
    text = feeds_text("D105", compared)
    assert text.count("(recommended)") == 1
    assert all(row[0] in text for row in rows(compared))


def test_the_data_sheet_prints_the_comparison_only_where_there_is_one(server_room: Path, compared: tuple[Judged, ...]) -> None:
    site = load_site(server_room)
    door = site.doors["D105"]
    wiring = wire_door(site, door)
    told = tuple(rows(compared))
    tables = {}
    for given in ((), told):
        sheet = data_sheet(site, door, wiring, (), Study(door=door.id, ways=given))
        tables[len(given)] = [b for b in sheet.blocks if isinstance(b, Table)]
    assert not [t for t in tables[0] if t.caption.startswith("Ways to feed")]
    (table,) = [t for t in tables[len(told)] if t.caption.startswith("Ways to feed")]
    assert table.rows == told
    assert len(table.columns) == len(told[0])


# ---- fire ------------------------------------------------------------------------------------------------------------


def test_a_way_that_would_lose_the_fire_release_gets_a_free_fire_contact() -> None:
    judged = fed("fernhill", "D102")
    assert "by FA1.c-" in named(judged, "lock: FB2").fire
    assert named(judged, "as written").fire == "Y1 freed: its supply drops"


# ---- the command -----------------------------------------------------------------------------------------------------


def test_json_holds_what_text_holds(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """Of one comparison, told twice."""
    site = two_doors(tmp_path / "mill")
    monkeypatch.setattr("wiregen.build.ways_to_feed", once(ways_to_feed))
    done = wiregen("feeds", site, "--door", "E1", "--format", "json")
    assert done.returncode in (0, 1), done.stderr
    (data,) = json.loads(done.stdout)
    assert data["door"] == "E1"
    text = wiregen("feeds", site, "--door", "E1").stdout
    for way in data["ways"]:
        assert way["name"] in text


@pytest.mark.parametrize(
    ("arguments", "told"),
    [
        ((), "feeds needs a door"),
        (("--door", "D1O5"), "has no door D1O5"),
        (("--door", "D105", "--format", "sarif"), "no SARIF form"),
    ],
)
def test_what_cannot_be_asked_for(arguments: tuple[str, ...], told: str) -> None:
    done = wiregen("feeds", ROOT / "door_specs" / "fernhill", *arguments)
    assert done.returncode == 2
    assert told in done.stderr
    assert "Traceback" not in done.stderr

"""A door list becomes specs that pass, or messages at its cells; it is never half entered and overwrites nothing."""

from __future__ import annotations

import csv
import io
import json
import re
import shutil
from pathlib import Path

import pytest

from tests.cli.run import wiregen
from tests.entering.conftest import HERE
from tests.small_site import ROOT
from wiregen.reading.load import load_site
from wiregen.reading.model import Site


@pytest.fixture(scope="module")
def site(forty: Path) -> Site:
    return load_site(forty)


def listed() -> list[dict[str, str]]:
    """The rows of the list as the standard library reads them."""
    text = (HERE / "forty.csv").read_text("utf-8-sig")
    _, _, headings, *rows = csv.reader(io.StringIO(text, newline=""), delimiter=";")
    return [dict(zip(headings, row, strict=True)) for row in rows]


def test_forty_rows_are_forty_doors_of_every_kit(site: Site) -> None:
    rows = listed()
    assert len(rows) == 40
    assert {row["Mark"]: (row["Room name"], row["Door type"]) for row in rows} == {
        door.id: (door.name, door.kit) for door in site.doors.values()
    }
    assert {door.kit for door in site.doors.values()} == {path.stem for path in (ROOT / "door_specs" / "kits").glob("*.yaml")}


def test_all_forty_pass(forty: Path) -> None:
    done = wiregen("check", forty, "--format", "json")
    findings = json.loads(done.stdout)["findings"]
    assert [finding for finding in findings if finding["level"] != "note"] == []
    assert done.returncode == 0


@pytest.mark.sweep
def test_forty_doors_make_a_packet(forty: Path, tmp_path: Path) -> None:
    assert wiregen("packet", forty, "-o", tmp_path / "out").returncode == 0
    assert len(list((tmp_path / "out" / "sheets").glob("*.svg"))) >= 40


def test_what_a_row_says_stands_in_its_spec(site: Site) -> None:
    for row in listed():
        door = site.doors[row["Mark"]]
        (root,) = (run for run in door.runs.values() if run.parent not in door.runs)
        if row["Run (m)"]:
            loose = row["Run (m)"].startswith(("~", "about"))
            metres = float(re.sub(r"[^\d.]", "", row["Run (m)"].replace(",", ".")))
            assert (root.length.nominal, root.length.assumed) == (metres, loose)
        else:
            assert root.length.assumed
        if row["Length to outside (m)"]:
            assert door.runs["outside"].length.nominal == float(row["Length to outside (m)"].replace(",", "."))
        assert root.parent == (row["Cable from"] or "house")
        assert door.about == {"Level": row["Level"]}
        assert door.feed == (row["Fed from"] or None if door.feeds else None)
        for note in row["Remarks"].splitlines():
            assert note in door.notes


def test_no_outlet_is_used_twice(site: Site) -> None:
    """Ports, fuses and fire contacts: those of one door alone, though its circuits may share them."""
    users: dict[str, set[str]] = {}
    for door in site.doors.values():
        for device in door.devices.values():
            for relation in device.relations:
                for target in relation.targets:
                    if target.device in site.shared:
                        users.setdefault(str(target), set()).add(door.id)
    assert len(users) > 60
    assert {outlet: doors for outlet, doors in users.items() if len(doors) > 1} == {}


def test_what_is_to_be_free_on_fire_hangs_where_fire_switches_off(site: Site) -> None:
    boards = {
        door.id: {r.target.device for r in door.devices["Y1"].relations if r.kind == "from"} & set(site.shared)
        for door in site.doors.values()
        if "Y1" in door.devices
    }
    dropped = {"FB1", "FB3", "FB5"}  # on the outputs that the fire input of their supply switches off
    for door, on in boards.items():
        if on:
            assert bool(on & dropped) == (site.doors[door].want.get("fire") == "free"), door


def test_each_begins_with_the_schema_that_editors_look_for(forty: Path) -> None:
    for path in (forty / "doors").iterdir():
        line = path.read_text("utf-8").splitlines()[0]
        head, _, schema = line.partition("=")
        assert head == "# yaml-language-server: $schema"
        assert (path.parent / schema).resolve() == ROOT / "schemas" / "door.json"


def test_the_demo_has_that_line_too() -> None:
    for path in (ROOT / "door_specs").rglob("*.yaml"):
        head, _, schema = path.read_text("utf-8").splitlines()[0].partition("=")
        assert head == "# yaml-language-server: $schema", path
        assert (path.parent / schema).resolve().parent == ROOT / "schemas", path


DOOR = "door: D1\nname: Old\nlike: strike\nruns: {box: [house, 3 m]}\ndevices: {A1: {from: N1.p-1}}\n"


def test_each_broken_row_has_its_message_and_nothing_is_written(orchard: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    (orchard / "doors").mkdir()
    (orchard / "doors" / "D1.yaml").write_text(DOOR, encoding="utf-8")
    shutil.copy(HERE / "broken.csv", orchard.parent / "list.csv")
    monkeypatch.chdir(orchard.parent)
    done = wiregen("new", "doors", "orchard", "--from", "list.csv")
    assert (done.returncode, done.stdout, done.stderr) == (2, "", (HERE / "broken.txt").read_text("utf-8"))
    assert [path.name for path in (orchard / "doors").iterdir()] == ["D1.yaml"]


@pytest.mark.parametrize(
    ("raw", "said"),
    [
        (b"", "list.csv:1:1: no row of headings"),
        (b"door,name\nA,b\n", "list.csv:1:1: no column for the kit"),
        (b"door,kit\n", "list.csv:1:1: there is no door below the headings"),
        (b"door,name,hardwar set\nA,b,strike\n", "list.csv:1:11: there is no column hardwar set"),
        (b"Door;Kit;Type\nA;b;c\n", "list.csv:1:10: Type: a second column for kit"),
        (b'door,kit\nA,"strike\nB,strike\n', "list.csv:2:3: the cell begins with a quote that is not closed"),
        (b"door,kit\n\xe9,strike\n", "list.csv:2:1: the list is not UTF-8 text"),
        ("door,kit\nA,strike\n".encode("utf-16"), "list.csv:1:1: the list is not UTF-8 text"),
        (b"x" * 1_000_001, "list.csv:1:1: the list is larger than 1 MB"),
        (b"door,kit,feed\nA,strike,FB1\n", "list.csv:2:10: A: nothing of the kit is open for FB1"),
        (b"door,kit,feed\nA,magnet,FB1.f-1\nB,magnet,FB1.f-1\n", "list.csv:3:10: B: nothing of the kit is open for FB1.f-1"),
    ],
)  # fmt: skip
def test_a_list_that_cannot_be_read(raw: bytes, said: str, orchard: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    (orchard.parent / "list.csv").write_bytes(raw)
    monkeypatch.chdir(orchard.parent)
    done = wiregen("new", "doors", "orchard", "--from", "list.csv")
    first, *_, last = done.stderr.splitlines()
    assert (done.returncode, first, last) == (2, said, "1 problem: nothing was written")
    assert not (orchard / "doors").exists()


def test_what_the_site_has_not_enough_of_is_said_at_the_row(orchard: Path) -> None:
    text = (orchard / "site.yaml").read_text("utf-8")
    (orchard / "site.yaml").write_text(text.replace("  FA1..2:", "  FA1:"), encoding="utf-8")
    rows = [f"M{n},magnet,N1 FB2" for n in range(1, 8)]  # FB2 goes on during a fire: each needs a contact of five
    (orchard.parent / "list.csv").write_text("\n".join(["door,kit,feed", *rows]), encoding="utf-8")
    done = wiregen("new", "doors", orchard, "--from", orchard.parent / "list.csv")
    said = [line.partition("list.csv:")[2] for line in done.stderr.splitlines() if "list.csv" in line]
    wrong = "Y1 is to be free on fire, and no fire contact is free"
    assert said == [f"7:11: M6: {wrong}", f"8:11: M7: {wrong}"]


def test_a_second_time_everything_is_already_there(forty: Path) -> None:
    before = {path: path.read_bytes() for path in (forty / "doors").iterdir()}
    done = wiregen("new", "doors", forty, "--from", HERE / "forty.csv")
    assert done.returncode == 2
    assert done.stderr.count("is already there, in") == 40
    assert {path: path.read_bytes() for path in (forty / "doors").iterdir()} == before

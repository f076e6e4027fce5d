"""A site of more doors than a volume holds: the same doors, bound in several, each with its tables, and a record for each."""

from __future__ import annotations

import csv
import io
import json
from collections.abc import Iterator
from pathlib import Path
from shutil import copytree

import openpyxl
import pytest

from tests.keeping.sites import quick_site
from tests.packet.pages import texts
from wiregen.build import examine
from wiregen.changes.sides import NotFound, kept_record
from wiregen.keeping.store import Store
from wiregen.making import bound_record, files_of, make, replaced
from wiregen.output import made as made_file
from wiregen.output import write

VOLUMES = ("packet.pdf", "volumes/1.pdf", "volumes/2.pdf")
OF_ALL = {"sections", "contents", "stands"}  # in the record: of the sheets that a site in one packet has besides


@pytest.fixture
def small(monkeypatch: pytest.MonkeyPatch) -> None:
    """Two doors a volume."""
    monkeypatch.setattr("wiregen.making.WHOLE", 2)
    monkeypatch.setattr("wiregen.making.VOLUME", 2)


@pytest.fixture(scope="module")
def folder(tmp_path_factory: pytest.TempPathFactory) -> Path:
    return tmp_path_factory.mktemp("three")


@pytest.fixture(scope="module")
def made(folder: Path) -> tuple[dict[str, bytes], dict[str, bytes]]:
    """Three doors in one volume, and in volumes of two; of the doors the pages that were kept."""
    examined = examine(quick_site(folder / "weir", doors=3), store=Store(folder / "kept"))
    whole = make(examined)
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr("wiregen.making.WHOLE", 2)
        patch.setattr("wiregen.making.VOLUME", 2)
        return whole, make(examined)


def test_each_door_is_in_one_volume_as_it_is_in_a_packet_of_one(made: tuple[dict[str, bytes], dict[str, bytes]]) -> None:
    whole, parted = made
    assert {name for name in parted if name.endswith(".pdf")} == set(VOLUMES)
    titles = [text.split("\n")[0] for text in texts(whole["packet.pdf"])]
    volumes = {name: [text.split("\n")[0] for text in texts(parted[name])] for name in VOLUMES}
    for door, volume in (("E1", 1), ("E2", 1), ("E3", 2)):
        pages = [title for title in titles if title.startswith(f"{door} ")]
        assert [title for title in volumes[f"volumes/{volume}.pdf"] if title.startswith(f"{door} ")] == pages
        assert sum(title.startswith(f"{door} ") for of in volumes.values() for title in of) == len(pages)


def test_pages_are_numbered_by_volume(made: tuple[dict[str, bytes], dict[str, bytes]]) -> None:
    for name in VOLUMES:
        pages = texts(made[1][name])
        assert all(f"page {number} of {len(pages)}" in text for number, text in enumerate(pages, 1))


def test_the_packet_says_in_which_volume_a_door_is(made: tuple[dict[str, bytes], dict[str, bytes]]) -> None:
    (index,) = (text for text in texts(made[1]["packet.pdf"]) if text.startswith("Tern Weir Index"))
    lines = [line for line in index.split("\n") if " Store " in line]
    assert lines == ["E1 Store 1 A 1", "E2 Store 2 A 1", "E3 Store 3 A 2"]


def test_what_is_told_of_a_door_stands_in_its_volume(made: tuple[dict[str, bytes], dict[str, bytes]]) -> None:
    """Every cable, device with its people and setting, way out and finding of a door that one packet tells of."""
    sheets = ("Cable schedule and pull list", "Responsibilities", "Settings", "Egress and fire release", "Sign-off", "Findings")
    for volume, doors in ((1, ("E1", "E2")), (2, ("E3",))):
        pages = texts(made[1][f"volumes/{volume}.pdf"])
        for sheet in sheets:
            (text,) = (page for page in pages if page.startswith(f"Tern Weir {sheet}"))
            assert all(door in text for door in doors) or sheet == "Findings"
            assert not [door for door in ("E1", "E2", "E3") if door not in doors and f"\n{door}" in text]


def test_the_tables_of_the_volumes_are_those_of_one_packet(made: tuple[dict[str, bytes], dict[str, bytes]]) -> None:
    whole, parted = made
    for name in (name for name in whole if name.startswith("tables/")):
        table = name.removeprefix("tables/")
        parts = [name, *(f"volumes/{n}-{table}" for n in (1, 2))]
        told = [row for part in parts if part in parted for row in _rows(parted[part])[1:]]
        titles, *rows = _rows(whole[name])
        assert all(_rows(parted[part])[0] == titles for part in parts if part in parted)
        assert sorted(told) == sorted(rows)
    for number in (1, 2):
        book = openpyxl.load_workbook(io.BytesIO(parted[f"volumes/{number}-tables.xlsx"]))
        tables = {name for name in parted if name.startswith(f"volumes/{number}-") and name.endswith(".csv")}
        assert {f"volumes/{number}-{name}.csv" for name in book.sheetnames} == tables
        assert {book[name].max_row for name in ("terminations",)} == {len(_rows(parted[f"volumes/{number}-terminations.csv"]))}


def _rows(content: bytes) -> list[list[str]]:
    return list(csv.reader(io.StringIO(content.decode(), newline="")))


def test_each_door_has_its_record(made: tuple[dict[str, bytes], dict[str, bytes]]) -> None:
    whole, parted = made
    doors = {door["id"]: door for door in json.loads(whole["record.json"])["doors"]}
    assert {name: json.loads(parted[f"records/{name}.json"]) for name in doors} == doors
    assert json.loads(parted["record.json"])["doors"] == []
    of_whole, of_parts = (json.loads(of["record.json"])["site"] for of in (whole, parted))
    assert {key: of_parts[key] for key in of_parts.keys() - OF_ALL} == {key: of_whole[key] for key in of_whole.keys() - OF_ALL}
    bound = json.loads(parted["record.json"])["pages"]
    assert sum(each["pages"] for each in bound) == sum(len(texts(parted[name])) for name in VOLUMES)


def test_a_record_that_was_kept_is_compared_with_all_its_doors(
    made: tuple[dict[str, bytes], dict[str, bytes]], tmp_path: Path
) -> None:
    whole, parted = made
    write(tmp_path, [made_file(*file) for file in parted.items()])
    record = kept_record(str(tmp_path))
    assert record is not None
    assert record["doors"] == json.loads(whole["record.json"])["doors"]
    (tmp_path / "records" / "E2.json").unlink()
    with pytest.raises(NotFound, match=r"E2\.json: cannot be read: .* beside it"):
        kept_record(str(tmp_path))


@pytest.mark.usefixtures("small")
def test_what_is_issued_of_volumes_holds_all_their_doors(folder: Path, made: tuple[dict[str, bytes], dict[str, bytes]]) -> None:
    told = bound_record(examine(folder / "weir", store=Store(folder / "kept")), to_issue=True)
    assert [door["id"] for door in told["doors"]] == ["E1", "E2", "E3"]
    assert all(door["content"] for door in told["doors"])


@pytest.mark.usefixtures("small")
def test_only_the_volumes_with_doors_that_changed_have_a_change_packet(folder: Path, tmp_path: Path) -> None:
    site, store = copytree(folder / "weir", tmp_path / "weir"), Store(folder / "kept")
    held = bound_record(examine(site, store=store))
    spec = site / "doors" / "E3.yaml"
    spec.write_text(spec.read_text("utf-8").replace("Store 3", "Store three"), encoding="utf-8")
    packets = dict(replaced(examine(site, store=store), held, "A"))
    assert list(packets) == ["volumes/2.pdf", "packet.pdf"]
    cover, *pages = texts(packets["volumes/2.pdf"])
    assert "E3 Store three" in cover
    assert all("E1" not in text and "E2" not in text for text in pages)
    assert sum("E3" in text for text in pages) >= sum(each["pages"] for each in held["pages"] if each["of"] == "E3")


@pytest.mark.usefixtures("small")
def test_a_volume_of_which_no_door_has_changed_is_not_made_again(folder: Path, tmp_path: Path) -> None:
    site, out, store = copytree(folder / "weir", tmp_path / "weir"), tmp_path / "out", Store(folder / "kept")
    made: list[str] = []

    def build() -> dict[str, str]:
        made.clear()
        return write(out, _watched(files_of(examine(site, store=store))), whole=True)

    def _watched(files: Iterator) -> Iterator:  # type: ignore[type-arg]
        for file in files:
            yield type(file)(file.name, file.digest, lambda file=file: (made.append(file.name), file.make())[1])

    first = build()
    assert set(made) == set(first)
    spec = site / "doors" / "E3.yaml"
    spec.write_text(spec.read_text("utf-8").replace("Store 3", "Store three"), encoding="utf-8")
    second = build()
    assert "volumes/2.pdf" in made
    assert not [name for name in made if name.startswith(("volumes/1", "records/E1", "records/E2", "sheets/E1", "sheets/E2"))]
    (out / "volumes" / "1.pdf").write_bytes(b"damaged")
    third = build()
    assert "volumes/1.pdf" in made
    assert third == second == write(tmp_path / "fresh", files_of(examine(site)), whole=True)

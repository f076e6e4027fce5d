"""A site of more doors than a volume holds: the same doors, bound in several, and a record for each."""

from __future__ import annotations

import json

import pytest

from tests.keeping.sites import quick_site
from tests.packet.pages import texts
from wiregen.build import examine
from wiregen.keeping.store import Store
from wiregen.making import make


@pytest.fixture(scope="module")
def made(tmp_path_factory: pytest.TempPathFactory) -> tuple[dict[str, bytes], dict[str, bytes]]:
    """Three doors in one volume, and in volumes of two; of the doors the pages that were kept."""
    folder = tmp_path_factory.mktemp("three")
    examined = examine(quick_site(folder / "weir", doors=3), store=Store(folder / "kept"))
    whole = make(examined)
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr("wiregen.making.WHOLE", 2)
        patch.setattr("wiregen.making.VOLUME", 2)
        return whole, make(examined)


def test_each_door_is_in_one_volume_as_it_is_in_a_packet_of_one(made: tuple[dict[str, bytes], dict[str, bytes]]) -> None:
    whole, parted = made
    assert {name for name in parted if name.endswith(".pdf")} == {"packet.pdf", "volumes/1.pdf", "volumes/2.pdf"}
    titles = [text.split("\n")[0] for text in texts(whole["packet.pdf"])]
    volumes = {name: [text.split("\n")[0] for text in texts(parted[name])] for name in parted if name.endswith(".pdf")}
    for door, volume in (("E1", 1), ("E2", 1), ("E3", 2)):
        pages = [title for title in titles if title.startswith(f"{door} ")]
        assert [title for title in volumes[f"volumes/{volume}.pdf"] if title.startswith(f"{door} ")] == pages
        assert sum(title.startswith(f"{door} ") for of in volumes.values() for title in of) == len(pages)


def test_pages_are_numbered_by_volume(made: tuple[dict[str, bytes], dict[str, bytes]]) -> None:
    for name in ("packet.pdf", "volumes/1.pdf", "volumes/2.pdf"):
        pages = texts(made[1][name])
        assert all(f"page {number} of {len(pages)}" in text for number, text in enumerate(pages, 1))


def test_the_packet_says_in_which_volume_a_door_is(made: tuple[dict[str, bytes], dict[str, bytes]]) -> None:
    (index,) = (text for text in texts(made[1]["packet.pdf"]) if text.startswith("Tern Weir Index"))
    lines = [line for line in index.split("\n") if " Store " in line]
    assert lines == ["E1 Store 1 A 1", "E2 Store 2 A 1", "E3 Store 3 A 2"]


def test_each_door_has_its_record(made: tuple[dict[str, bytes], dict[str, bytes]]) -> None:
    whole, parted = made
    doors = {door["id"]: door for door in json.loads(whole["record.json"])["doors"]}
    assert {name: json.loads(parted[f"records/{name}.json"]) for name in doors} == doors
    assert json.loads(parted["record.json"])["doors"] == []
    assert json.loads(parted["record.json"])["site"] == json.loads(whole["record.json"])["site"]

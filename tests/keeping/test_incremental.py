"""What was kept gives the bytes that a build from nothing gives, whatever was edited in between."""

from __future__ import annotations

import json
import re
import shutil
from collections.abc import Mapping
from hashlib import sha256
from pathlib import Path
from random import Random
from typing import Any

import pytest
from hypothesis import Phase, given, settings
from hypothesis import strategies as st

from tests.keeping.sites import edit, quick_site
from tests.packet.pages import texts
from wiregen.build import Examined, examine
from wiregen.changes.compare import compare
from wiregen.keeping.store import Store
from wiregen.making import files_of
from wiregen.reading.model import Problem, SpecError

CODE = r"(E\d+|site|weir) [^\n·]{1,40}? ([0-9A-F]{8})"  # door, revision, first digits of the hash
BOOK = re.compile(r"packet\.pdf|volumes/\d+\.pdf")
FOOT = re.compile(rf"page \d+ of \d+ · {CODE}|{CODE} page \d+ of \d+")


class Bench:
    """A site that is edited again and again: built with what is kept, and from nothing."""

    def __init__(self, folder: Path) -> None:
        self.site = quick_site(folder / "weir")
        self.backup = folder / "before"
        self.store = Store(folder / "kept")
        self.files = _made(examine(self.site, store=self.store), False)
        self.printed = _by_door(self.files)

    def edited(self, random: Random) -> None:
        """Edits; a change after which the specs cannot be used is told alike and taken back."""
        shutil.rmtree(self.backup, ignore_errors=True)
        shutil.copytree(self.site, self.backup)
        told = [edit(self.site, random) for _ in range(random.choice((1, 1, 2)))]
        fresh = _or_problems(self.site, None)
        if not isinstance(fresh, Examined):
            assert _or_problems(self.site, self.store) == fresh, told
            shutil.rmtree(self.site)
            shutil.copytree(self.backup, self.site)
            return
        was, then = self.printed, _record(self.files)
        examined, in_volumes = examine(self.site, store=self.store), random.random() < 0.5
        self.files = _made(examined, in_volumes)
        assert examined.findings == fresh.findings, told
        wanted = _made(fresh, in_volumes)
        assert {name for name in wanted if wanted[name] != self.files.get(name)} == set(), told
        assert self.files.keys() == wanted.keys()
        now = self.printed = _by_door(self.files)
        for door in was.keys() & now.keys():
            same_hash = was[door][0] == now[door][0]
            assert same_hash == (was[door][1] == now[door][1]), (door, told)
        found = compare(then, _record(self.files)).doors
        other = {door for door in was.keys() & now.keys() if was[door] != now[door]} | (was.keys() ^ now.keys())
        assert {each.door for each in found} | {each.was for each in found if each.was} == other, told


def _made(examined: Examined, in_volumes: bool) -> dict[str, bytes]:
    """All files, and each as its hash says where that is known; in one packet or with a volume for each door."""
    made: dict[str, bytes] = {}
    with pytest.MonkeyPatch.context() as patch:
        if in_volumes:
            patch.setattr("wiregen.making.WHOLE", 0)
            patch.setattr("wiregen.making.VOLUME", 1)
        for file in files_of(examined):
            made[file.name] = file.make()
            assert file.digest in (None, sha256(made[file.name]).hexdigest()), file.name
    return made


def _record(files: Mapping[str, bytes]) -> dict[str, Any]:
    """With its doors, wherever their records are."""
    record: dict[str, Any] = json.loads(files["record.json"])
    record["doors"] += [json.loads(content) for name, content in files.items() if name.startswith("records/")]
    return record


def _or_problems(site: Path, store: Store | None) -> Examined | tuple[Problem, ...]:
    try:
        return examine(site, store=store)
    except SpecError as error:
        return error.problems


def _by_door(files: Mapping[str, bytes]) -> dict[str, tuple[str, list[str]]]:
    """For each door its printed hash and the text of its pages without hash and page numbers."""
    found: dict[str, tuple[str, list[str]]] = {}
    books = [content for name, content in sorted(files.items()) if BOOK.fullmatch(name)]
    for text in (text for book in books for text in texts(book)):
        foot = FOOT.search(text)
        assert foot, text[-300:]
        door, digest = filter(None, foot.groups())
        if door == "weir":  # the sheets of the site, each with its own
            continue
        told = found.setdefault(door, (digest, []))
        assert told[0] == digest
        told[1].append(re.sub(r"page \d+ of \d+", "", text).replace(digest, ""))
    return found


@pytest.fixture(scope="module")
def bench(tmp_path_factory: pytest.TempPathFactory) -> Bench:
    return Bench(tmp_path_factory.mktemp("kept"))


@settings(max_examples=20, deadline=None, phases=[Phase.generate])  # edits add up: none can be tried again without the others
@given(seed=st.integers(0, 2**32 - 1))
def test_a_random_edit(bench: Bench, seed: int) -> None:
    bench.edited(Random(seed))


@pytest.mark.sweep
@settings(max_examples=1000, deadline=None, phases=[Phase.generate])
@given(seed=st.integers(0, 2**32 - 1))
def test_a_thousand_random_edits(bench: Bench, seed: int) -> None:
    bench.edited(Random(seed))

"""What is kept on disk: whole or not there, and not for ever."""

from __future__ import annotations

import os
from pathlib import Path
from time import time

from tests.keeping.sites import quick_site
from wiregen.keeping.canon import Canon
from wiregen.keeping.store import MONTH, Store
from wiregen.reading.load import load_site
from wiregen.reading.model import Where
from wiregen.reading.view import Views


def test_what_is_kept_is_read_back_and_what_is_damaged_is_not_there(tmp_path: Path) -> None:
    store = Store(tmp_path / "kept")
    store.write("made", "a" * 64, b"all of it")
    assert store.read("made", "a" * 64) == b"all of it"
    assert store.read("made", "b" * 64) is None
    (file,) = (tmp_path / "kept").iterdir()
    file.write_bytes(file.read_bytes()[:-1])
    assert store.read("made", "a" * 64) is None


def test_a_folder_that_cannot_be_made_keeps_nothing(tmp_path: Path) -> None:
    (tmp_path / "file").write_text("in the way")
    store = Store(tmp_path / "file" / "kept")
    store.write("made", "a" * 64, b"all of it")
    assert store.read("made", "a" * 64) is None


def test_what_nobody_asked_for_in_a_month_goes(tmp_path: Path) -> None:
    store = Store(tmp_path)
    for key in ("old", "asked for", "new"):
        store.write("made", key, b"x")
    for key in ("old", "asked for"):
        os.utime(tmp_path / f"{key}.made", (time() - MONTH - 10,) * 2)
    store.read("made", "asked for")
    store.tidy()
    assert {path.stem for path in tmp_path.glob("*.made")} == {"asked for", "new"}
    os.utime(tmp_path / "new.made", (time() - MONTH - 10,) * 2)
    store.tidy()  # looked on this day
    assert (tmp_path / "new.made").exists()


def test_what_names_a_place_elsewhere_is_not_kept(tmp_path: Path) -> None:
    """It would name that of the first of two copies of a site for ever."""
    site = load_site(quick_site(tmp_path / "weir"))
    seen = Views(site).of("E1")
    canon = Canon(seen)
    for key, where in (("here", seen.doors["E1"].where), ("elsewhere", Where("somewhere.yaml", 1, 1))):
        Store(tmp_path / "kept").put("made", key, ("told of", where), seen, canon)
    assert [path.stem for path in (tmp_path / "kept").iterdir()] == ["here"]
    copy = load_site(quick_site(tmp_path / "other" / "weir"))
    again = Views(copy).of("E1")
    assert Canon(again).digest == canon.digest
    kept = Store(tmp_path / "kept").get("made", "here", again, Canon(again))
    assert kept == ("told of", copy.doors["E1"].where)

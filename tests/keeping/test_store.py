"""What is kept on disk: whole or not there, and not for ever."""

from __future__ import annotations

import os
from pathlib import Path
from time import time

from wiregen.keeping.store import MONTH, Store


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
    assert {path.stem for path in tmp_path.iterdir()} == {"asked for", "new"}

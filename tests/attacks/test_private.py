"""An exposure file is its owner's alone, and takes the place of nothing but an earlier one."""

from __future__ import annotations

import os
from pathlib import Path

import pytest

from wiregen.attacks.private import FIRST, NotOurs, write_private


def test_it_is_private_whatever_the_umask(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    modes, put = [], os.replace

    def watched(beside: Path, place: Path) -> None:
        modes.append(beside.stat().st_mode & 0o777)
        put(beside, place)

    monkeypatch.setattr(os, "replace", watched)
    before = os.umask(0)
    try:
        write_private(tmp_path / "a", f"{FIRST}: one")
        os.chmod(tmp_path / "a", 0o644)
        write_private(tmp_path / "a", f"{FIRST}: two")
    finally:
        os.umask(before)
    assert modes == [0o600, 0o600]
    assert (tmp_path / "a").stat().st_mode & 0o777 == 0o600
    assert (tmp_path / "a").read_text("utf-8") == f"{FIRST}: two"
    assert [path.name for path in tmp_path.iterdir()] == ["a"]


def test_what_is_not_ours_stays(tmp_path: Path) -> None:
    (tmp_path / "mine").write_text("my notes", "utf-8")
    (tmp_path / "link").symlink_to(tmp_path / "mine")
    (tmp_path / "folder").mkdir()
    for name in ("mine", "link", "folder"):
        with pytest.raises(NotOurs):
            write_private(tmp_path / name, FIRST)
    assert (tmp_path / "mine").read_text("utf-8") == "my notes"

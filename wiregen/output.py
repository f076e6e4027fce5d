"""The output folder: files written whole or not at all, and files of vanished doors taken away.

Nothing in the folder changes before every new file lies complete and flushed beside its place, so a full disk or a
crash leaves the packet that was there.
"""

from __future__ import annotations

import json
import os
import tempfile
from collections.abc import Mapping
from contextlib import suppress
from pathlib import Path, PurePosixPath

RECORD = "record.json"
OURS = ("sheets", "tables", "doors")  # folders in which a file of an earlier record may be removed


def stale(folder: Path, fresh: Mapping[str, bytes]) -> tuple[Path, ...]:
    """Files that the folder's record names as ours and that `fresh` no longer holds.

    The record is read as data that anybody may have changed: only plain files straight in our own folders are named.
    """
    try:
        names = json.loads((folder / RECORD).read_text(encoding="utf-8"))["files"]
    except (OSError, ValueError, KeyError, TypeError, RecursionError):
        return ()
    gone = []
    for name in sorted({n for n in names if isinstance(n, str)} - fresh.keys()) if isinstance(names, list) else ():
        parts = PurePosixPath(name).parts
        path = folder.joinpath(*parts)
        if len(parts) == 2 and parts[0] in OURS and ".." not in parts and "\\" not in name and _plain(folder, path):
            gone.append(path)
    return tuple(gone)


def _plain(folder: Path, path: Path) -> bool:
    return path.is_file() and not path.is_symlink() and path.resolve().parent.parent == folder.resolve()


def write(folder: Path, files: Mapping[str, bytes], remove: tuple[Path, ...] = ()) -> None:
    """Puts `files` (path within the folder → content) in place, then takes `remove` away.

    Raises OSError; then the files that were there are as before, unless the failure fell between two renames.
    """
    laid: list[tuple[Path, Path]] = []
    made: list[Path] = []
    try:
        for name in sorted(files):
            place = folder / name
            made += _make_folder(place.parent)
            handle, beside = tempfile.mkstemp(dir=place.parent, prefix=".", suffix=".part")
            laid.append((Path(beside), place))
            with os.fdopen(handle, "wb") as file:
                file.write(files[name])
                file.flush()
                os.fsync(file.fileno())
            os.chmod(beside, 0o666 & ~_umask())
        while laid:
            beside_path, place = laid[0]
            os.replace(beside_path, place)
            laid.pop(0)
            made.clear()
    finally:
        for left, _ in laid:
            with suppress(OSError):
                left.unlink()
        for empty in reversed(made):
            with suppress(OSError):
                empty.rmdir()
    for path in remove:
        path.unlink(missing_ok=True)


def _make_folder(folder: Path) -> list[Path]:
    """Makes the folder and those above it; the ones that were not there, outermost first."""
    missing = [f for f in (folder, *folder.parents) if not f.exists()]
    folder.mkdir(parents=True, exist_ok=True)
    return missing[::-1]


def _umask() -> int:
    mask = os.umask(0)
    os.umask(mask)
    return mask

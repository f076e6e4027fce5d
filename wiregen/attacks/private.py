"""A file that nobody but its owner ever reads: written beside its place with mode 0600 from the moment it exists."""

from __future__ import annotations

import os
import stat
from contextlib import suppress
from pathlib import Path

FIRST = "WIREGEN EXPOSURE FILE"  # by which a file of ours is known again
OWNER = stat.S_IRUSR | stat.S_IWUSR


class NotOurs(Exception):
    """Something stands at that place that is not an earlier exposure file."""


def write_private(place: Path, text: str) -> None:
    """Puts `text`, which holds FIRST in its first 80 characters, at `place`; replaces nothing but an earlier one of its kind.

    Raises NotOurs, OSError; then what was there is as before.
    """
    _must_be_ours(place)
    beside = place.with_name(f".{place.name}.{os.getpid()}.part")
    handle = os.open(beside, os.O_WRONLY | os.O_CREAT | os.O_EXCL | os.O_NOFOLLOW, OWNER)
    try:
        with os.fdopen(handle, "w", encoding="utf-8") as file:
            file.write(text)
            file.flush()
            os.fsync(file.fileno())
        _must_be_ours(place)
        os.replace(beside, place)
    except BaseException:
        with suppress(FileNotFoundError):
            os.unlink(beside)
        raise


def _must_be_ours(place: Path) -> None:
    try:
        is_ = place.lstat()
    except FileNotFoundError:
        return
    if stat.S_ISLNK(is_.st_mode):
        raise NotOurs(f"{place} is a link, and is not followed: name the file itself")
    if not stat.S_ISREG(is_.st_mode):
        raise NotOurs(f"{place} is no file: name another place")
    handle = os.open(place, os.O_RDONLY | os.O_NOFOLLOW)
    with os.fdopen(handle, "rb") as file:
        if FIRST.encode() not in file.read(80):
            raise NotOurs(f"{place} is not an exposure file, and is left as it is: name another place, or remove it first")

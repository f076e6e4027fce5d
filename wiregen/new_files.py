"""Files that must not be there yet: written all, or none, and never over another."""

from __future__ import annotations

from collections.abc import Mapping
from contextlib import suppress
from pathlib import Path


def write_new(files: Mapping[Path, bytes]) -> None:
    """Writes each file.  Raises OSError, FileExistsError among them; then those that were written are gone again."""
    written: list[Path] = []
    try:
        for path, content in files.items():
            path.parent.mkdir(parents=True, exist_ok=True)
            with path.open("xb") as file:
                written.append(path)
                file.write(content)
    except BaseException:
        for path in written:
            with suppress(OSError):
                path.unlink()
        raise

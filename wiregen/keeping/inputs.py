"""The files that a packet comes from, and their hashes."""

from __future__ import annotations

import hashlib
import os
from collections.abc import Iterator
from pathlib import Path

from wiregen.reading.folders import shared_folder

SUFFIXES = (".yaml", ".yml", ".json")


def inputs_of(site: Path) -> dict[str, str]:
    """SHA-256, in hexadecimal, of each file that may say something of a site: its own, and the kits and data sheets that it
    shares.

    By path from the folder above the site's, with slashes.  What cannot be read is not there.
    """
    found, shared = {}, shared_folder(site)
    for path in sorted({*_files(site), *_files(shared / "devices"), *_files(shared / "kits")}):
        try:
            found[from_above(path, site)] = hashlib.sha256(path.read_bytes()).hexdigest()
        except OSError:
            continue
    return found


def from_above(path: str | Path, site: Path) -> str:
    """A path as seen from the folder above the site's, the same wherever that lies."""
    above = os.path.dirname(os.path.abspath(site))
    return Path(os.path.relpath(os.path.abspath(path), above)).as_posix()


def _files(folder: Path) -> Iterator[Path]:
    for above, folders, names in os.walk(folder):
        folders[:] = [name for name in folders if not name.startswith(".")]
        yield from (Path(above, name) for name in names if name.endswith(SUFFIXES) and not name.startswith("."))

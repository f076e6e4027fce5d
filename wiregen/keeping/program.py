"""What the program itself is: a result of another program is no result."""

from __future__ import annotations

import hashlib
import sys
from functools import cache
from importlib.metadata import PackageNotFoundError, requires, version
from importlib.resources import files
from importlib.resources.abc import Traversable
from re import match


@cache
def program() -> str:
    """SHA-256 over the files of the package, the versions of the libraries that it is given, and Python's."""
    digest = hashlib.sha256(sys.version.encode())
    for name in sorted(_libraries()):
        digest.update(f"{name} {version(name)}\n".encode())
    for path, file in sorted(_files(files("wiregen"), "")):
        digest.update(f"{path}\n".encode() + hashlib.sha256(file.read_bytes()).digest())
    return digest.hexdigest()


def _libraries() -> set[str]:
    try:
        wanted = requires("wiregen") or []
    except PackageNotFoundError:  # run from its source alone
        return set()
    plain = (found for text in wanted if "extra ==" not in text and (found := match(r"[A-Za-z0-9._-]+", text)))
    return {found.group() for found in plain}


def _files(folder: Traversable, above: str) -> list[tuple[str, Traversable]]:
    found = []
    for entry in folder.iterdir():
        path = f"{above}/{entry.name}"
        if entry.is_dir():
            found += [] if entry.name == "__pycache__" else _files(entry, path)
        else:
            found.append((path, entry))
    return found

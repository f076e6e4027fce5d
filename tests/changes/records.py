"""A small site's record, and those of copies in which texts of its files are others."""

from __future__ import annotations

import tempfile
from collections.abc import Mapping
from functools import cache
from pathlib import Path
from typing import Any

from tests.cli.run import two_doors
from wiregen.build import examine
from wiregen.keeping.store import Store
from wiregen.making import recorded


def edited(folder: Path, edits: Mapping[str, tuple[str, str]]) -> Path:
    """A small site in `folder`; `edits`: file → text there and what stands in its stead."""
    site = two_doors(folder)
    edit(site, edits)
    return site


def edit(site: Path, edits: Mapping[str, tuple[str, str]]) -> None:
    for name, (before, after) in edits.items():
        path = site / name
        text = path.read_text(encoding="utf-8")
        assert before in text, f"{name} has no {before}"
        path.write_text(text.replace(before, after), encoding="utf-8")


@cache
def _store() -> Store:
    """One for all sites of these tests: what is kept is known by what it came from."""
    return Store(Path(tempfile.mkdtemp(prefix="wiregen-tests-")))


def record_of(site: Path) -> Any:
    return recorded(examine(site, store=_store()))

"""A packet of which nothing has changed, known by its input files alone."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path

from wiregen.keeping.canon import content_hash
from wiregen.keeping.inputs import inputs_of
from wiregen.keeping.program import program
from wiregen.keeping.store import Store
from wiregen.review.model import Finding

WHOLE = "whole"


@dataclass(frozen=True)
class Whole:
    """What is told of a packet that was made: its site, how many doors, its findings, and SHA-256 of each file by its path."""

    site: str
    doors: int
    findings: tuple[Finding, ...]
    products: Mapping[str, str]


def known(store: Store | None, site: Path) -> Whole | None:
    """The packet as it was made of just these files; None where it was not, or nothing is kept."""
    found = store.get_alone(WHOLE, _key(site, inputs_of(site))) if store else None
    return found if isinstance(found, Whole) else None


def keep(store: Store | None, site: Path, inputs: Mapping[str, str], whole: Whole) -> None:
    """Keeps it, and tidies up behind it."""
    if store:
        store.put_alone(WHOLE, _key(site, inputs), whole)
        store.tidy()


def _key(site: Path, inputs: Mapping[str, str]) -> str:
    return content_hash(program(), str(site), inputs)

"""What of a door's copper is not as it was issued: what gets a revision mark, and what is told to be gone."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

from wiregen.changes.cables import called_anew
from wiregen.changes.conductors import conductor_changes
from wiregen.changes.model import Change
from wiregen.changes.things import THINGS, thing_changes
from wiregen.wiring.model import Revised

Json = dict[str, Any]
LINKS = next(things for things in THINGS if things.of == "link")


def revised(old: Json, new: Json, rev: str, since: str) -> Revised | None:
    """A door's entries in two records held against one another; None where its copper is as it was."""
    changes = list(_copper_changes(old, new))
    gone = tuple(f"{c.name} ({c.old})" for c in changes if c.how == "removed")
    other = {c.name for c in changes if c.how != "removed"}
    wires = tuple(w for w in (*(c["wire"] for c in new["conductors"]), *(k["ref"] for k in new["links"])) if w in other)
    return Revised(rev, since, wires, gone) if wires or gone else None


def _copper_changes(old: Json, new: Json) -> Iterator[Change]:
    called, changes = called_anew(old, new)
    yield from (c for c in changes if c.of == "link")
    yield from conductor_changes(called["conductors"], new["conductors"])
    yield from thing_changes(LINKS, called, new)


def revised_data(said: Revised | None) -> Json | None:
    return {"rev": said.rev, "since": said.since, "wires": list(said.wires), "gone": list(said.gone)} if said else None


def revised_from(data: Json | None) -> Revised | None:
    return Revised(data["rev"], data["since"], tuple(data["wires"]), tuple(data["gone"])) if data else None

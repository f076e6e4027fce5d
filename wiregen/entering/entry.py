"""One door as a list, or the command line, gives it."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field

from wiregen.entering.cells import Cell


@dataclass(frozen=True, kw_only=True)
class Entry:
    """What is known of a door before its spec is written; a cell that is not there stays None.

    `length` is that of the run from `closet`, a place of the site, to where the door's own runs begin; `lengths` those of
    runs of the kit, by place.  `about` is what else the list tells of the door, by heading.
    """

    door: Cell
    kit: Cell
    name: Cell | None = None
    feed: Cell | None = None
    closet: Cell | None = None
    length: Cell | None = None
    lengths: Mapping[str, Cell] = field(default_factory=dict)
    fire_rating: Cell | None = None
    notes: Cell | None = None
    about: Mapping[str, Cell] = field(default_factory=dict)

"""What comparing gives: by door, what is to be done at it and which of its sheets say something else."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

Of = Literal[
    "conductor", "link", "cable", "device", "joint", "calmer", "line end", "unused", "reading", "finding", "door", "pages",
]  # fmt: skip
How = Literal["added", "removed", "moved", "recoloured", "recored", "relabelled", "swapped", "set", "changed"]


@dataclass(frozen=True)
class Change:
    """One thing that is not as it was.

    `name` is its number or designation as it is now, as it was where it is removed; `old` and `new` are what is said of it
    for a person, empty where there is nothing.
    """

    of: Of
    how: How
    name: str
    old: str = ""
    new: str = ""


@dataclass(frozen=True)
class DoorChanges:
    """What is to be done at a door, or under the id of `SITE` at what doors share.

    `door` is its id now, as it was where it is removed; `was` its id before, empty where it is added; `how` is "changed" for
    one that was there before under this id.  `sections` are the titles of those that say something else, where both sides
    tell what their sections say.
    """

    door: str
    name: str
    was: str
    how: Literal["added", "removed", "relabelled", "changed"]
    changes: tuple[Change, ...]
    sections: tuple[str, ...]


@dataclass(frozen=True)
class Changes:
    """Of a whole site: doors that are no longer as they were, in order of id, and the titles of the site's sheets."""

    doors: tuple[DoorChanges, ...]
    sheets: tuple[str, ...]

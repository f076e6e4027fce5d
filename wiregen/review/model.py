"""What the review gives: findings."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from wiregen.reading.model import Where

Level = Literal["stop", "warn", "note"]


@dataclass(frozen=True, kw_only=True)
class Finding:
    """`door` is None for a finding of the site; `doors` then lists the doors that it marks."""

    code: str
    level: Level
    message: str
    cure: str
    where: Where
    source: str
    door: str | None = None
    doors: tuple[str, ...] = ()
    approvable: bool = True  # whether an approval can turn this stop into a warning
    approved: str = ""  # who, date, clause: a stop that was turned into a warning
    accepted: str = ""  # the reason, and by whom: a warning that was turned into a note

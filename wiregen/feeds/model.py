"""What stands in the comparison: a way to feed a door, and what the stages say of it."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field

from wiregen.reading.model import Door
from wiregen.study.model import Figure

WRITTEN = "as written"


@dataclass(frozen=True)
class Candidate:
    """The door fed in one way.  `controller` and `lock` say by what; `door` is None where volts or current cannot fit, and
    then `wrong` and `cure` say why and what would help."""

    controller: str
    lock: str
    door: Door | None
    wrong: str = ""
    cure: str = ""
    feed: str = ""  # name of the overlay in the spec

    @property
    def name(self) -> str:
        if self.feed:
            return f"feed {self.feed}" + (" (as written)" if self.controller == WRITTEN else "")
        if self.controller == self.lock == WRITTEN:
            return WRITTEN
        parts = (f"{what} {by}" for what, by in (("controller:", self.controller), ("lock:", self.lock)) if by)
        return ", ".join(parts)


@dataclass(frozen=True, kw_only=True)
class Judged:
    """A candidate after all stages.  `parts` are types with their count or metres, against the door as it is written.

    `margin` is that of `limiting`, the tightest of the figures that the feed decides; None without any.
    """

    candidate: Candidate
    passes: bool
    wrong: str = ""  # the first thing that stops it
    cure: str = ""
    figures: tuple[Figure, ...] = ()  # those with a bound
    limiting: Figure | None = None
    mains: str = ""
    fire: str = ""
    on_battery: int = 0  # of controller and locks, how many kinds live on a battery
    as_wanted: bool = False
    runs_in_fire: bool = False
    devices: Mapping[str, int] = field(default_factory=dict)
    metres: Mapping[str, float] = field(default_factory=dict)

    @property
    def margin(self) -> float | None:
        return self.limiting.margin if self.limiting else None

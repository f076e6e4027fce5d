"""The ranking of ways to feed a door, one criterion after the other; the README says the same in words."""

from __future__ import annotations

from collections.abc import Sequence

from wiregen.feeds.model import WRITTEN, Judged

STEP, ENOUGH = 0.1, 0.2  # of margin; a supply that has a quarter to spare (x1.25) has enough: common practice, no source


def ranked(judged: Sequence[Judged]) -> tuple[Judged, ...]:
    """Best first: passes; what fire and mains failure do; margin in steps; parts added; what is written."""
    return tuple(sorted(judged, key=_place))


def recommended(judged: Sequence[Judged]) -> Judged | None:
    """The first of the ranking, where it passes."""
    best = min(judged, key=_place, default=None)
    return best if best and best.passes else None


def _place(one: Judged) -> tuple[object, ...]:
    return (
        not one.passes,
        not one.as_wanted,
        -one.on_battery,
        not one.runs_in_fire,
        -_steps(one.margin),
        sum(count for count in one.devices.values() if count > 0),
        sum(one.devices.values()),
        sum(one.metres.values()),
        one.candidate.controller != WRITTEN,
        one.candidate.lock != WRITTEN,
        one.candidate.name,
    )


def _steps(margin: float | None) -> int:
    """Whole steps of margin, no more than is enough; a figure is a worst case, so a little more or less says nothing."""
    return int(min(ENOUGH if margin is None else margin, ENOUGH) / STEP + 1e-9)

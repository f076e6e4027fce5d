"""Screens (L7): a drain is landed at one end, on the target's screen terminal, carried through along a chain, and cut back
at the far end."""

from __future__ import annotations

from wiregen.reading.model import Line
from wiregen.wiring.cast import Cast
from wiregen.wiring.circuits import Circuits
from wiregen.wiring.model import End


def landing(cast: Cast, circuits: Circuits, along: tuple[str, ...], serves: tuple[str, ...]) -> tuple[End | None, str]:
    """Where the drain of a screened cable is landed, and what to write about it.

    `along` are the cable's places from the outer to the inner end, `serves` the devices at its outer end.
    """
    for fit in circuits.fits:
        if fit.row != "T13":
            continue
        own, target = circuits.group(fit.own), circuits.group(fit.target)
        assert isinstance(own, Line) and isinstance(target, Line)
        ends = ((fit.own, own), (fit.target, target))
        if not any(at.device in serves for at, _ in ends):
            continue
        for at, line in reversed(ends):
            if line.screen and at.device not in serves and cast.place(at.device) == along[-1]:
                far = " and ".join(serves)
                return End(at.device, line.screen), f"landed at {at.device}:{line.screen}, cut back and taped at {far}"
        for at, line in ends:
            if line.screen and at.device in serves:
                return End(at.device, line.screen), f"landed at {at.device}:{line.screen}, cut back and taped at {along[-1]}"
    return None, "cut back and taped at both ends"

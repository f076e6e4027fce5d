"""Screens (L7): a drain is landed at one end, on the target's screen terminal, carried through along a chain, and cut back
at the far end."""

from __future__ import annotations

from collections.abc import Iterable

from wiregen.reading.model import Line
from wiregen.wiring.cast import Cast
from wiregen.wiring.circuits import Circuits
from wiregen.wiring.model import End


def landing(cast: Cast, circuits: Circuits, along: tuple[str, ...], reached: Iterable[End]) -> tuple[End | None, str]:
    """Where the drain of a screened cable is landed, and what to write about it.

    `along` are the cable's places from the outer to the inner end, `reached` the terminals that its cores lead to at the
    outer end.
    """
    devices = {end.device for end in reached}
    outer, inner = along[0], along[-1]
    carried = ""
    for fit in circuits.fits:
        if fit.row != "T13" or (fit.own.device in devices) == (fit.target.device in devices):
            continue
        for at in (fit.target, fit.own):
            line = circuits.of(at, Line)
            if line.screen is None:
                continue
            place = cast.place(at.device)
            here, far = (inner, outer) if at.device not in devices else (outer, inner)
            if place == here:
                return End(at.device, line.screen), f"landed at {at.device}:{line.screen}, cut back and taped at {far}"
            carried = carried or f"joined to the next cable's screen at {here}, landed at {at.device}:{line.screen} only"
    return None, carried or "cut back and taped at both ends"

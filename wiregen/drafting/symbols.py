"""Graphical symbols as schemdraw elements: its own where it has them, ours built from its segments where not.

House symbols are "iec" (IEC 60617) or "ieee" (IEEE 315).  Element coordinates run from (0, 0) along x, y is the side to
which a blade opens.  One unit is SCALE mm on paper, so that a symbol fits between two terminals 5 mm apart; none of them
has a circle of 1.8 mm, a filled dot of 1.4 mm or a square of 1.8 mm, which mean terminal, joint and jack.
"""

from __future__ import annotations

import sys
from collections.abc import Callable, Sequence
from importlib import import_module
from typing import Any

from wiregen.drafting.canvas import MM, Canvas
from wiregen.drafting.ink import NARROW, SMALL
from wiregen.drafting.model import Point
from wiregen.fonts import CAP

SCALE = 3.5  # mm a unit
_MPL = "schemdraw.backends.mpl"
_STYLE = {"lw": NARROW * MM, "color": "black", "fontsize": SMALL * MM / CAP, "bgcolor": "white"}


def _schemdraw(*names: str) -> tuple[Any, ...]:
    """Modules of schemdraw, loaded without matplotlib.

    schemdraw takes matplotlib, half a second of loading, wherever it can be imported.  The sheet has a renderer of its own,
    so schemdraw's matplotlib back end is marked as absent while schemdraw is loaded, and only then.
    """
    first = "schemdraw" not in sys.modules and _MPL not in sys.modules
    if first:
        sys.modules[_MPL] = None  # type: ignore[assignment]
    try:
        return tuple(import_module(name) for name in names)
    finally:
        if first:
            del sys.modules[_MPL]


elm, segments = _schemdraw("schemdraw.elements", "schemdraw.segments")
GAP = elm.elements.gap  # breaks a line
Steps = Sequence[Sequence[float]]


def draw(canvas: Canvas, element: Any) -> None:
    """Place a finished element and send its segments to the canvas."""
    element._place((0, 0), 0, **_STYLE)
    element._draw(canvas)


def between(element: Any, start: Point, end: Point, mirrored: bool = False) -> Any:
    """A two-terminal element with its leads stretched from start to end; mirrored about that line."""
    element.scale(SCALE).endpoints(start, end)
    return element.flip() if mirrored else element


def strokes(*lines: Sequence[Point], dashed: bool = False) -> Any:
    """Lines in millimetres of the sheet."""
    element = elm.Element(at=(0, 0), theta=0)
    element.segments.extend(_line(line, dashed) for line in lines)
    return element


def earth(at: Point, inward: int) -> Any:
    """A ground at the end of a line that runs to the right (1) or to the left (-1)."""
    return elm.Ground().scale(2.4).theta(90 * inward).at(at)


def contact(closed: bool, moved_by: str, symbols: str) -> Any:
    """A make or break contact at rest, with what moves it: push, latching push, field, cam, relay, reed."""
    if moved_by == "reed":
        return _reed(closed)
    element = elm.Switch(contacts=symbols == "ieee", nc=closed)
    blade = 0.08 if symbols == "ieee" and closed else 0.2 if closed else 0.27
    element.segments.extend(_actuator(moved_by, 0.5, blade))
    return element


def two_terminal(kind: str, symbols: str) -> Any:
    """The element of a part by its kind in the data sheet; a plain box for a kind that has no symbol of its own."""
    by_house = _IEEE if symbols == "ieee" else _IEC
    return (by_house.get(kind) or _BOTH.get(kind) or elm.ResistorIEC)()


def _line(points: Steps, dashed: bool = False) -> Any:
    return segments.Segment(list(points), ls="--" if dashed else None)


def _arc(x: float, y: float, width: float, height: float, first: float, last: float) -> Any:
    return segments.SegmentArc((x, y), width, height, first, last)


def _box(x0: float, y0: float, x1: float, y1: float) -> list[tuple[float, float]]:
    return [(x0, y0), (x0, y1), (x1, y1), (x1, y0), (x0, y0)]


def _reed(closed: bool) -> Any:
    """A reed in its glass; the stock one is open, closed it is one line through."""
    element = elm.SwitchReed()
    if closed:
        element.segments[0] = _line([(0, 0), (0.5, 0.03), (1, 0)])
    return element


def _actuator(moved_by: str, x: float, y: float) -> list[Any]:
    """What moves a blade whose middle lies at (x, y), away from the contact along y."""
    if "push" in moved_by:
        head = [(x - 0.25, 0.75), (x - 0.25, 0.93), (x + 0.25, 0.93), (x + 0.25, 0.75), GAP, (x, 0.75), (x, 0.93)]
        notch = [_line([(x - 0.1, 0.6), (x, 0.48), (x + 0.1, 0.6)])] if "latching" in moved_by else []
        return [_line([(x, y), (x, 0.75)], dashed=True), _line(head), *notch]
    if moved_by == "field":
        return [_line([(x, y), (x, 0.6)], dashed=True), *(_arc(x, 0.6, 2 * r, 2 * r, 40, 140) for r in (0.17, 0.34))]
    if moved_by == "cam":
        return [_line([(x - 0.16, y + 0.22), (x, y), (x + 0.16, y + 0.22), (x - 0.16, y + 0.22)])]
    if moved_by == "relay":
        return [_line([(x, y), (x, 0.55)], dashed=True), _line(_box(x - 0.32, 0.55, x + 0.32, 0.95))]
    return []


def _coil(alternating: bool = False) -> Any:
    """Coil of a relay or a lock (IEC 60617 07-15-01); with a wave where it wants alternating current."""
    element = elm.Element2Term()
    element.segments.append(_line([(0, 0), *_box(0, -0.5, 0.6, 0.5)[1:3], (0.6, -0.5), (0, -0.5), (0, 0), GAP, (0.6, 0)]))
    if alternating:
        element.segments += [_arc(0.3, 0.12, 0.2, 0.24, 90, 270), _arc(0.3, -0.12, 0.2, 0.24, 270, 90)]
    return element


def _varistor() -> Any:
    """A resistor that depends on the voltage."""
    element = elm.ResistorIEC()
    element.segments.append(_line([(0.0, -0.55), (0.2, -0.55), (0.85, 0.55)]))
    return element


def _rc() -> Any:
    """A resistor and a capacitor in series."""
    element = elm.Element2Term()
    box = [(0, 0), (0, -0.15), (0.5, -0.15), (0.5, 0.15), (0, 0.15), (0, 0)]
    plates = [(0.72, -0.25), (0.72, 0.25), GAP, (0.84, -0.25), (0.84, 0.25), GAP, (0.84, 0), (1, 0)]
    element.segments.append(_line([*box, GAP, (0.5, 0), (0.72, 0), GAP, *plates]))
    return element


def _motor() -> Any:
    element = elm.Motor()
    element.segments.append(segments.SegmentText((0.5, 0), "M", align=("center", "center"), rotation_global=False))
    return element


def _sounder() -> Any:
    """A dome between its leads."""
    element = elm.Element2Term()
    element.segments += [_line([(0, 0), (0, -0.3), (0.9, -0.3), (0.9, 0), GAP, (0.9, 0)]), _arc(0.45, -0.3, 0.9, 1.5, 0, 180)]
    return element


_BOTH: dict[str, Callable[[], Any]] = {
    "diode": elm.Diode, "tvs": elm.DiodeTVS, "zener": elm.Zener, "varistor": _varistor, "limiter": elm.Thermistor,
    "motor": _motor, "lamp": elm.Lamp, "sounder": _sounder, "battery": elm.Battery, "capacitor": elm.Capacitor, "rc": _rc,
}  # fmt: skip
_IEC: dict[str, Callable[[], Any]] = {
    "coil": _coil, "ac coil": lambda: _coil(alternating=True), "resistor": elm.ResistorIEC, "fuse": elm.FuseIEEE,
}  # fmt: skip
_IEEE: dict[str, Callable[[], Any]] = {
    "coil": lambda: elm.Inductor2(loops=3), "ac coil": lambda: elm.Inductor2(loops=3), "resistor": elm.ResistorIEEE,
    "fuse": lambda: elm.FuseUS(dots=False),
}  # fmt: skip

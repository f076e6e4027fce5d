"""A graph as it is drawn: lines told apart by their strokes, all in black, so that a copy loses nothing."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from itertools import pairwise
from typing import Any

from matplotlib.figure import Figure
from reportlab.graphics.shapes import Drawing

from wiregen.drafting.canvas import MM
from wiregen.drafting.plot import DPI, INCH, Replay, house_style
from wiregen.packet.content import Graph, Trace
from wiregen.packet.flow import SMALL

TALL = 40.0  # mm from the axis of x to the top of the frame
LEFT, RIGHT, BELOW = 14.0, 4.0, 10.5  # mm around the frame, for numbers and titles
LINE = 4.2  # mm for each line of text above the frame
KEY = 9.0  # mm of stroke beside its label
BEFORE = 0.06  # of the span: what is shown before the first point, level
HEAVY, LIGHT = 1.1, 0.5  # points
# For each curve, and for the level: lengths of dashes and gaps in widths of the line.
STROKES: Sequence[Any] = ("-", (0, (5, 2)), (0, (6, 2, 1.2, 2)), (0, (1.2, 1.5)))
LEVEL: Mapping[str, Any] = {"linewidth": LIGHT, "linestyle": (0, (24, 6))}
DROP: Mapping[str, Any] = {"linewidth": LIGHT, "linestyle": (0, (1, 2))}  # from where a curve comes down to the level


def lines_above(graph: Graph) -> int:
    """Lines of text above its frame: its title, one for each stroke, the title of y."""
    return len(graph.traces) + (graph.level is not None) + 2


def draw(graph: Graph, room: float, lines: int) -> Drawing:
    """The graph in a column of `room` points, with space for so many lines above its frame."""
    wide, tall = room / MM, TALL + BELOW + LINE * lines
    across = wide - LEFT - RIGHT
    with house_style(SMALL):
        figure = Figure(figsize=(wide / INCH, tall / INCH), dpi=DPI, frameon=False)
        axes = figure.add_axes((LEFT / wide, BELOW / tall, across / wide, TALL / tall))
        _furnish(axes, graph)
        free: dict[str, Any] = {"transform": axes.transAxes, "clip_on": False}
        keys = list(_lines(axes, graph))
        for n, (label, style) in enumerate(keys):
            base = 1 + (LINE * (len(keys) - n) + 1.2) / TALL
            axes.text((KEY + 2) / across, base, label, **free)
            axes.plot((0, KEY / across), (base + 0.9 / TALL,) * 2, color="black", **style, **free)
        axes.text(0, 1 + (LINE * (len(keys) + 1) + 1.2) / TALL, graph.title, weight="bold", **free)
        axes.text((1 - LEFT) / across, 1 + 1.2 / TALL, graph.y_title, **free)
        replay = Replay(wide, tall)
        figure.draw(replay)
    return replay.drawn()


def _furnish(axes: Any, graph: Graph) -> None:
    end = max(trace.x[-1] for trace in graph.traces)
    axes.patch.set_visible(False)
    axes.spines[["top", "right"]].set_visible(False)
    axes.tick_params(width=LIGHT, length=3)
    axes.set_xlim(-BEFORE * end, end)
    axes.set_ylim(0, 1.06 * max(y for trace in graph.traces for y in trace.y))
    axes.set_xlabel(graph.x_title, loc="right")


def _lines(axes: Any, graph: Graph) -> Iterator[tuple[str, Mapping[str, Any]]]:
    """Draws the curves and the level; label and style of each."""
    start, end = axes.get_xlim()
    for n, trace in enumerate(graph.traces):
        style: Mapping[str, Any] = {"linewidth": HEAVY, "linestyle": STROKES[n % len(STROKES)]}
        axes.plot((start, *trace.x), (trace.y[0], *trace.y), color="black", **style)
        yield trace.label, style
    if graph.level:
        label, height = graph.level
        axes.plot((start, end), (height, height), color="black", **LEVEL)
        for at in filter(None, (_reaches(trace, height) for trace in graph.traces)):
            axes.plot((at, at), (0, height), color="black", **DROP)
        yield label, LEVEL


def _reaches(trace: Trace, level: float) -> float | None:
    """Where a curve comes down to the level first."""
    for (x0, y0), (x1, y1) in pairwise(zip(trace.x, trace.y, strict=True)):
        if y0 > level >= y1:
            return x0 + (x1 - x0) * (y0 - level) / (y0 - y1)
    return None

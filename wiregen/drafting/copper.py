"""Draws conductors, junction bars, links, jackets and terminals: the ink by which a reader traces what is joined."""

from __future__ import annotations

from wiregen.drafting.canvas import WHITE, Canvas
from wiregen.drafting.colours import DARK, base_and_tracer, ink, is_cased
from wiregen.drafting.ink import CASED, CONDUCTOR, DOT, JACK, NARROW, TERMINAL
from wiregen.drafting.model import Bar, Jacket, Layout, Pin, Point, Rect, Route

TRACER = (0.9, 2.4)  # dash and gap: short, so that the base keeps the upper hand
BARE = (2.2, 0.7)  # the broken casing of bare copper


def draw_copper(canvas: Canvas, layout: Layout) -> None:
    """Light lines first: where a dark one crosses, the casing of the light one runs up to it and nothing looks like a gap."""
    links = [r for r in layout.routes if r.link]
    lines = [(r.points, r.colour) for r in layout.routes if not r.link] + [(b.points, b.colour) for b in layout.bars]
    for link in links:
        canvas.line(link.points, NARROW)
    for points, colour in sorted(lines, key=lambda line: not is_cased(line[1])):
        draw_conductor(canvas, points, colour)
    for bar in layout.bars:
        _dots(canvas, bar)
    for jacket in layout.jackets:
        _jacket(canvas, jacket)
    for route in links:
        _sockets(canvas, route)
    for device in layout.devices:
        for pin in device.pins:
            draw_terminal(canvas, pin)


def draw_conductor(canvas: Canvas, points: tuple[Point, ...], colour: str) -> None:
    """One conductor in its insulation colour, with casing and tracer where it has them."""
    if len(points) < 2:
        return
    base, tracer = base_and_tracer(colour)
    if is_cased(colour):
        ends = "square" if base != "bare" else "butt"
        canvas.line(points, CASED, DARK, BARE if base == "bare" else None, ends)
    canvas.line(points, CONDUCTOR, ink(base), None, "square")
    if tracer:
        canvas.line(points, CONDUCTOR, ink(tracer), TRACER)


def _dots(canvas: Canvas, bar: Bar) -> None:
    for at in bar.dots:
        canvas.disc(at, DOT, None, (0, 0, 0))


def _jacket(canvas: Canvas, jacket: Jacket) -> None:
    box = jacket.box
    canvas.rect(box, radius=min(box.w, box.h) / 2)


def _sockets(canvas: Canvas, route: Route) -> None:
    for x, y in (route.points[0], route.points[-1]):
        canvas.rect(Rect(x - JACK / 2, y - JACK / 2, JACK, JACK), fill=WHITE)


def draw_terminal(canvas: Canvas, pin: Pin) -> None:
    x, y = pin.at
    if pin.jack:
        canvas.rect(Rect(x - JACK / 2, y - JACK / 2, JACK, JACK), fill=WHITE)
    else:
        canvas.disc(pin.at, TERMINAL, fill=WHITE)

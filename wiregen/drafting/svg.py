"""Writes a sheet as an SVG file from the same shapes as its PDF page.

reportlab's own writer rounds the height of the page and the shift of every text to whole points, up to a third of a
millimetre: enough to print a label on its line.  So the few kinds of shapes that the canvas makes are written here.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from typing import Any
from xml.sax.saxutils import escape, quoteattr

from reportlab.graphics import shapes
from reportlab.graphics.shapes import Drawing

from wiregen import fonts

FAMILY = "Source Sans Pro"
FONT_FILES = (f"{fonts.REGULAR}.ttf", f"{fonts.BOLD}.ttf")  # looked for beside the SVG file where they are not installed
_CAPS, _JOINS = ("butt", "round", "square"), ("miter", "round", "bevel")


def svg_of(drawing: Drawing, title: str) -> str:
    """The drawing as SVG 1.1 text with live text; one pass, no state, so that the same sheet gives the same bytes."""
    high = drawing.height
    size = f'width="{_n(drawing.width / 72 * 25.4)}mm" height="{_n(high / 72 * 25.4)}mm"'
    faces = "".join(
        f'@font-face{{font-family:"{FAMILY}";font-weight:{weight};src:local("{FAMILY}"),url("{name}")}}'
        for name, weight in zip(FONT_FILES, ("normal", "bold"), strict=True)
    )
    head = [
        '<?xml version="1.0" encoding="utf-8"?>',
        f'<svg xmlns="http://www.w3.org/2000/svg" {size} viewBox="0 0 {_n(drawing.width)} {_n(high)}">',
        f"<title>{escape(title)}</title>",
        f"<style>{faces}text{{font-family:\"{FAMILY}\",sans-serif}}</style>",
        f'<rect width="{_n(drawing.width)}" height="{_n(high)}" fill="#fff"/>',
    ]
    body = [_WRITERS[type(shape)](shape, high) for shape in drawing.contents]
    return "\n".join([*head, *body, "</svg>", ""])


def _n(value: float) -> str:
    return f"{value:.3f}".rstrip("0").rstrip(".") or "0"


def _hex(colour: Any) -> str:
    return "none" if colour is None else "#" + "".join(f"{round(v * 255):02x}" for v in (colour.red, colour.green, colour.blue))


def _style(shape: Any, filled: bool = True) -> str:
    out = [f'fill="{_hex(shape.fillColor) if filled else "none"}"']
    if shape.strokeColor is not None:
        out.append(f'stroke="{_hex(shape.strokeColor)}" stroke-width="{_n(shape.strokeWidth)}"')
        if shape.strokeDashArray:
            out.append(f'stroke-dasharray="{" ".join(map(_n, shape.strokeDashArray))}"')
        if shape.strokeLineCap:
            out.append(f'stroke-linecap="{_CAPS[shape.strokeLineCap]}"')
        if shape.strokeLineJoin:
            out.append(f'stroke-linejoin="{_JOINS[shape.strokeLineJoin]}"')
    return " ".join(out)


def _pairs(points: Sequence[float], high: float) -> str:
    return " ".join(f"{_n(x)},{_n(high - y)}" for x, y in zip(points[::2], points[1::2], strict=True))


def _polyline(s: Any, high: float) -> str:
    return f'<polyline points="{_pairs(s.points, high)}" {_style(s, filled=False)}/>'


def _polygon(s: Any, high: float) -> str:
    return f'<polygon points="{_pairs(s.points, high)}" {_style(s)}/>'


def _rect(s: Any, high: float) -> str:
    round_ = f' rx="{_n(s.rx)}"' if s.rx else ""
    at = f'x="{_n(s.x)}" y="{_n(high - s.y - s.height)}" width="{_n(s.width)}" height="{_n(s.height)}"'
    return f"<rect {at}{round_} {_style(s)}/>"


def _circle(s: Any, high: float) -> str:
    return f'<circle cx="{_n(s.cx)}" cy="{_n(high - s.cy)}" r="{_n(s.r)}" {_style(s)}/>'


def _string(s: Any, high: float) -> str:
    bold = ' font-weight="bold"' if s.fontName == fonts.BOLD else ""
    fill = f"fill={quoteattr(_hex(s.fillColor))}"
    return f'<text x="{_n(s.x)}" y="{_n(high - s.y)}" font-size="{_n(s.fontSize)}"{bold} {fill}>{escape(s.text)}</text>'


def _path(s: Any, high: float) -> str:
    out, at = [], 0
    for op in s.operators:
        count = (2, 2, 6, 0)[op]
        out.append("MLCZ"[op] + _pairs(s.points[at : at + count], high))
        at += count
    return f'<path d="{"".join(out)}" {_style(s, filled=s.fillColor is not None)}/>'


_WRITERS: dict[type, Callable[[Any, float], str]] = {
    shapes.PolyLine: _polyline, shapes.Polygon: _polygon, shapes.Rect: _rect, shapes.Circle: _circle, shapes.String: _string,
    shapes.Path: _path,
}  # fmt: skip

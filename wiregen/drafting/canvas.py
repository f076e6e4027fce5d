"""The one renderer: from schemdraw's drawing calls, and from our own, to shapes of `reportlab.graphics`.

Coordinates are millimetres from the lower left corner, y up; the shapes come out in points.  A schemdraw segment draws
itself on any object with the methods `plot text poly circle arrow bezier arc path image add_gradient`; there is no base
class to inherit.  Both the page of the PDF and the SVG file are made from the `Drawing` that comes out.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from typing import Any

from reportlab.graphics import shapes
from reportlab.lib.colors import Color
from reportlab.pdfgen.pdfgeom import bezierArc

from wiregen import fonts
from wiregen.drafting.colours import Rgb
from wiregen.drafting.ink import NARROW
from wiregen.drafting.model import Point, Rect

MM = 72 / 25.4
BLACK: Rgb = (0, 0, 0)
WHITE: Rgb = (1, 1, 1)
_CAPS = {"butt": 0, "round": 1, "square": 2, "projecting": 2}
_JOINS = {"miter": 0, "round": 1, "bevel": 2}
_DASHES = {"--": (1.0, 0.7), ":": (0.3, 0.6), "-.": (2.0, 0.6, 0.3, 0.6)}
_NAMED = {"black": BLACK, "white": WHITE, "bg": WHITE, "none": None, None: None}
_INKS: dict[Rgb, Color] = {}


def _ink(colour: Any) -> Color | None:
    rgb = _NAMED[colour] if colour is None or isinstance(colour, str) else tuple(colour)
    if rgb is None:
        return None
    if rgb not in _INKS:
        _INKS[rgb] = Color(*rgb)
    return _INKS[rgb]


def _flat(points: Iterable[Sequence[float]]) -> list[float]:
    return [round(v * MM, 3) for p in points for v in p[:2]]


class Canvas:
    """Collects the shapes of one sheet, in the order of drawing."""

    def __init__(self, width: float, height: float) -> None:
        fonts.register()
        self.drawing = shapes.Drawing(round(width * MM, 3), round(height * MM, 3), initialFontName=fonts.REGULAR)

    # ---- our own ink ----------------------------------------------------------------------------------------------

    def line(self, points: Sequence[Point], width: float = NARROW, colour: Rgb = BLACK, dash: Sequence[float] | None = None,
             cap: str = "butt") -> None:  # fmt: skip
        """An open line through the points; widths and dashes in mm."""
        self.drawing.add(shapes.PolyLine(_flat(points), strokeColor=_ink(colour), **_stroke(width, dash, cap, "miter")))

    def rect(self, box: Rect, width: float | None = NARROW, fill: Rgb | None = None, colour: Rgb = BLACK, radius: float = 0,
             dash: Sequence[float] | None = None) -> None:
        """A rectangle; `width` None for no outline."""
        style = _stroke(width or 0, dash, "butt", "miter")
        self.drawing.add(
            shapes.Rect(
                *_flat([(box.x, box.y), (box.w, box.h)]), rx=radius * MM, ry=radius * MM,
                strokeColor=_ink(colour) if width else None, fillColor=_ink(fill), **style,
            )
        )  # fmt: skip

    def disc(self, at: Point, diameter: float, width: float | None = NARROW, fill: Rgb | None = None) -> None:
        """A circle, filled if `fill`."""
        style = _stroke(width or 0, None, "butt", "miter")
        self.drawing.add(
            shapes.Circle(*_flat([at]), round(diameter / 2 * MM, 3), strokeColor=_ink(BLACK) if width else None,
                          fillColor=_ink(fill), **style)
        )  # fmt: skip

    def write(self, text: str, at: Point, height: float, align: str = "left", bold: bool = False, colour: Rgb = BLACK) -> None:
        """A line of text by the left, middle or right end of its baseline; `height` of its capitals in mm."""
        if not text:
            return
        size, (x, y) = font_size(height), _flat([at])
        if align != "left":
            x -= fonts.width(text, size, bold) / (2 if align == "middle" else 1)
        face = fonts.BOLD if bold else fonts.REGULAR
        self.drawing.add(shapes.String(round(x, 3), y, text, fontName=face, fontSize=size, fillColor=_ink(colour)))

    # ---- what schemdraw calls ---------------------------------------------------------------------------------------

    def plot(self, x: Sequence[float], y: Sequence[float], color: Any = "black", fill: Any = None, ls: str = "-", lw: float = 1,
             capstyle: str = "butt", joinstyle: str = "round", **_: Any) -> None:  # fmt: skip
        """A line that breaks where a coordinate is not a number; filled if it is closed and `fill` is given."""
        runs: list[list[Point]] = [[]]
        for at in zip(x, y, strict=True):
            if any(math.isnan(v) for v in at):
                runs.append([])
            else:
                runs[-1].append((float(at[0]), float(at[1])))
        style = _schem_stroke(ls, lw, capstyle, joinstyle)
        for run in runs:
            if len(run) < 2:
                continue
            if fill and run[0] == run[-1]:
                self.drawing.add(shapes.Polygon(_flat(run[:-1]), strokeColor=_ink(color), fillColor=_ink(fill), **style))
            else:
                self.drawing.add(shapes.PolyLine(_flat(run), strokeColor=_ink(color), **style))

    def poly(self, verts: Sequence[Sequence[float]], closed: bool = True, color: Any = "black", fill: Any = None, ls: str = "-",
             lw: float = 1, capstyle: str = "butt", joinstyle: str = "miter", **_: Any) -> None:  # fmt: skip
        style = _schem_stroke(ls, lw, capstyle, joinstyle)
        if closed:
            self.drawing.add(shapes.Polygon(_flat(verts), strokeColor=_ink(color), fillColor=_ink(fill), **style))
        else:
            self.drawing.add(shapes.PolyLine(_flat(verts), strokeColor=_ink(color), **style))

    def circle(self, center: Sequence[float], radius: float, color: Any = "black", fill: Any = None, lw: float = 1,
               ls: str = "-", **_: Any) -> None:  # fmt: skip
        self.drawing.add(
            shapes.Circle(*_flat([center]), round(radius * MM, 3), strokeColor=_ink(color), fillColor=_ink(fill),
                          **_schem_stroke(ls, lw, "butt", "miter"))
        )  # fmt: skip

    def arc(self, center: Sequence[float], width: float, height: float, theta1: float = 0, theta2: float = 90, angle: float = 0,
            color: Any = "black", fill: Any = None, lw: float = 1, ls: str = "-", **_: Any) -> None:  # fmt: skip
        """Part of an ellipse, from theta1 counterclockwise to theta2 in degrees, turned by `angle`."""
        sweep = (theta2 - theta1) % 360 or 360
        cos, sin = math.cos(math.radians(angle)), math.sin(math.radians(angle))

        def turned(px: float, py: float) -> tuple[float, float]:
            return center[0] + px * cos - py * sin, center[1] + px * sin + py * cos

        path = shapes.Path(strokeColor=_ink(color), fillColor=_ink(fill), **_schem_stroke(ls, lw, "butt", "round"))
        for n, piece in enumerate(bezierArc(-width / 2, -height / 2, width / 2, height / 2, theta1, sweep)):
            p = [turned(*piece[k : k + 2]) for k in (0, 2, 4, 6)]
            if n == 0:
                path.moveTo(*_flat(p[:1]))
            path.curveTo(*_flat(p[1:]))
        self.drawing.add(path)

    def bezier(self, p: Sequence[Sequence[float]], color: Any = "black", lw: float = 1, ls: str = "-", **_: Any) -> None:
        """A quadratic or cubic curve by its control points."""
        pts = [(float(q[0]), float(q[1])) for q in p]
        if len(pts) == 3:  # raise the degree
            a, b, c = pts
            third = [tuple(u + 2 / 3 * (v - u) for u, v in zip(end, b, strict=True)) for end in (a, c)]
            pts = [a, (third[0][0], third[0][1]), (third[1][0], third[1][1]), c]
        path = shapes.Path(strokeColor=_ink(color), fillColor=None, **_schem_stroke(ls, lw, "butt", "round"))
        path.moveTo(*_flat(pts[:1]))
        path.curveTo(*_flat(pts[1:]))
        self.drawing.add(path)

    def arrow(self, xy: Sequence[float], theta: float, arrowwidth: float = 0.15, arrowlength: float = 0.25,
              color: Any = "black", **_: Any) -> None:  # fmt: skip
        """A filled head with its tip at `xy`, pointing along theta in degrees."""
        t = math.radians(theta)
        back = (xy[0] - arrowlength * math.cos(t), xy[1] - arrowlength * math.sin(t))
        side = (-math.sin(t) * arrowwidth / 2, math.cos(t) * arrowwidth / 2)
        verts = [xy, (back[0] + side[0], back[1] + side[1]), (back[0] - side[0], back[1] - side[1])]
        self.drawing.add(shapes.Polygon(_flat(verts), strokeColor=None, fillColor=_ink(color), strokeWidth=0))

    def text(self, s: str, x: float, y: float, color: Any = "black", fontsize: float = 8, halign: str = "left",
             valign: str = "base", **_: Any) -> None:  # fmt: skip
        height = fontsize * fonts.CAP / MM
        drop = {"center": height / 2, "top": height}.get(valign, 0.0)
        align = {"center": "middle"}.get(halign, halign)
        self.write(s, (x, y - drop), height, align, colour=_NAMED.get(color) or BLACK if isinstance(color, str) else color)

    def path(self, *_: Any, **__: Any) -> None:
        raise NotImplementedError("no symbol of the sheet is made of a schemdraw path")

    def image(self, *_: Any, **__: Any) -> None:
        raise NotImplementedError("sheets hold vectors only")

    def add_gradient(self, gradient: Sequence[Any]) -> Any:
        return gradient[0]


def font_size(height: float) -> float:
    """Size in points of a face whose capitals are `height` mm."""
    return round(height * MM / fonts.CAP, 3)


def _stroke(width: float, dash: Sequence[float] | None, cap: str, join: str) -> dict[str, Any]:
    return {
        "strokeWidth": round(width * MM, 4),
        "strokeDashArray": [round(v * MM, 3) for v in dash] if dash else None,
        "strokeLineCap": _CAPS[cap],
        "strokeLineJoin": _JOINS[join],
    }


def _schem_stroke(ls: str, lw: float, cap: str | None, join: str | None) -> dict[str, Any]:
    """schemdraw's widths are points."""
    return _stroke(lw / MM, _DASHES.get(ls), cap or "butt", join or "round")

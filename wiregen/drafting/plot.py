"""Plots: matplotlib works out axes, ticks and curves, and each path and text that it draws is replayed onto our canvas.

So a plot is made of the same shapes as the sheets, in the same face; no font of matplotlib's and no picture comes into it.
Imported only where a plot is made: matplotlib takes its time.
"""

from __future__ import annotations

import logging
from collections.abc import Iterator
from contextlib import contextmanager
from typing import Any

from matplotlib import rc_context, rcdefaults, rcParams
from matplotlib.backend_bases import RendererBase
from matplotlib.path import Path
from reportlab.graphics.shapes import Drawing

from wiregen import fonts
from wiregen.drafting.canvas import MM, Canvas
from wiregen.drafting.model import Point

logging.getLogger("matplotlib").setLevel(logging.ERROR)  # where it keeps its list of fonts is nobody's concern: none is used
INCH = 25.4  # mm
DPI = 72  # so that its pixels are points
DESCENT = 0.2  # of the size of the face, for every text alike, so that base lines agree


@contextmanager
def house_style(size: float) -> Iterator[None]:
    """Plots made and drawn in this context look alike on every machine, whatever its user has set; `size` of text in points."""
    with rc_context():
        rcdefaults()
        rcParams.update({"font.size": size, "text.parse_math": False, "axes.unicode_minus": False, "path.simplify": False})
        yield


class Replay(RendererBase):
    """What matplotlib asks of a backend, for lines, filled areas and level text; anything else raises NotImplementedError."""

    def __init__(self, width: float, height: float) -> None:
        """A plot of `width` by `height` mm."""
        super().__init__()
        self._size = (width, height)
        self._canvas = Canvas(width, height)

    def drawn(self) -> Drawing:
        return self._canvas.drawing

    def get_canvas_width_height(self) -> tuple[float, float]:
        return self._size[0] * MM, self._size[1] * MM

    def flipy(self) -> bool:
        return False

    def points_to_pixels(self, points: Any) -> Any:
        return points

    def get_text_width_height_descent(self, s: str, prop: Any, ismath: Any) -> tuple[float, float, float]:
        size = prop.get_size_in_points()
        return fonts.width(s, size, _bold(prop)), (fonts.CAP + DESCENT) * size, DESCENT * size

    def draw_text(self, gc: Any, x: float, y: float, s: str, prop: Any, angle: float, ismath: Any = False,
                  mtext: Any = None) -> None:  # fmt: skip
        if angle:
            raise NotImplementedError("text that does not stand level")
        height = prop.get_size_in_points() * fonts.CAP / MM
        self._canvas.write(s, (x / MM, y / MM), height, bold=_bold(prop), colour=gc.get_rgb()[:3])

    def draw_path(self, gc: Any, path: Path, transform: Any, rgbFace: Any = None) -> None:
        """Curves come out as short straight pieces, cut off at the frame of the plot where matplotlib says so."""
        box = gc.get_clip_rectangle()
        if rgbFace is not None:
            for points, _ in _runs(path, transform, None):
                self._canvas.poly(points, fill=tuple(rgbFace)[:3], color=None, lw=0)
        if not gc.get_linewidth():
            return
        dash = [length / MM for length in gc.get_dashes()[1] or ()] or None
        width, colour, cap = gc.get_linewidth() / MM, tuple(gc.get_rgb()[:3]), gc.get_capstyle()
        for points, closed in _runs(path, transform, box and box.extents):
            self._canvas.line([*points, points[0]] if closed else points, width, colour, dash, cap)

    def draw_image(self, *_: Any, **__: Any) -> None:
        raise NotImplementedError("sheets hold vectors only")


def _bold(prop: Any) -> bool:
    return prop.get_weight() in ("bold", 700)


def _runs(path: Path, transform: Any, clip: Any) -> Iterator[tuple[list[Point], bool]]:
    """The pieces of a path in mm, each with whether it is closed."""
    run: list[Point] = []
    for at, code in path.iter_segments(transform, clip=clip, simplify=False, curves=False, remove_nans=True):
        if code == Path.CLOSEPOLY:
            yield run, True
            run = []
        elif code == Path.MOVETO:
            if len(run) > 1:
                yield run, False
            run = [(float(at[0]) / MM, float(at[1]) / MM)]
        elif code == Path.LINETO:
            run.append((float(at[0]) / MM, float(at[1]) / MM))
    if len(run) > 1:
        yield run, False

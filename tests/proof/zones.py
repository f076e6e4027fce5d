"""The grid of the frame, read from the page: its numbers along the top and bottom, its letters along the sides."""

from __future__ import annotations

import re
from itertools import pairwise

from tests.proof.page import Page, Point


class Zones:
    """Of one page.  The borders are the ticks between the frame and the edge of the sheet."""

    def __init__(self, page: Page) -> None:
        frame = max((s.box for s in page.shapes if s.kind == "rect" and s.stroke), key=lambda b: b.w * b.h)
        within = frame.grown(-0.2)
        ticks = [s for s in page.strokes if not within.meets(s.box.grown(0.01))]
        self._cuts_x = sorted({round(s.a[0], 1) for s in ticks if s.upright} | {frame.x0, frame.x1})
        self._cuts_y = sorted({round(s.a[1], 1) for s in ticks if s.level} | {frame.y0, frame.y1})
        outside = [t for t in page.texts if not within.meets(t.box)]
        self._columns = [(t.box.middle[0], t.text) for t in outside if re.fullmatch(r"\d+", t.text)]
        self._rows = [(t.box.middle[1], t.text) for t in outside if re.fullmatch(r"[A-Z]", t.text)]

    def at(self, point: Point) -> set[str]:
        """The zone of a point; both neighbours for a point within a millimetre of a border."""
        columns, rows = _between(self._cuts_x, self._columns, point[0]), _between(self._cuts_y, self._rows, point[1])
        return {row + column for row in rows for column in columns}


def _between(cuts: list[float], names: list[tuple[float, str]], at: float) -> set[str]:
    found = set()
    for low, high in pairwise(cuts):
        if low - 1 <= at <= high + 1:
            found |= {name for where, name in names if low <= where <= high}
    return found

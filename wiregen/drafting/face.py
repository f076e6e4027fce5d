"""The outside of a device before it is placed: its lettering, and how large its box must at least be."""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache
from math import ceil

from wiregen.drafting.graph import Node
from wiregen.drafting.ink import DESIGNATION, LINE, MARK_GAP, SMALL
from wiregen.drafting.metrics import GRID, SYMBOL, width, wrap

BESIDE, OVER, GUEST = 25.0, 19.0, 13.0  # names are wrapped at these widths: beside terminals, over them, of calmers
NARROWER = (BESIDE, 21.0, 17.0, 14.0)  # or at one of these, where that leaves room for the words inside the box
PITCH = SMALL * LINE
PAD = 1.0


@dataclass(frozen=True)
class Face:
    """`title` are the lines under the designation; `height` of the lettering alone in grid steps, widths in mm.

    The lettering stands beside the terminals, or `over` them: where they are on two sides, or width is short.
    """

    title: tuple[str, ...]
    title_width: float
    height: int
    symbol: float
    over: bool

    def box_width(self, left: float, right: float) -> float:
        """The least width of the box for marks that are `left` and `right` wide (0: no terminals on that side)."""
        marks = sum(m + MARK_GAP for m in (left, right) if m)
        if self.over:
            return max(marks + self.symbol, self.title_width + 2 * PAD)
        return (marks + self.symbol if marks else PAD) + self.title_width + PAD


def face_of(node: Node, over: bool, beside: float = BESIDE) -> Face:
    return _face(node.ref, node.name, node.place, node.host is not None, over, beside)


@lru_cache(maxsize=4096)
def _face(ref: str, name: str, place: str, guest: bool, over: bool, beside: float) -> Face:
    title = (*wrap(name, GUEST if guest else OVER if over else beside), place)
    wide = max(width(ref, DESIGNATION, bold=True), *(width(line, SMALL) for line in title))
    high = PAD + DESIGNATION + PITCH * len(title) + 0.2
    return Face(title, wide, ceil(high / GRID - 1e-6), SYMBOL / 2 if guest else SYMBOL, over)

"""The outside of a device before it is placed: its lettering, and how large its box must at least be."""

from __future__ import annotations

from dataclasses import dataclass
from math import ceil

from wiregen.drafting.graph import Graph
from wiregen.drafting.ink import DESIGNATION, LINE, MARK_GAP, SMALL
from wiregen.drafting.metrics import GRID, SYMBOL, width, wrap

NAME_ROOM = 19.0  # a name is wrapped at this width
PITCH = SMALL * LINE
PAD = 1.0


@dataclass(frozen=True)
class Face:
    """`title` are the lines under the designation; heights in grid steps, widths in mm."""

    title: tuple[str, ...]
    title_width: float
    height: int  # of the lettering alone

    def box_width(self, left_marks: float, right_marks: float, symbol: float = SYMBOL) -> float:
        """The least width of the box, with marks on one side or both."""
        if left_marks and right_marks:
            return max(left_marks + right_marks + symbol + 2 * MARK_GAP, self.title_width + 2 * PAD)
        return max(left_marks, right_marks) + (MARK_GAP + symbol if left_marks or right_marks else PAD) + self.title_width + PAD


def faces_of(graph: Graph) -> tuple[Face, ...]:
    found = []
    for node in graph.nodes:
        title = (*wrap(node.name, NAME_ROOM), node.place)
        wide = max(width(node.ref, DESIGNATION, bold=True), *(width(line, SMALL) for line in title))
        high = PAD + DESIGNATION + PITCH * len(title) + PAD
        found.append(Face(title, wide, ceil(high / GRID - 1e-6)))
    return tuple(found)

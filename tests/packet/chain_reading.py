"""Reads release chains back off the printed page: boxes in order, terminals in them, wire numbers between them."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from tests.proof.page import Page
from tests.proof.reader import read_pages

OVER = 5.0  # mm from a line up to the top edge of the boxes on it
DESIGNATION, LETTER = 3.5, 2.5  # mm, heights of capitals
HEAD = 19.0  # mm, the height of a page's head


@dataclass(frozen=True)
class Box:
    """A thing as it stands on paper: its designation, the words in its box, and the line on which it stands."""

    ref: str
    marks: tuple[str, ...]
    page: int
    level: float
    x0: float
    x1: float
    field: bool


@dataclass(frozen=True)
class Row:
    """What stands on one level: boxes from left to right, and all words that look like wire numbers around the line."""

    boxes: tuple[Box, ...]
    words: tuple[tuple[float, str], ...]

    def wires(self, after: float, before: float) -> set[str]:
        """The numbers printed between two places of the line."""
        return {text for x, text in self.words if after <= x < before}


def rows(pdf: bytes, door: str) -> list[Row]:
    """All levels of the release pages of a door, in order."""
    found = []
    for number, page in enumerate(read_pages(pdf)):
        head = [t.text for t in page.texts if t.base > page.height - HEAD]
        if any(text.split()[0] == door for text in head) and "Egress and release chain" in head:
            found += list(_on_page(page, number))
    return found


def _on_page(page: Page, number: int) -> Iterator[Row]:
    rects = [shape.box for shape in page.shapes if shape.kind == "rect" and shape.box.h > 8]
    fields = [t.box for t in page.texts if t.text == "tested"]
    boxes: dict[float, list[Box]] = {}
    for word in page.texts:
        if not word.bold or abs(word.capitals - DESIGNATION) > 0.4 or word.box.y1 > page.height - HEAD:
            continue
        # a thing is drawn in the middle of its lettering
        x = word.box.x0
        below = [r for r in rects if r.y1 < word.base and (-0.4 < r.x0 - x < 9 or r.x0 <= x <= r.x1)]
        if not below:
            continue
        box = max(below, key=lambda r: (round(r.y1), -abs(r.x0 - x)))
        if word.base - box.y1 > 14:
            continue
        inside = tuple(mark for t in page.texts if box.grown(0.4).covers(t.box) for mark in t.text.split())
        field = any(0 < box.y0 - f.y1 < 35 and abs(f.x0 - x) < 3 for f in fields)
        level = round(box.y1 - OVER, 1)
        boxes.setdefault(level, []).append(Box(word.text, inside, number, level, box.x0, box.x1, field))
    for level in sorted(boxes, reverse=True):
        near = [t for t in page.texts if -3 < t.base - level < 14 and abs(t.capitals - LETTER) < 0.2 and not t.bold]
        in_row = tuple(sorted(boxes[level], key=lambda b: b.x0))
        yield Row(in_row, tuple((t.box.x0, word) for t in near for word in t.text.split() if word != "site"))

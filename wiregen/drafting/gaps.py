"""Finds room in a drawing that nothing uses, so that notes need no sheet of their own."""

from __future__ import annotations

from collections.abc import Iterator
from itertools import pairwise

from wiregen.drafting import metrics
from wiregen.drafting.ink import DESIGNATION, SMALL, TITLE_PITCH
from wiregen.drafting.model import Layout, Rect

CELL = 2.5
LEAST = (23.0, 8.0)  # a gap that is worth while: width, height
MOST = 58.0  # wider is hard to read and is set in two columns
AROUND = 2.0  # kept free around the drawing's ink


def gaps_in(layout: Layout, count: int = 6) -> tuple[Rect, ...]:
    """Columns for notes in the largest empty rectangles of the field, largest first."""
    field = layout.field
    nx, ny = int(field.w / CELL), int(field.h / CELL)
    free = [(1 << nx) - 1] * ny  # a row of cells is a number, a free cell is a bit
    for box in _inked(layout):
        _take(free, field, Rect(box.x - AROUND, box.y - AROUND, box.w + 2 * AROUND, box.h + 2 * AROUND))
    out: list[Rect] = []
    for _ in range(count):
        x, y, w, h = _largest(free)
        if not w:
            break
        box = Rect(field.x + x * CELL + 1, field.y + y * CELL + 1, w * CELL - 2, h * CELL - 2)
        _take(free, field, box)
        halves = 2 if box.w > 70 else 1
        width = min((box.w - 4 * (halves - 1)) / halves, MOST)
        out += [Rect(box.x + n * (width + 4), box.y, width, box.h) for n in range(halves)]
    return tuple(out)


def _inked(layout: Layout) -> Iterator[Rect]:
    """Rectangles that cover all ink of the drawing, and what a stranger can reach."""
    for device in layout.devices:
        yield device.box
        x, y = device.title_at
        width = max([metrics.width(device.ref, DESIGNATION, True), *(metrics.width(line, SMALL) for line in device.title)])
        yield Rect(x, y - TITLE_PITCH * len(device.title), width, DESIGNATION + TITLE_PITCH * len(device.title))
    for line in (*(r.points for r in layout.routes), *(b.points for b in layout.bars), *layout.exposed_line):
        for (x0, y0), (x1, y1) in pairwise(line):
            yield Rect(min(x0, x1), min(y0, y1), abs(x1 - x0), abs(y1 - y0))
    for jacket in layout.jackets:
        yield jacket.box
    for enclosure in layout.enclosures:
        yield enclosure.box
    for text in layout.texts:
        width = metrics.width(text.text, text.size, text.bold)
        yield Rect(text.at[0] - width * {"left": 0, "middle": 0.5, "right": 1}[text.align], text.at[1], width, text.size)
    for mark in layout.marks:
        yield mark.box
    for off in layout.offs:
        yield Rect(off.at[0], off.at[1], metrics.width(off.text, SMALL), SMALL)
    for region in layout.regions:
        b = region.box
        if region.exposed:  # notes are for the secured side
            yield b
        yield from (Rect(b.x, b.y, b.w, 0), Rect(b.x, b.y + b.h, b.w, 0), Rect(b.x, b.y, 0, b.h), Rect(b.x + b.w, b.y, 0, b.h))


def _take(free: list[int], field: Rect, box: Rect) -> None:
    x0, x1 = int((box.x - field.x) // CELL), int((box.x + box.w - field.x) // CELL)
    y0, y1 = int((box.y - field.y) // CELL), int((box.y + box.h - field.y) // CELL)
    if x1 < 0:
        return
    bits = ~((1 << x1 + 1) - (1 << max(x0, 0)))
    for y in range(max(y0, 0), min(y1 + 1, len(free))):
        free[y] &= bits


def _largest(free: list[int]) -> tuple[int, int, int, int]:
    """The largest empty rectangle that is worth while, as x, y, width, height in cells; all 0 if there is none."""
    best = (0, 0, 0, 0)
    wide, high = (int((side + 2) / CELL) for side in LEAST)
    for y in range(len(free)):
        common, left = -1, len(free) - y
        for height, row in enumerate(free[y:], 1):
            common &= row
            if common.bit_count() * left <= best[2] * best[3]:  # too few, were all rows that are left as free
                break
            width = max(wide, best[2] * best[3] // height + 1)
            while height >= high and (at := _runs(common, width)):
                best = ((at & -at).bit_length() - 1, y, width, height)
                width += 1
    return best


def _runs(bits: int, length: int) -> int:
    """A bit for each place where at least `length` bits in a row begin."""
    while length > 1:
        half = length // 2
        bits &= bits >> half
        length -= half
    return bits

"""Sets blocks of notes into columns: wraps lines to the width of the column, goes on in the next one where one is full."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

from wiregen.drafting import metrics
from wiregen.drafting.canvas import Canvas
from wiregen.drafting.ink import LINE, SMALL
from wiregen.drafting.model import Rect
from wiregen.drafting.titleblock import fit

PITCH = SMALL * LINE
HANG = 3.4  # indent of a numbered note
RUN_IN = 1.2  # between a heading and the text that runs on in its line
LEAST = 2  # lines of a paragraph that are left together


@dataclass(frozen=True)
class Block:
    """A heading and its paragraphs.  Numbered ones count from `first` and stand under it, others run on in its line."""

    title: str
    lines: tuple[str, ...]
    first: int = 0  # 0: not numbered
    begun: bool = False  # something of it is printed
    cut: bool = False  # its first paragraph goes on from another column


@dataclass(frozen=True)
class Column:
    """Room on a page, counted from 0."""

    page: int
    box: Rect


def flow(blocks: Sequence[Block], columns: Sequence[Column], canvases: Sequence[Canvas]) -> tuple[Block, ...]:
    """Prints blocks in order; gives back what found no room.  A block that goes on on another page has its heading again."""
    rest, page = list(blocks), -1
    for column in columns:
        y = column.box.y + column.box.h
        while rest:
            begun = bool(rest[0].begun) and column.page == page
            left, y = _set(rest[0], column, canvases[column.page], y, begun)
            if left is not None:
                rest[0], page = left, column.page
                break
            rest.pop(0)
            y -= PITCH * 0.3
    return tuple(rest)


def _set(block: Block, column: Column, canvas: Canvas, y: float, begun: bool) -> tuple[Block | None, float]:
    """Prints as much of a block as fits below y; gives what is left and the new y.  `begun`: no heading on this page."""
    box, indent = column.box, HANG if block.first else 0.0
    for n, line in enumerate(block.lines):
        title = "" if n or begun else f"{block.title}, continued" if block.begun else block.title
        own = block.first or metrics.width(title, SMALL, bold=True) > box.w * 0.7  # a line of its own over numbered notes
        over = metrics.wrap(title, box.w * 0.95) if title and own else ()
        runin = "" if over else title
        wrapped = _after(runin, line, box.w - indent)
        room = int((y - box.y + 0.01) / PITCH) - len(over)
        if room < min(len(wrapped), LEAST):
            return replace(block, lines=block.lines[n:], first=block.first and block.first + n, begun=block.begun or n > 0), y
        for text in over:
            y -= PITCH
            canvas.write(text, (box.x, y), SMALL, bold=True)
        for m, text in enumerate(wrapped[:room]):
            y -= PITCH
            if block.first and m == 0 and not (block.cut and n == 0):
                canvas.write(str(block.first + n), (box.x, y), SMALL)
            shift = 0.0
            if runin and m == 0:
                canvas.write(runin, (box.x, y), SMALL, bold=True)
                shift = metrics.width(runin, SMALL, bold=True) + RUN_IN
            canvas.write(fit(text, box.w - indent - shift, SMALL), (box.x + indent + shift, y), SMALL)
        if len(wrapped) > room:
            rest = (" ".join(wrapped[room:]), *block.lines[n + 1 :])
            return replace(block, lines=rest, first=block.first and block.first + n, begun=True, cut=True), y
    return None, y


def _after(title: str, text: str, width: float) -> tuple[str, ...]:
    """Wraps a text whose first line begins after a heading in bold."""
    if not title:
        return metrics.wrap(text, width)
    room, first = width - metrics.width(title, SMALL, bold=True) - RUN_IN, ""
    lines = metrics.wrap(text, max(room, 1.0))
    if metrics.width(lines[0], SMALL) <= room:
        first = lines[0]
    rest = text[len(first) :].strip()
    return (first, *(metrics.wrap(rest, width) if rest else ()))

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


@dataclass(frozen=True)
class Block:
    """A heading and its paragraphs.  Numbered paragraphs count from `first`."""

    title: str
    lines: tuple[str, ...]
    first: int = 0  # 0: not numbered
    begun: bool = False  # its first lines are printed


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
            y -= PITCH * 0.35
    return tuple(rest)


def _set(block: Block, column: Column, canvas: Canvas, y: float, begun: bool) -> tuple[Block | None, float]:
    """Prints as much of a block as fits below y; gives what is left and the new y.  `begun`: no heading on this page."""
    box, indent = column.box, HANG if block.first else 0.0
    for n, line in enumerate(block.lines):
        wrapped = [fit(text, box.w - indent, SMALL) for text in metrics.wrap(line, box.w - indent)]
        title = f"{block.title}, continued" if block.begun else block.title
        head = metrics.wrap(title, box.w) if n == 0 and not begun else ()
        if y - PITCH * (len(wrapped) + len(head)) < box.y - 0.01:
            return replace(block, lines=block.lines[n:], first=block.first and block.first + n, begun=block.begun or n > 0), y
        for text in head:
            y -= PITCH
            canvas.write(text, (box.x, y), SMALL, bold=True)
        for m, text in enumerate(wrapped):
            y -= PITCH
            if block.first and m == 0:
                canvas.write(str(block.first + n), (box.x, y), SMALL)
            canvas.write(text, (box.x + indent, y), SMALL)
    return None, y

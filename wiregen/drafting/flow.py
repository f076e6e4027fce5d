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


@dataclass(frozen=True)
class Column:
    """Room on a page, counted from 0."""

    page: int
    box: Rect


def flow(blocks: Sequence[Block], columns: Sequence[Column], canvases: Sequence[Canvas]) -> tuple[Block, ...]:
    """Prints blocks in order; gives back what found no room (a block that was begun comes back without its printed part)."""
    rest = list(blocks)
    for column in columns:
        y = column.box.y + column.box.h
        while rest:
            block, printed, y = _set(rest[0], column, canvases[column.page], y)
            if block is not None:
                rest[0] = block
                if printed:
                    rest[0] = replace(block, title="")
                break
            rest.pop(0)
            y -= PITCH * 0.35
    return tuple(rest)


def _set(block: Block, column: Column, canvas: Canvas, y: float) -> tuple[Block | None, bool, float]:
    """Prints as much of a block as fits below y; gives what is left, whether anything was printed, and the new y."""
    box, printed = column.box, False
    indent = HANG if block.first else 0.0
    for n, line in enumerate(block.lines):
        wrapped = [fit(text, box.w - indent, SMALL) for text in metrics.wrap(line, box.w - indent)]
        head = metrics.wrap(block.title, box.w) if n == 0 else ()
        if y - PITCH * (len(wrapped) + len(head)) < box.y - 0.01:
            left = replace(block, lines=block.lines[n:], first=block.first + n if block.first else 0)
            return left, printed, y
        for text in head:
            y -= PITCH
            canvas.write(text, (box.x, y), SMALL, bold=True)
        for m, text in enumerate(wrapped):
            y -= PITCH
            if block.first and m == 0:
                canvas.write(str(block.first + n), (box.x, y), SMALL)
            canvas.write(text, (box.x + indent, y), SMALL)
        printed = True
    return None, True, y

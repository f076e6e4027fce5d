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
    page: int | None = None  # where it was begun
    cut: bool = False  # its first paragraph goes on from another column
    whole: bool = False  # its paragraphs are not cut


@dataclass
class Column:
    """Room on a page, counted from 0; `y` is where the next line goes on."""

    page: int
    box: Rect
    y: float
    apart: bool  # stands by itself, so that what goes on in it needs its heading again

    @classmethod
    def of(cls, page: int, box: Rect, apart: bool = False) -> Column:
        return cls(page, box, box.y + box.h, apart)


def flow(blocks: Sequence[Block], columns: Sequence[Column], canvases: Sequence[Canvas]) -> tuple[Block, ...]:
    """Prints blocks, each whole in the first column that has room for it; gives back those that found none.

    Numbered notes may go on from column to column.
    """
    rest: list[Block] = []
    for block in blocks:
        left: Block | None = block
        for column in columns:
            if left is None:
                break
            if block.first or _high(left, column) <= column.y - column.box.y + 0.01:
                left = _onto(left, column, canvases)
        if left is not None:
            rest.append(left)
    return tuple(rest)


def pour(blocks: Sequence[Block], columns: Sequence[Column], canvases: Sequence[Canvas]) -> tuple[Block, ...]:
    """Prints blocks one after the other, cut where a column ends; gives back what found no room."""
    rest = list(blocks)
    for column in columns:
        while rest:
            left = _onto(rest[0], column, canvases)
            if left is not None:
                rest[0] = left
                break
            rest.pop(0)
    return tuple(rest)


def _onto(block: Block, column: Column, canvases: Sequence[Canvas]) -> Block | None:
    left, y = _set(block, column, canvases[column.page])
    if left is None or left != block:
        column.y = y - PITCH * 0.3
    return left if left is None or left == block else replace(left, page=column.page)


def _high(block: Block, column: Column) -> float:
    """The height of a whole block in that column."""
    own, runin = _heading(block, column)
    lines = len(own) + sum(len(_after(runin if n == 0 else "", line, column.box.w)) for n, line in enumerate(block.lines))
    return lines * PITCH


def _heading(block: Block, column: Column) -> tuple[tuple[str, ...], str]:
    """The lines of a heading that stands over its block, or the heading that runs in; neither where the page has it already."""
    if block.page == column.page and not column.apart:
        return (), ""
    title = block.title if block.page is None else f"{block.title}, continued"
    if block.first or metrics.width(title, SMALL, bold=True) > column.box.w * 0.7:
        return metrics.wrap(title, column.box.w * 0.95), ""
    return (), title


def _set(block: Block, column: Column, canvas: Canvas) -> tuple[Block | None, float]:
    """Prints as much of a block as fits a column; gives what is left and the new y."""
    box, y, indent = column.box, column.y, HANG if block.first else 0.0
    for n, line in enumerate(block.lines):
        over, runin = _heading(block, column) if n == 0 else ((), "")
        wrapped = _after(runin, line, box.w - indent)
        room = int((y - box.y + 0.01) / PITCH) - len(over)
        if room < (len(wrapped) if block.whole else min(len(wrapped), LEAST)):
            return replace(block, lines=block.lines[n:], first=block.first and block.first + n, cut=block.cut and n == 0), y
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
            return replace(block, lines=rest, first=block.first and block.first + n, cut=True), y
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

"""Sets blocks of notes into columns: wraps lines to the width of the column, goes on in the next one where one is full."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field, replace

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
    part: int = 1  # of those into which columns cut it
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


@dataclass
class Parts:
    """On which pages, counted from 0, the parts of each block stand, by title: as they are found, as they were found before.

    What was found before is told in print: which part of how many one reads, and on which sheet it goes on.
    """

    before: Mapping[str, Sequence[int]] = field(default_factory=dict)
    found: dict[str, list[int]] = field(default_factory=dict)

    @property
    def cut(self) -> dict[str, list[int]]:
        return {title: pages for title, pages in self.found.items() if len(pages) > 1}

    def which(self, block: Block) -> str:
        """", 2 of 3" behind the title of what has no numbers to be read by."""
        of = len(self.before.get(block.title, ()))
        return f", {block.part} of {of}" if of > 1 and not block.first else ""

    def onward(self, block: Block, page: int) -> str:
        """Where a block that is cut goes on, if not on the same page."""
        pages = self.before.get(block.title, ())
        after = pages[block.part] if block.part < len(pages) else page
        return f"→ sheet {after + 1}" if after != page else ""


def flow(
    blocks: Sequence[Block], columns: Sequence[Column], canvases: Mapping[int, Canvas], parts: Parts | None = None
) -> tuple[Block, ...]:
    """Prints blocks, each whole in the first column that has room for it; gives back those that found none.

    Numbered notes may go on from column to column.
    """
    parts = parts or Parts()
    rest: list[Block] = []
    for block in blocks:
        left: Block | None = block
        for column in columns:
            if left is None:
                break
            if block.first or _fits(left, column, parts):
                left = _onto(left, column, canvases, parts)
        if left is not None:
            rest.append(left)
    return tuple(rest)


def pour(
    blocks: Sequence[Block], columns: Sequence[Column], canvases: Mapping[int, Canvas], parts: Parts | None = None
) -> tuple[Block, ...]:
    """Prints blocks one after the other, cut where a column ends; gives back what found no room."""
    parts = parts or Parts()
    rest = list(blocks)
    for column in columns:
        while rest:
            left = _onto(rest[0], column, canvases, parts)
            if left is not None:
                rest[0] = left
                break
            rest.pop(0)
    return tuple(rest)


def _onto(block: Block, column: Column, canvases: Mapping[int, Canvas], parts: Parts) -> Block | None:
    left, y = _set(block, column, canvases[column.page], parts)
    if left == block:
        return left
    column.y = y - PITCH * 0.3
    parts.found.setdefault(block.title, []).append(column.page)
    return left and replace(left, page=column.page, part=block.part + 1)


def _fits(block: Block, column: Column, parts: Parts) -> bool:
    """Whether that column has room for the whole block."""
    own, runin = _heading(block, column, parts)
    high, room = len(own) * PITCH, column.y - column.box.y + 0.01
    for n, line in enumerate(block.lines):
        if high > room:  # a list of hundreds of lines is tried in every gap
            return False
        high += len(_after(runin if n == 0 else "", line, column.box.w)) * PITCH
    return high <= room


def _heading(block: Block, column: Column, parts: Parts) -> tuple[tuple[str, ...], str]:
    """The lines of a heading that stands over its block, or the heading that runs in; neither where the page has it already."""
    if block.page == column.page and not column.apart:
        return (), ""
    title = block.title if block.page is None else f"{block.title.partition(' (')[0]}, continued"
    title += parts.which(block)
    if block.first or metrics.width(title, SMALL, bold=True) > column.box.w * 0.7:
        return metrics.wrap(title, column.box.w * 0.95), ""
    return (), title


def _set(block: Block, column: Column, canvas: Canvas, parts: Parts) -> tuple[Block | None, float]:
    """Prints as much of a block as fits a column; gives what is left and the new y."""
    box, y, indent = column.box, column.y, HANG if block.first else 0.0
    onward = parts.onward(block, column.page)
    aside = metrics.width(onward, SMALL) + RUN_IN if onward else 0.0  # of the last line
    free = 0.0
    for n, line in enumerate(block.lines):
        over, runin = _heading(block, column, parts) if n == 0 else ((), "")
        wrapped = _after(runin, line, box.w - indent)
        room = int((y - box.y + 0.01) / PITCH) - len(over)
        if room < (len(wrapped) if block.whole else min(len(wrapped), LEAST)):
            if n and onward and (free >= aside or room):
                y -= 0.0 if free >= aside else PITCH
                canvas.write(onward, (box.x + box.w, y), SMALL, "right")
            return replace(block, lines=block.lines[n:], first=block.first and block.first + n, cut=block.cut and n == 0), y
        for text in over:
            y -= PITCH
            canvas.write(text, (box.x, y), SMALL, bold=True)
        if len(wrapped) > room:
            wrapped, room = _parted(wrapped, room, box.w - indent - aside)
        for m, text in enumerate(wrapped[:room]):
            y -= PITCH
            if block.first and m == 0 and not (block.cut and n == 0):
                canvas.write(str(block.first + n), (box.x, y), SMALL)
            shift = 0.0
            if runin and m == 0:
                canvas.write(runin, (box.x, y), SMALL, bold=True)
                shift = metrics.width(runin, SMALL, bold=True) + RUN_IN
            canvas.write(fit(text, box.w - indent - shift, SMALL), (box.x + indent + shift, y), SMALL)
            free = box.w - indent - shift - metrics.width(text, SMALL)
        if len(wrapped) > room:
            if onward:
                canvas.write(onward, (box.x + box.w, y), SMALL, "right")
            rest = (" ".join(wrapped[room:]), *block.lines[n + 1 :])
            return replace(block, lines=rest, first=block.first and block.first + n, cut=True), y
    return None, y


def _parted(lines: Sequence[str], room: int, width: float) -> tuple[tuple[str, ...], int]:
    """Lines of which only `room` have any, and how many of them are printed: up to the end of what is said of one thing, if
    there is one, else with the last no wider than `width`."""
    ends = [n for n in range(min(1, room - 1), room) if "; " in f"{lines[n]} "]  # not in the line of a heading
    last = ends[-1] if ends else room - 1
    words = lines[last].split(" ")
    short = [n for n in range(1, len(words) + 1) if metrics.width(" ".join(words[:n]), SMALL) <= width] or [1]
    keep = max((n for n in short if words[n - 1].endswith(";")), default=short[-1])
    return (*lines[:last], " ".join(words[:keep]), " ".join((*words[keep:], *lines[last + 1 :]))), last + 1


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

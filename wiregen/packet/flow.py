"""From what a page says to what reportlab sets: each block becomes a platypus table of plain strings, wrapped here.

Text never passes through a mark-up parser and never runs out of its cell: what has no blank to break at is broken anywhere.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import Any

from reportlab.lib.colors import Color, black, white
from reportlab.lib.units import mm
from reportlab.platypus import Flowable
from reportlab.platypus import Table as Grid

from wiregen.fonts import BOLD, REGULAR, width
from wiregen.packet.cells import Band, Link, Ticks, Triangle
from wiregen.packet.content import (
    Block,
    Cell,
    Chains,
    Column,
    Facts,
    Fails,
    Gauge,
    GoTo,
    Graph,
    Graphs,
    Notes,
    OneLine,
    PageOf,
    Revision,
    Room,
    Strong,
    Table,
    Tick,
    Write,
)

SIZE = 8.4  # points: capitals of 1.96 mm
CAPTION = 9.5  # points: captions of tables
SMALL = 7.9  # capitals of 1.84 mm, nothing on paper is smaller
LEADING = 9.9
PAD = 1.1 * mm
HAIR = 0.35  # points
PENCIL = 6.2 * mm  # least height of a row that is filled in by hand
AIR = 1.0 * mm  # what a row has above and below its text
WHOLE = 30 * mm  # facts and notes lower than this are not parted
TALL = 100 * mm  # of a row: one that is higher is parted between lines, as no page may hold it
FEW = 3  # lines of it that stand on a page at the least
TINT = Color(0.92, 0.92, 0.92)
RULE = Color(0.62, 0.62, 0.62)
ALIGNED = {"left": "LEFT", "right": "RIGHT", "middle": "CENTER"}

ALL = (0, -1)  # columns

CONTINUED = ", continued"

Style = list[tuple[Any, ...]]


def wrap(text: str, room: float, size: float = SIZE, bold: bool = False) -> list[str]:
    """Lines no wider than `room` points; breaks at blanks, inside a word only where it does not fit a line alone.

    What begins with blanks keeps them on each of its lines, so that YAML can be read off the page.
    """
    lines: list[str] = []
    for paragraph in text.split("\n"):
        words = paragraph.lstrip(" ")
        indent = paragraph[: len(paragraph) - len(words)]
        inner = room - width(indent, size, bold)
        if inner < room / 2:
            indent, inner = "", room
        lines += [indent + line for line in _broken(words, inner, size, bold)]
    return lines


def _broken(text: str, room: float, size: float, bold: bool) -> list[str]:
    lines: list[str] = []
    line = ""
    for word in text.split(" "):
        tried = f"{line} {word}" if line else word
        if width(tried, size, bold) <= room:
            line = tried
            continue
        if line:
            lines.append(line)
        while width(word, size, bold) > room and len(word) > 1:
            cut = next(n for n in range(len(word) - 1, 0, -1) if n == 1 or width(word[:n], size, bold) <= room)
            lines.append(word[:cut])
            word = word[cut:]
        line = word
    return [*lines, line]


@dataclass(frozen=True)
class Row:
    """A row ready to be set: cells, height in points, style commands as functions of its number, and whether it heads."""

    cells: tuple[Any, ...]
    height: float
    style: tuple[tuple[str, tuple[int, int], Any], ...] = ()  # command, first and last column (-1: the last one), value
    heading: bool = False


class Ruled(Flowable):  # type: ignore[misc]
    """A table that goes on overleaf under its head and under the last heading, "continued" behind it."""

    def __init__(
        self, widths: Sequence[float], head: Sequence[Row], body: Sequence[Row], rules: bool, frame: bool = False
    ) -> None:
        super().__init__()
        self.widths, self.head, self.body, self.rules, self.frame = widths, head, body, rules, frame
        self.hAlign = "LEFT"

    def wrap(self, _width: float, _height: float) -> tuple[float, float]:
        return sum(self.widths), sum(row.height for row in (*self.head, *self.body))

    def split(self, _width: float, height: float) -> list[Flowable]:
        left = height - sum(row.height for row in self.head)
        fits = 0
        while fits < len(self.body) and (left := left - self.body[fits].height) >= 0:
            fits += 1
        if fits < len(self.body) and (parts := _parted(self.body[fits], left + self.body[fits].height)):
            body = [*self.body[:fits], *parts, *self.body[fits + 1 :]]
            return Ruled(self.widths, self.head, body, self.rules, self.frame)._cut(fits + 1)
        while fits and self.body[fits - 1].heading:
            fits -= 1
        return self._cut(fits) if fits else []

    def _cut(self, fits: int) -> list[Flowable]:
        last = next((row for row in reversed(self.body[:fits]) if row.heading), None)
        again = [_overleaf(last)] if last and not self.body[fits].heading else []
        rest = [*again, *self.body[fits:]]
        return [
            Ruled(self.widths, self.head, self.body[:fits], self.rules, self.frame),
            Ruled(self.widths, [_overleaf(row) for row in self.head], rest, self.rules, self.frame),
        ]

    def draw(self) -> None:
        rows = (*self.head, *self.body)
        style: Style = [
            ("FONT", (0, 0), (-1, -1), REGULAR, SIZE, LEADING),
            ("VALIGN", (0, 0), (-1, -1), "MIDDLE" if self.rules else "TOP"),
            ("LEFTPADDING", (0, 0), (-1, -1), PAD),
            ("RIGHTPADDING", (0, 0), (-1, -1), PAD),
            ("TOPPADDING", (0, 0), (-1, -1), AIR / 3),
            ("BOTTOMPADDING", (0, 0), (-1, -1), AIR * 2 / 3),
        ]
        if self.rules:
            style.append(("LINEBELOW", (0, len(self.head)), (-1, -1), HAIR, RULE))
        if self.frame:
            style.append(("BOX", (0, 0), (-1, -1), 1.6, black))
        for number, row in enumerate(rows):
            for command, (first, last), value in row.style:
                values = value if isinstance(value, tuple) else (value,) if value is not None else ()
                style.append((command, (first, number), (last, number), *values))
        grid = Grid([row.cells for row in rows], self.widths, [row.height for row in rows], style=style)
        grid.wrapOn(self.canv, sum(self.widths), 0)
        grid.drawOn(self.canv, 0, 0)


def _parted(row: Row, room: float) -> tuple[Row, Row] | None:
    """A row whose texts are too tall for any page in two, of which the first is no higher than `room`; its name comes again."""
    lines = [cell.split("\n") if isinstance(cell, str) else [cell] for cell in row.cells]
    fits, texts = int((room - 2 * AIR) / LEADING), LEADING * max(map(len, lines))
    if row.height <= TALL or row.height > texts + 2 * AIR or fits < FEW:
        return None
    first = tuple("\n".join(cell[:fits]) if isinstance(cell[0], str) else cell[0] for cell in lines)
    name = lines[0][:1] if len(lines[0]) <= fits else lines[0][fits:]
    rest = [name, *(cell[fits:] for cell in lines[1:])]
    left = row.height - texts
    return (
        replace(row, cells=first, height=LEADING * fits + left),
        replace(row, cells=tuple("\n".join(cell) for cell in rest), height=LEADING * max(map(len, rest)) + left),
    )


def _overleaf(row: Row) -> Row:
    """A caption or heading as it comes again; other rows of the head come again as they are."""
    return replace(row, cells=(_continued(str(row.cells[0])), *row.cells[1:])) if row.heading else row


def _continued(text: str) -> str:
    return text if not text or text.endswith(CONTINUED) else text + CONTINUED


def _across(text: str, columns: int, size: float, ground: Color = TINT, ink: Color = black) -> Row:
    """A caption or heading over all columns."""
    style = (("SPAN", ALL, None), ("FONT", ALL, (BOLD, size, LEADING)), ("BACKGROUND", ALL, ground), ("TEXTCOLOR", ALL, ink))
    return Row((text, *("",) * (columns - 1)), LEADING + 1.5 * AIR, style, heading=True)


def _titles(columns: Sequence[Column], inner: Sequence[float]) -> Row:
    lines = [wrap(c.title, w, SMALL, bold=True) for c, w in zip(columns, inner, strict=True)]
    style: list[tuple[str, tuple[int, int], Any]] = [("FONT", ALL, (BOLD, SMALL, LEADING)), ("LINEBELOW", ALL, (0.8, black))]
    style += [("ALIGN", (n, n), ALIGNED[c.align]) for n, c in enumerate(columns)]
    return Row(tuple("\n".join(cell) for cell in lines), LEADING * max(map(len, lines)) + AIR, tuple(style))


def _set(cell: Cell, room: float) -> tuple[Any, float]:
    """The cell as platypus takes it, and its height in points."""
    match cell:
        case Tick(boxes):
            return Ticks(boxes), Ticks.side
        case Revision(letter):
            return Triangle(letter), Triangle.tall
        case Gauge():
            return Band(cell, room), Band.tall
        case Write(unit):
            return unit, LEADING
        case GoTo(text, key):
            return Link(room, LEADING, SIZE, key, text), LEADING
        case PageOf(key):
            return Link(room, LEADING, SIZE, key, None), LEADING
        case Strong(text) | Fails(text):
            lines = wrap(text, room, bold=True)
        case str(text):
            lines = wrap(text, room)
    return "\n".join(lines), LEADING * len(lines)


def _row(cells: Sequence[Cell], columns: Sequence[Column], inner: Sequence[float], by_hand: bool) -> Row:
    if len(cells) == 1 and isinstance(cells[0], str):
        return _across(cells[0], len(columns), SIZE)
    last, spare = len(cells) - 1, len(columns) - len(cells)
    rooms = [*inner[:last], sum(inner[last:]) + 2 * PAD * spare]
    ready = [_set(cell, room) for cell, room in zip(cells, rooms, strict=True)]
    tallest = max(height for _, height in ready) + AIR
    style: list[tuple[str, tuple[int, int], Any]] = [
        ("FONTNAME", (n, n), BOLD) for n, cell in enumerate(cells) if isinstance(cell, (Strong, Fails))
    ]
    style += [("ALIGN", (n, n), ALIGNED[c.align]) for n, c in enumerate(columns[: len(cells)]) if c.align != "left"]
    for n, cell in enumerate(cells):
        if isinstance(cell, Fails):
            style += [("BACKGROUND", (n, n), black), ("TEXTCOLOR", (n, n), white)]
        if isinstance(cell, Write):  # a box to write in, its unit at the right
            style += [("BOX", (n, n), (HAIR, RULE)), ("ALIGN", (n, n), "RIGHT")]
    if spare:
        style += [("SPAN", (last, -1), None), ("ALIGN", (last, last), "LEFT")]
    return Row((*(cell for cell, _ in ready), *("",) * spare), max(tallest, PENCIL) if by_hand else tallest, tuple(style))


def _table(table: Table, room: float) -> Flowable:
    total = sum(c.share for c in table.columns)
    widths = [room * c.share / total for c in table.columns]
    inner = [w - 2 * PAD for w in widths]
    head = [_across(table.caption, len(widths), CAPTION)] if table.caption else []
    head.append(_titles(table.columns, inner))
    return Ruled(widths, head, [_row(cells, table.columns, inner, table.by_hand) for cells in table.rows], rules=True)


class Folded(Flowable):  # type: ignore[misc]
    """Pairs of name and text, to be read down one of `across` columns after the other; names are as wide as the widest.

    What goes on overleaf is folded anew, so that each page is read to its end before the next.
    """

    def __init__(
        self, items: Sequence[tuple[str, str]], across: int, caption: str, room: float, caution: bool = False
    ) -> None:
        super().__init__()
        self.items, self.across, self.caption, self.room, self.caution = items, across, caption, room, caution
        self.hAlign = "LEFT"
        self._ruled = _folded(items, across, caption, room, caution)

    def wrap(self, width: float, height: float) -> tuple[float, float]:
        return self._ruled.wrap(width, height)

    def split(self, width: float, height: float) -> list[Flowable]:
        if self.wrap(width, height)[1] < WHOLE:
            return []
        most = self.across * int(height // LEADING)  # each takes a line
        for fits in range(min(len(self.items) - 1, most), 0, -1):
            first = Folded(self.items[:fits], self.across, self.caption, self.room, self.caution)
            if first.wrap(width, height)[1] <= height:
                rest = Folded(self.items[fits:], self.across, _continued(self.caption), self.room, self.caution)
                return [first, rest]
        return self._parted(width, height)

    def _parted(self, width: float, height: float) -> list[Flowable]:
        """Its first pair in two, where no page may hold it: the text goes on, or is said again of more names."""
        (name, text), *others = self.items
        wide = _widths([(name, text)], self.room / self.across)
        names, lines = wrap(name, wide[0] - 2 * PAD, bold=True), wrap(text, wide[1] - 2 * PAD)
        alone = Folded([(name, text)], self.across, self.caption, self.room, self.caution).wrap(width, height)[1]
        fits = int((height - alone) // LEADING) + max(len(names), len(lines))
        if alone <= TALL or fits < FEW:
            return []
        here = name if len(names) <= fits else "\n".join(names[:fits])
        rest = [(here, "\n".join(lines[fits:]))] if lines[fits:] else []
        rest += [("\n".join(names[fits:]), text)] if names[fits:] else []
        return [
            Folded([(here, "\n".join(lines[:fits]))], self.across, self.caption, self.room, self.caution),
            Folded([*rest, *others], self.across, _continued(self.caption), self.room, self.caution),
        ]

    def draw(self) -> None:
        self._ruled.canv = self.canv
        self._ruled.draw()


def _folded(items: Sequence[tuple[str, str]], across: int, caption: str, room: float, caution: bool) -> Ruled:
    widths = [*_widths(items, room / across)] * across
    tall = -(-len(items) // across)
    body = []
    for row in range(tall):
        cells = []
        for n in range(across):
            key, text = items[row + tall * n] if row + tall * n < len(items) else ("", "")
            cells += [wrap(key, widths[0] - 2 * PAD, bold=True), wrap(text, widths[1] - 2 * PAD)]
        style = tuple(("FONTNAME", (2 * n, 2 * n), BOLD) for n in range(across))
        body.append(Row(tuple("\n".join(lines) for lines in cells), LEADING * max(map(len, cells)) + AIR / 2, style))
    ground, ink = (black, white) if caution else (TINT, black)
    head = [_across(caption, 2 * across, CAPTION, ground, ink)] if caption else []
    return Ruled(widths, head, body, rules=False, frame=caution)


def _widths(items: Sequence[tuple[str, str]], each: float) -> tuple[float, float]:
    """Of names and of texts, in points."""
    name = min(max(width(key, SIZE, bold=True) for key, _ in items) + 2 * PAD + 1, 0.4 * each)
    return name, each - name


def _shown(graphs: Sequence[Graph], across: int, caption: str, room: float) -> Flowable:
    """Rows of graphs under a caption; a row is never parted."""
    from wiregen.packet.curves import draw, lines_above  # with matplotlib behind it: only where there is a graph

    wide = room / across
    body = []
    for n in range(0, len(graphs), across):
        row = graphs[n : n + across]
        lines = max(map(lines_above, row))  # alike, so that the frames stand level
        drawn = [draw(graph, wide, lines) for graph in row]
        body.append(Row((*drawn, *("",) * (across - len(row))), drawn[0].height + 2 * AIR))
    head = [_across(caption, across, CAPTION)] if caption else []
    return Ruled([wide] * across, head, body, rules=False)


def _chained(chains: Chains, room: float) -> Flowable:
    """A row of a line is never parted; what is longer than the page goes on overleaf between rows."""
    from wiregen.packet.chain_drawing import rows  # with schemdraw behind it: only where there is a chain

    body = [Row((drawn,), drawn.height + AIR) for drawn in rows(chains.runs, room - 2 * PAD, chains.symbols, chains.signed)]
    return Ruled([room], [], body, rules=False)


def _lined(block: OneLine, room: float) -> Flowable:
    """A piece of a tree is never parted."""
    from wiregen.packet.one_line_drawing import drawings  # with schemdraw behind it: only where there is a tree

    head = _across(block.caption, 1, CAPTION)
    pieces = drawings(block.roots, block.symbols, room - 2 * PAD, block.tall - head.height - 3 * AIR)
    body = [Row((drawn,), drawn.height + 2 * AIR) for drawn in pieces]
    return Ruled([room], [head], body, rules=True)


GAP = 2.2 * mm  # between blocks


def flow(block: Block, room: float) -> Flowable:
    """The block as a flowable for a column `room` points wide."""
    match block:
        case Table():
            return _table(block, room)
        case Facts(rows, across, caption):
            return Folded(rows, across, caption, room)
        case Notes(items, across, caption, numbered, caution):
            named = [(f"{n}" if numbered else "–", text) for n, text in enumerate(items, 1)]
            return Folded(named, across, caption, room, caution)
        case Graphs(graphs, across, caption):
            return _shown(graphs, across, caption, room)
        case Chains():
            return _chained(block, room)
        case OneLine():
            return _lined(block, room)
        case Room(caption, height):
            body = [Row(("",), height * mm)]
            return Ruled([room], [_across(caption, 1, CAPTION)], body, rules=False, frame=True)

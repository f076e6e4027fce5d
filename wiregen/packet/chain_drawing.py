"""Draws release chains in rows: the chain itself as a bold line, what acts upon it as thin ones under their letters.

Sizes are millimetres.  A row is as tall as what stands in it; a line that is longer than the paper goes on in the next row,
under a number, and is never drawn smaller.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import Any

from reportlab.graphics.shapes import Drawing

from wiregen.drafting import symbols as sym
from wiregen.drafting.canvas import MM, Canvas
from wiregen.drafting.ink import CHAIN, DESIGNATION, LETTER, LINE, NARROW, SMALL, TERMINAL
from wiregen.drafting.metrics import width, wrap
from wiregen.drafting.model import Point, Rect
from wiregen.fonts import CAP
from wiregen.packet.release_chain import Run, Stage, Thing
from wiregen.packet.ways import Wire

BOX = 13.0  # least width of the box of a thing, marks beside its symbol included
OVER, UNDER = 5.0, 6.2  # of the box over and under the line
TEXT = 27.0  # names and words are wrapped at this width
LEAD = 3.5  # of bare line beside a box
BETWEEN = 7.0  # between lines that stand in one row
COLUMN = 3  # so many wires stand over one another
FIELD = (10.0, 7.5, 9.5)  # "tested", "by", "date"
TALL = 6.6  # of these fields
AIR = 2.0
PITCH = SMALL * LINE
ROOM_BELOW = 1.5
TAG = 3.6  # height of the frame of a letter or number, and width of a round one
WIDE = 4.6  # width of a letter's, so that nobody takes it for a box to tick
SYMBOL = 0.5  # width of the strokes of a contact that lies in the bold line


@dataclass(frozen=True)
class _Cell:
    """A thing with its lettering wrapped."""

    thing: Thing
    bold: bool
    field: bool

    @property
    def named(self) -> tuple[str, ...]:
        thing = self.thing
        return (*wrap(thing.name, TEXT), *((f"at {thing.place}",) if thing.place else ())) if thing.name else ()

    @property
    def words(self) -> tuple[str, ...]:
        return tuple(line for word in self.thing.words for line in wrap(word, TEXT))

    @property
    def entering(self) -> str:
        return max(self.thing.enters, key=len, default="")  # several stand under one another

    @property
    def leaving(self) -> str:
        return self.thing.leaves if self.thing.leaves not in self.thing.enters else ""

    @property
    def boxed(self) -> bool:
        return self.thing.look != "mains"

    @property
    def box(self) -> float:
        """Its width: marks at both ends, under the line, and the symbol or word over it."""
        marks = sum(width(mark, LETTER) for mark in (self.entering, self.leaving)) + 2 * 1.2 + 2.5
        return max(BOX, marks, width(self.thing.word, SMALL) + 4)

    @property
    def wide(self) -> float:
        texts = [width(self.thing.ref, DESIGNATION, bold=True), *(width(t, SMALL) for t in (*self.named, *self.words))]
        tags = len(self.thing.acts) * (WIDE + 1)
        return max(self.box, *texts, tags, sum(FIELD) if self.field else 0) + 1.0

    @property
    def above(self) -> float:
        return OVER + 1.2 + PITCH * len(self.named) + DESIGNATION + 0.5

    @property
    def below(self) -> float:
        tags = TAG + ROOM_BELOW if self.thing.acts else 0
        return UNDER + 0.8 + PITCH * len(self.words) + tags + (TALL + 1.0 if self.field else 0)


def _label(wires: Sequence[Wire]) -> tuple[float, float]:
    """Width of the lettering at a line and its height over it: numbers with what they lie in."""
    if not wires:
        return 0.0, 0.0
    columns = [wires[n : n + COLUMN] for n in range(0, len(wires), COLUMN)]
    wide = sum(max(_wire_width(wire, len(wires)) for wire in column) + 1.5 for column in columns)
    return wide, 1.0 + min(len(wires), COLUMN) * LETTER * LINE


def _wire_width(wire: Wire, of: int) -> float:
    """A wire alone has its number over the line and what it lies in under it; several have both over it."""
    number, lies = width(wire.number, LETTER), width(wire.lies, SMALL)
    return max(number, lies) if of == 1 else number + lies + 1.0


@dataclass(frozen=True)
class _Piece:
    """A stage as it is placed: one cell, or several beneath one another between upright lines."""

    stage: Stage
    cells: tuple[_Cell, ...]
    first: bool

    @property
    def before(self) -> float:
        wide = max(_label(branch.before)[0] for branch in self.stage)
        return 0.0 if self.first and not wide else max(wide + 1.0, LEAD)

    @property
    def after(self) -> float:
        if len(self.stage) == 1:
            return 0.0
        return max(max(_label(branch.after)[0] for branch in self.stage) + 1.0, LEAD)

    @property
    def inner(self) -> float:
        return max(cell.wide for cell in self.cells)

    @property
    def wide(self) -> float:
        return self.before + self.inner + self.after

    @property
    def offsets(self) -> tuple[float, ...]:
        """How far the line of each alternative lies under the first."""
        found = [0.0]
        for n, cell in enumerate(self.cells[:-1]):
            over = max(self.cells[n + 1].above, *(_label(w)[1] for w in (self.stage[n + 1].before, self.stage[n + 1].after)))
            found.append(found[-1] + cell.below + AIR + over)
        return tuple(found)

    @property
    def above(self) -> float:
        return max(self.cells[0].above, *(_label(wires)[1] for wires in (self.stage[0].before, self.stage[0].after)))

    @property
    def below(self) -> float:
        return self.offsets[-1] + self.cells[-1].below


@dataclass(frozen=True)
class _Part:
    """So much of a line as stands in one row; `comes` and `goes` are the numbers under which it is carried over."""

    run: Run
    pieces: tuple[_Piece, ...]
    comes: int = 0
    goes: int = 0

    @property
    def head(self) -> float:
        return WIDE + LEAD if self.run.letter or self.comes else 0.0

    @property
    def below(self) -> float:
        """What several lines lead to reaches down to the lowest of them, and has its words under that."""
        low = [0.0, *(piece.offsets[-1] for piece in self.pieces)]
        several = (len(piece.stage[0].thing.enters) > 1 and len(piece.stage) == 1 for piece in self.pieces)
        return max(piece.below + (drop if led else 0.0) for piece, drop, led in zip(self.pieces, low, several, strict=False))

    @property
    def wide(self) -> float:
        return self.head + sum(piece.wide for piece in self.pieces) + (LEAD + TAG if self.goes else 0)


def rows(runs: Sequence[Run], room: float, symbols: str, signed: bool) -> Iterator[Drawing]:
    """The lines in rows no wider than `room` points, each a drawing; with fields to sign in where `signed`."""
    row: list[_Part] = []
    for part in _parts(runs, room / MM, signed):
        if row and (part.run.bold or row[-1].goes or part.comes or sum(p.wide + BETWEEN for p in row) + part.wide > room / MM
                    or row[-1].run.bold):  # fmt: skip
            yield _drawn(row, room / MM, symbols)
            row = []
        row.append(part)
    if row:
        yield _drawn(row, room / MM, symbols)


def _parts(runs: Sequence[Run], room: float, signed: bool) -> Iterator[_Part]:
    carried = 0
    for run in runs:
        pieces: list[_Piece] = []
        comes = 0
        stages = list(run.stages)
        for n, stage in enumerate(stages):
            cells = tuple(_Cell(b.thing, run.bold, signed and b.thing.look == "contact") for b in stage)
            piece = _Piece(stage, cells, n == 0)
            tried = _Part(run, (*pieces, piece), comes, 1 if n + 1 < len(stages) else 0)
            if pieces and tried.wide > room and len(stage[0].thing.enters) < 2:  # what several lead to stays beside them
                carried += 1
                yield _Part(run, tuple(pieces), comes, carried)
                pieces, comes = [], carried
            pieces.append(piece)
        yield _Part(run, tuple(pieces), comes)


def _drawn(row: Sequence[_Part], room: float, symbols: str) -> Drawing:
    above = max(piece.above for part in row for piece in part.pieces) + 0.5
    below = max(part.below for part in row) + 0.5
    pen = _Pen(Canvas(room, above + below), symbols)
    x = 0.5
    for part in row:
        pen.part(part, x, below)
        x += part.wide + BETWEEN
    return pen.canvas.drawing


class _Pen:
    def __init__(self, canvas: Canvas, symbols: str) -> None:
        self.canvas, self.symbols = canvas, symbols

    def part(self, part: _Part, x: float, y: float) -> None:
        heavy = CHAIN if part.run.bold else NARROW
        if part.head:
            self.tag(part.run.letter if not part.comes else str(part.comes), (x, y - TAG / 2), round_=bool(part.comes))
            if part.comes:
                self.canvas.line([(x + TAG, y), (x + part.head, y)], heavy)
            x += part.head
        left: list[Point] = [(x, y)]
        for piece in part.pieces:
            left = self.piece(piece, x, y, heavy, left)
            x += piece.wide
        if part.goes:
            self.canvas.line([left[0], (x + LEAD, y)], heavy)
            self.arrow((x + LEAD, y))
            self.tag(str(part.goes), (x + LEAD, y - TAG / 2), round_=True)

    def piece(self, piece: _Piece, x: float, y: float, heavy: float, left: Sequence[Point]) -> list[Point]:
        """Draws a stage; gives where its lines are left."""
        inner = x + piece.before
        ends: list[Point] = []
        several = len(piece.stage) > 1
        origin = several and piece.first  # what power begins from is joined in the thing that it feeds
        inlets = piece.cells[0].thing.enters
        for branch, cell, under in zip(piece.stage, piece.cells, piece.offsets, strict=True):
            at = y - under
            low = [point[1] for point in left]
            start, end = self.cell(cell, inner, at, piece.inner, heavy, low if len(inlets) > 1 and not several else ())
            if not piece.first or branch.before or len(left) > 1:
                for point in left if len(inlets) > 1 else left[:1]:
                    level = point[1] if len(inlets) > 1 else at
                    self.canvas.line([(x if several else point[0], level), (start, level)], heavy)
                self.wires(branch.before, x + 0.5, at)
            ends.append((end, at))
            if several:
                right = x + piece.wide
                self.canvas.line([(end, at), (right, at)], heavy)
                self.wires(branch.after, right - piece.after + 0.8, at)
                ends[-1] = (right, at)
        if several:
            levels = [at for _, at in ends]
            if not origin:
                for across in (x, x + piece.wide):
                    self.canvas.line([(across, max(levels) + heavy / 2), (across, min(levels) - heavy / 2)], heavy)
                self.canvas.line([left[0], (x, y)], heavy)
                return ends[:1]
            return ends
        return ends[:1]

    def cell(self, cell: _Cell, x: float, y: float, wide: float, heavy: float, inlets: Sequence[float]) -> tuple[float, float]:
        """Draws a thing with its middle in a column; gives where the line enters and leaves it."""
        thing, middle = cell.thing, x + wide / 2
        left, right = middle - cell.box / 2, middle + cell.box / 2
        base = min(inlets, default=y)
        self.lettering(cell, x + (wide - cell.wide) / 2 + 0.5, y, base, left)
        if not cell.boxed:
            self.symbol(sym.elm.SourceSin(), (middle - 3, y), (middle + 3, y), heavy)
            return middle - 3, middle + 3
        self.canvas.rect(Rect(left, base - UNDER, right - left, y - base + OVER + UNDER), NARROW)
        if thing.enters:
            for level, mark in zip(inlets or (y,), thing.enters if inlets else (cell.entering,), strict=True):
                self.terminal((left, level))
                self.canvas.write(mark, (left + 1.2, level - 2.1 - LETTER), LETTER)
        if thing.leaves and thing.leaves not in thing.enters:
            self.terminal((right, y))
            self.canvas.write(thing.leaves, (right - 1.2, y - 2.1 - LETTER), LETTER, "right")
        self.inside(thing, left + TERMINAL / 2, right - TERMINAL / 2, y, heavy)
        return left - TERMINAL / 2, right + TERMINAL / 2 if thing.leaves and thing.leaves not in thing.enters else right

    def terminal(self, at: Point) -> None:
        self.canvas.disc(at, TERMINAL, NARROW, (1, 1, 1))

    def lettering(self, cell: _Cell, x: float, y: float, base: float, box: float) -> None:
        thing = cell.thing
        top = y + OVER + 1.2
        for n, line in enumerate(reversed(cell.named)):
            self.canvas.write(line, (x, top + PITCH * n), SMALL)
        self.canvas.write(thing.ref, (x, top + PITCH * len(cell.named)), DESIGNATION, bold=True)
        low = base - UNDER - 0.8
        if thing.acts:
            for n, letter in enumerate(thing.acts):
                at = box + 0.5 + n * (WIDE + 1)
                self.canvas.line([(at + WIDE / 2, base - UNDER), (at + WIDE / 2, low - 0.7)])
                self.tag(letter, (at, low - 0.7 - TAG))
            low -= TAG + ROOM_BELOW
        for line in cell.words:
            low -= PITCH
            self.canvas.write(line, (x, low + 0.4), SMALL)
        if cell.field:
            left = x
            for room, caption in zip(FIELD, ("tested", "by", "date"), strict=True):
                self.canvas.rect(Rect(left, low - 0.6 - TALL, room, TALL), NARROW)
                self.canvas.write(caption, (left + 0.6, low - 0.6 - 0.6 - SMALL), SMALL)
                left += room

    def inside(self, thing: Thing, left: float, right: float, y: float, heavy: float) -> None:
        middle = (left + right) / 2
        ends = (middle - 4, y), (middle + 4, y)
        match thing.look:
            case "contact":
                element = sym.contact(thing.closed, thing.kind, self.symbols)
            case "fuse" | "battery":
                element = sym.two_terminal(thing.look, self.symbols)
            case "load" | "series" if thing.kind:
                element = sym.two_terminal(thing.kind, self.symbols)
            case "pass":
                self.canvas.line([(left, y), (right, y)], heavy)
                return
            case _:
                self.canvas.write(_said(thing), (middle, y + 1.6 if thing.look != "output" else y + 0.8), SMALL, "middle")
                return
        start = left if thing.enters else ends[0][0]
        self.canvas.line([(start, y), ends[0]], heavy)
        self.canvas.line([ends[1], (right, y)], heavy)
        self.symbol(element, *ends, heavy)

    def symbol(self, element: Any, start: Point, end: Point, heavy: float) -> None:
        """As `symbols.draw`, in the weight of its line."""
        stroke = min(heavy, SYMBOL) * MM
        sym.between(element, start, end)._place((0, 0), 0, lw=stroke, color="black", fontsize=SMALL * MM / CAP, bgcolor="white")
        element._draw(self.canvas)

    def wires(self, wires: Sequence[Wire], x: float, y: float) -> None:
        if len(wires) == 1:
            middle = x + _wire_width(wires[0], 1) / 2
            self.canvas.write(wires[0].number, (middle, y + 1.2), LETTER, "middle")
            self.canvas.write(wires[0].lies, (middle, y - 1.2 - SMALL), SMALL, "middle")
            return
        for n in range(0, len(wires), COLUMN):
            column = wires[n : n + COLUMN]
            for m, wire in enumerate(reversed(column)):
                level, at = y + 1.2 + m * LETTER * LINE, x
                if wire.number:
                    self.canvas.write(wire.number, (at, level), LETTER)
                    at += width(wire.number, LETTER) + 1.0
                self.canvas.write(wire.lies, (at, level), SMALL)
            x += max(_wire_width(wire, len(wires)) for wire in column) + 1.5

    def tag(self, text: str, at: Point, round_: bool = False) -> None:
        """A letter in a frame: a line that acts; a number in a round one: where a line goes on."""
        wide = TAG if round_ else WIDE
        self.canvas.rect(Rect(*at, wide, TAG), NARROW, radius=TAG / 2 if round_ else 0)
        self.canvas.write(text, (at[0] + wide / 2, at[1] + (TAG - LETTER) / 2 + 0.1), min(LETTER, 2.3), "middle", bold=True)

    def arrow(self, at: Point) -> None:
        self.canvas.arrow(at, 0, 2.0, 2.4)


def _said(thing: Thing) -> str:
    return thing.word or {"input": "input", "drive": "output", "line": "line", "end": "", "load": "load"}.get(thing.look, "")

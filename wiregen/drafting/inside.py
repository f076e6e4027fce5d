"""Draws what stands inside a device, between its terminals: symbols in rows, joined to the marks by narrow lines."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from itertools import pairwise

from wiregen.drafting import symbols as sym
from wiregen.drafting.canvas import Canvas
from wiregen.drafting.ink import LINE, SMALL
from wiregen.drafting.model import Point, Rect
from wiregen.drafting.parts import Item
from wiregen.drafting.stacking import Row, Set, drawable, fitted, middles, width_of
from wiregen.reading.model import DataSheet

TIP = 1.3  # from the common's row to the tip of a change-over's fixed contact
HEAD = (1.3, 1.1)  # arrowhead: length, width
RISE, BELOW = 3.0, 0.5  # between things side by side on one row; of the first of them below it
JOINT = 0.35  # radius of the small dot where narrow lines meet


def draw_inside(
    canvas: Canvas, sheet: DataSheet, box: Rect, rows: Mapping[str, Row], symbols: str, taken: Rect | None
) -> None:
    """Draws the inside of a box.  `rows` are its terminals; `taken` is the room of its title, which nothing may enter."""
    items = drawable(sheet, rows)
    sets = fitted(items, rows, box, taken)
    pen = _Pen(canvas, box, rows, symbols)
    for placed in sets:
        pen.one_side(placed)
    for item, room, nth, many in middles(items, rows, sets, box, taken):
        pen.across(item, room, nth, many)


class _Pen:
    """Draws items of one box."""

    def __init__(self, canvas: Canvas, box: Rect, rows: Mapping[str, Row], symbols: str) -> None:
        self.canvas, self.box, self.rows, self.symbols = canvas, box, rows, symbols

    def x(self, side: str, depth: float) -> float:
        return self.box.x + depth if side == "left" else self.box.x + self.box.w - depth

    def lead(self, mark: str) -> Point:
        row = self.rows[mark]
        return self.x(row.side, row.start), row.y

    def lines(self, *lines: Sequence[Point]) -> None:
        """Leads between marks and symbols."""
        for line in lines:
            self.canvas.line(line)

    def strokes(self, *lines: Sequence[Point], dashed: bool = False) -> None:
        """Strokes of a symbol."""
        sym.draw(self.canvas, sym.strokes(*lines, dashed=dashed))

    def element(self, element: object, start: Point, end: Point, mirrored: bool = False) -> None:
        sym.draw(self.canvas, sym.between(element, start, end, mirrored))

    def word(self, placed: Set, depth: float, y: float) -> None:
        lines = placed.item.word.split("\n") if placed.worded else ()
        for n, line in enumerate(lines):
            at = y - SMALL / 2 + ((len(lines) - 1) / 2 - n) * SMALL * LINE
            self.canvas.write(line, (self.x(placed.side, depth), at), SMALL, "left" if placed.side == "left" else "right")

    # ---- on one side ------------------------------------------------------------------------------------------------

    def one_side(self, p: Set) -> None:
        item, marks = p.item, [m for m in p.item.marks if m in self.rows]
        if item.look in ("contact", "part"):
            self._upright(p)
        elif item.look == "changeover":
            self._changeover(p)
        elif item.look in ("source", "load", "line"):
            self._bracket(p, marks)
        elif item.look in ("input", "drive", "both ways"):
            self._port(p, marks[0])
        elif item.look == "earth":
            end = (self.x(p.side, p.at), self.rows[marks[0]].y)
            self.lines([self.lead(marks[0]), end])
            sym.draw(self.canvas, sym.earth(end, 1 if p.side == "left" else -1))
        elif item.look == "tie":
            self._tie(p, marks)
        elif item.look in ("joint", "pass"):
            x, (first, again) = self.x(p.side, p.at + 0.3), (self.lead(m) for m in marks)
            self.lines([first, (x, first[1]), (x, again[1]), again])
        elif item.look == "jack":
            self.word(p, p.at + 0.4, self.rows[marks[0]].y)

    def _upright(self, p: Set) -> None:
        """A two-terminal symbol on an upright line, its ends led there from two rows of one side."""
        item = p.item
        (x1, y1), (x2, y2) = (self.lead(m) for m in item.marks)
        half = width_of(item) / 2 if item.look == "part" else 1.2 if item.what == "reed" else 0.6
        depth = p.at + half
        if item.line_end:
            at, across = self.x(p.side, depth + 4.6), self.x(p.side, depth + 8.0)
            self.element(sym.two_terminal("resistor", self.symbols), (x1, y1), (at, y1))
            self.lines([(at, y1), (across, y1)], [(at, y2), (across, y2)])
            self.element(sym.two_terminal("resistor", self.symbols), (across, y1), (across, y2))
            x1, depth = at, depth + 4.6
        x = self.x(p.side, depth)
        self.body(item, (x1, y1), (x2, y2), x, p.side == "left")
        self.word(p, p.at + width_of(item) + 0.6, sum(self.gap(y1, y2)) / 2)

    def body(self, item: Item, first: Point, second: Point, x: float, inward: bool) -> None:
        """The symbol itself, between two rows next to each other, so that no other line runs through it."""
        (x1, y1), (x2, y2) = first, second
        low, high = self.gap(y1, y2)
        near, far = (high, low) if y1 > y2 else (low, high)
        self.lines([(x1, y1), (x, y1), (x, near)], [(x2, y2), (x, y2), (x, far)])
        self.element(self._element(item), (x, near), (x, far), (y1 > y2) != inward)

    def gap(self, y1: float, y2: float) -> tuple[float, float]:
        """The first room between rows, from the upper of two rows down, that takes a symbol."""
        ys = sorted({y1, y2, *(r.y for r in self.rows.values() if min(y1, y2) < r.y < max(y1, y2))}, reverse=True)
        return next(((low, high) for high, low in pairwise(ys) if high - low > 4.4), (min(y1, y2), max(y1, y2)))

    def _element(self, item: Item) -> object:
        if item.look == "part":
            return sym.two_terminal(item.what, self.symbols)
        return sym.contact(item.closed, item.what, self.symbols)

    def _changeover(self, p: Set) -> None:
        common, make, break_ = p.item.marks
        near, far = self.x(p.side, p.at + 0.6), self.x(p.side, p.at + 4.4)
        y = {m: self.rows[m].y for m in p.item.marks if m in self.rows}
        if len(y) == 3 and (y[make] - y[common]) * (y[break_] - y[common]) > 0:
            pivot = (far, (y[make] + y[break_]) / 2)
            tips = {m: (near, y[m]) for m in (make, break_)}
            self.lines([self.lead(common), (far, y[common]), pivot], *([self.lead(m), tips[m]] for m in tips))
            rest = make if p.item.closed else break_
            other = tips[make if rest == break_ else break_]
            toward = 1.0 if pivot[1] > other[1] else -1.0
            self.strokes([other, (near, other[1] + 0.7 * toward)])
            self._blade(p, pivot, tips[rest], far)
        else:
            self._pivoted(p.item, self.lead(common), near, far)
            self._moved_by(p, far, y[common] + 0.4 * self._sense(p.item))

    def _sense(self, item: Item) -> float:
        """Whether the contact on which a change-over rests is drawn above (1) or below (-1) its common.

        Each on the side on which its row lies; where both rows lie on one side, the nearer row gives way.
        """
        common, make, break_ = item.marks
        home = self.rows[common]
        ways: list[tuple[bool, float, float, bool]] = []
        for mark in (make, break_) if item.closed else (break_, make):
            row = self.rows.get(mark)
            if row is not None and row.y != home.y:
                ways.append((row.side != home.side, -abs(row.y - home.y), 1.0 if row.y > home.y else -1.0, not ways))
            else:
                ways.append((True, 0.0, 0.0, not ways))
        _, _, way, rests = min(ways)
        return (way if rests else -way) or 1.0

    def _pivoted(self, item: Item, start: Point, pivot_x: float, tip_x: float) -> None:
        """A change-over with its blade's pivot on the common's row and the fixed contacts above and below the blade."""
        common, make, break_ = item.marks
        y, sense = self.rows[common].y, self._sense(item)
        rest, other = (make, break_) if item.closed else (break_, make)
        self.lines([start, (pivot_x, y)])
        self.strokes([(pivot_x, y), (tip_x, y + TIP * sense)])
        for mark, up in ((rest, sense), (other, -sense)):
            tip = (tip_x, y + TIP * up)
            if mark not in self.rows:
                self.strokes([tip, (tip_x, tip[1] + 0.8 * up)])
            elif (self.rows[mark].y - y) * up < 0:  # its row lies on the other side: round the blade's end
                round_ = tip_x + (1.3 if tip_x > pivot_x else -1.3)
                self.lines([self.lead(mark), (round_, self.rows[mark].y), (round_, tip[1]), tip])
            else:
                self.lines([self.lead(mark), (tip_x, self.rows[mark].y), tip])

    def _blade(self, p: Set, pivot: Point, tip: Point, far: float) -> None:
        reach = 1.08  # the blade runs a little past the contact on which it rests
        self.strokes([pivot, (pivot[0] + (tip[0] - pivot[0]) * reach, pivot[1] + (tip[1] - pivot[1]) * reach)])
        self._moved_by(p, far, (pivot[1] + tip[1]) / 2, (pivot[0] + tip[0]) / 2)

    def _moved_by(self, p: Set, far: float, y: float, start: float | None = None) -> None:
        inward = 1.0 if p.side == "left" else -1.0
        begin = start if start is not None else far - inward * 2.4
        self.strokes([(begin, y), (far + inward * 1.0, y)], dashed=True)
        x0, x1 = far + inward * 1.0, far + inward * 2.2
        if p.item.what == "relay":
            self.strokes([(x0, y - 1.0), (x0, y + 1.0), (x1, y + 1.0), (x1, y - 1.0), (x0, y - 1.0)])
        else:
            self.strokes([(x0 - inward * 0.4, y + 0.8), (x0, y + 0.8), (x0, y - 0.8), (x0 - inward * 0.4, y - 0.8)])
        self.word(p, p.at + width_of(p.item) + 0.6, y)

    def _bracket(self, p: Set, marks: list[str]) -> None:
        """Terminals that belong together: what a source, a load or a data line lies between."""
        back = self.x(p.side, p.at + width_of(p.item))
        ys = [self.rows[m].y for m in marks]
        for n, mark in enumerate(marks):
            start, y = self.lead(mark), self.rows[mark].y
            if p.item.fused and n == 0:
                fuse_end = self.x(p.side, p.at + 4.2)
                self.element(sym.two_terminal("fuse", self.symbols), start, (fuse_end, y))
                start = (fuse_end, y)
            self.lines([start, (back, y)])
        self.lines([(back, min(ys)), (back, max(ys))])
        middle = self.x(p.side, p.at + width_of(p.item) - 1.4)
        inward = 1 if p.side == "left" else -1
        if p.item.look == "line":
            for y in ys:
                for way in (1, -1):
                    self._head(middle + way * 0.75 * inward, y, way * inward)
        elif p.item.word != "mains":
            self._head(middle, ys[0], inward if p.item.look == "load" else -inward)
        top = sorted(ys, reverse=True)
        close = len(top) > 1 and top[0] - top[1] < 6
        self.word(p, p.at + width_of(p.item) + 0.5, (top[0] + top[1]) / 2 if close else top[0] - 2.5)

    def _head(self, x: float, y: float, way: int) -> None:
        """A filled arrowhead whose middle is at x."""
        self.canvas.arrow((x + way * HEAD[0] / 2, y), 0 if way > 0 else 180, HEAD[1], HEAD[0])

    def _port(self, p: Set, mark: str) -> None:
        start, y = self.lead(mark), self.rows[mark].y
        end = self.x(p.side, p.at + 2.6)
        inward = 1 if p.side == "left" else -1
        self.lines([start, (end, y)])
        self.strokes([(end, y - 0.9), (end, y + 0.9)])
        middle = (start[0] + end) / 2
        if p.item.look == "both ways":
            self._head(middle + 0.7, y, 1)
            self._head(middle - 0.7, y, -1)
        else:
            self._head(middle, y, inward if p.item.look == "input" else -inward)
        self.word(p, p.at + 3.2, y)

    def _tie(self, p: Set, marks: list[str]) -> None:
        x = self.x(p.side, p.at + 0.8)
        ys = [self.rows[m].y for m in marks]
        self.lines([(x, min(ys)), (x, max(ys))], *([self.lead(m), (x, self.rows[m].y)] for m in marks))
        for y in ys:
            self.canvas.disc((x, y), 2 * JOINT, None, (0, 0, 0))

    # ---- from one side to the other ---------------------------------------------------------------------------------

    def across(self, item: Item, room: tuple[float, float], nth: int, many: int) -> None:
        """What joins the two sides, between `room` in x; of `many` on one row the first lies below it, so that the others rise
        less into the room of the title."""
        left, right = room
        middle = (left + right) / 2
        if item.look in ("joint", "pass"):
            (x1, y1), (x2, y2) = (self.lead(m) for m in item.marks)
            self.lines([(x1, y1), (middle, y1), (middle, y2), (x2, y2)])
        elif item.look == "changeover":
            way = 1 if self.rows[item.marks[0]].side == "left" else -1
            self._pivoted(item, self.lead(item.marks[0]), middle - way * 1.9, middle + way * 1.9)
            if item.what == "relay":
                y, up = self.rows[item.marks[0]].y, self._sense(item)
                self.strokes([(middle, y + 0.65 * up), (middle, y + 1.9 * up)], dashed=True)
                x0, x1, y0, y1 = middle - 1.1, middle + 1.1, y + 1.9 * up, y + 3.1 * up
                self.strokes([(x0, y0), (x1, y0), (x1, y1), (x0, y1), (x0, y0)])
        elif item.look in ("contact", "part"):
            first, second = (self.lead(m) for m in item.marks)
            if first[1] != second[1]:
                self.body(item, first, second, middle, True)
                return
            near, far = (left, right) if first[0] < second[0] else (right, left)
            y = first[1] + RISE * nth - (BELOW if many > 1 else 0.0)
            self.lines([first, (near, first[1]), (near, y)], [second, (far, second[1]), (far, y)])
            self.element(self._element(item), (near, y), (far, y), near > far)

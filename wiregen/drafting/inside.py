"""Draws what stands inside a device, between its terminals: symbols in rows, joined to the marks by narrow lines.

Each side of a box has its own things, stacked inwards from the marks: short spans next to the marks, long spans further in,
so that lines cross as little as can be.  What joins the two sides lies in the middle.  `width_needed` tells placing how wide
a box must be; letters beside a symbol are printed where the box leaves room for them.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace

from wiregen.drafting import metrics
from wiregen.drafting import symbols as sym
from wiregen.drafting.canvas import Canvas
from wiregen.drafting.ink import LETTER, MARK_GAP, SMALL
from wiregen.drafting.model import Point, Rect
from wiregen.drafting.parts import Item, items_of
from wiregen.reading.model import DataSheet

AFTER_MARK = 0.8  # between a mark and the line that starts there
APART = 0.7  # between two things side by side
MIDDLE = 6.5  # least room for what joins the two sides
TIP = 1.3  # from the common's row to the tip of a change-over's fixed contact
HEAD = (1.3, 1.1)  # arrowhead: length, width
JOINT = 0.35  # radius of the small dot where narrow lines meet
_WIDTHS = {"contact": 3.9, "changeover": 7.6, "part": 3.8, "source": 2.8, "load": 2.8, "line": 2.8, "input": 3.0, "drive": 3.0,
           "earth": 2.6, "jack": 0.4, "tie": 1.6, "joint": 0.5, "pass": 0.5, "both ways": 3.0}  # fmt: skip


@dataclass(frozen=True)
class Row:
    """Where a terminal's inner line starts: on which side, at which height, how far from that side's edge."""

    side: str
    y: float
    start: float


@dataclass(frozen=True)
class Set:
    """An item on one side: `at` is how far from the edge it begins; its word is printed if `worded`."""

    item: Item
    side: str
    at: float
    end: float
    worded: bool


def mark_width(mark: str) -> float:
    """From the edge of the box to where the inner line of a terminal starts."""
    return MARK_GAP + metrics.width(mark, LETTER) + AFTER_MARK


def width_needed(sheet: DataSheet, left: Sequence[tuple[str, str]], right: Sequence[tuple[str, str]]) -> tuple[float, float]:
    """Least width of a box in mm, without and with the words beside the symbols.

    `left` and `right` are (terminal, printed mark) from the top down.
    """
    rows = {m: Row("left", -5.0 * n, mark_width(t)) for n, (m, t) in enumerate(left)}
    rows |= {m: Row("right", -5.0 * n, mark_width(t)) for n, (m, t) in enumerate(right)}
    items = _drawable(sheet, rows)
    across = any(len({rows[m].side for m in i.marks if m in rows}) == 2 for i in items)
    out = []
    for worded in (False, True):
        sets = _stack([(i, worded) for i in items], rows)
        deep = {s: max([r.start for r in rows.values() if r.side == s] + [p.end for p in sets if p.side == s], default=0.0)
                for s in ("left", "right")}  # fmt: skip
        out.append(deep["left"] + deep["right"] + (MIDDLE if across else 1.5))
    return out[0], out[1]


def draw_inside(
    canvas: Canvas, sheet: DataSheet, box: Rect, rows: Mapping[str, Row], symbols: str, taken: Rect | None
) -> None:
    """Draws the inside of a box.  `rows` are its terminals; `taken` is the room of its title, which nothing may enter."""
    items = _drawable(sheet, rows)
    sets = _fit(items, rows, box, taken)
    pen = _Pen(canvas, box, rows, symbols)
    for placed in sets:
        pen.one_side(placed)
    for item in items:
        if len({rows[m].side for m in item.marks if m in rows}) == 2:
            pen.across(item, _middle(item, rows, sets, box))


def _drawable(sheet: DataSheet, rows: Mapping[str, Row]) -> list[Item]:
    """The items that have enough of their terminals on the sheet."""
    out = []
    for item in items_of(sheet):
        there = tuple(m for m in item.marks if m in rows)
        whole = len(there) == len(item.marks)
        if item.look == "tie" and len(there) > 1:
            out += [replace(item, marks=tuple(m for m in there if rows[m].side == s)) for s in ("left", "right")]
        elif whole and item.look in ("source", "load", "line") and len({rows[m].side for m in there}) == 2:
            out.append(_port_of(item, there[0]))
        elif whole or (item.look == "changeover" and item.marks[0] in rows and len(there) == 2):
            out.append(item)
        elif there and item.look in ("source", "load"):
            out.append(_port_of(item, there[0]))
    again = [Item(look="joint", marks=(mark, key)) for mark, key in _drawn_again(rows)]
    return again + [i for i in out if i.marks and not (i.look == "tie" and len(i.marks) < 2)]


def _port_of(item: Item, mark: str) -> Item:
    """A source, load or line of which one terminal stands alone: an arrow at that."""
    return replace(item, look={"source": "drive", "load": "input", "line": "both ways"}[item.look], marks=(mark,), fused=False)


def _drawn_again(rows: Mapping[str, Row]) -> list[tuple[str, str]]:
    """Rows that belong to one terminal, each with the one that was drawn before it."""
    out: list[tuple[str, str]] = []
    last: dict[str, str] = {}
    for key in rows:
        mark = next((m for m in rows if key != m and key.startswith(m + " ") and key[len(m) + 1 :].isdigit()), None)
        if mark is not None:
            out.append((last.get(mark, mark), key))
            last[mark] = key
    return out


def _span(item: Item, rows: Mapping[str, Row]) -> tuple[float, float]:
    ys = [rows[m].y for m in item.marks if m in rows]
    return min(ys), max(ys)


def _stack(items: Sequence[tuple[Item, bool]], rows: Mapping[str, Row]) -> list[Set]:
    """Each item as near to its marks as those allow that are there already; short spans first."""
    sets: list[Set] = []
    one_side = [(i, w) for i, w in items if len({rows[m].side for m in i.marks if m in rows}) == 1]

    def order(pair: tuple[Item, bool]) -> tuple[bool, bool, float]:
        low, high = _span(pair[0], rows)
        return pair[0].look != "joint", pair[0].look == "tie", high - low

    for item, worded in sorted(one_side, key=order):
        side = next(rows[m].side for m in item.marks if m in rows)
        low, high = _span(item, rows)
        at = max(r.start for m, r in rows.items() if r.side == side and low - 0.1 <= r.y <= high + 0.1)
        for other in sets:
            below, above = _span(other.item, rows)
            if other.side == side and low <= above + 0.1 and below <= high + 0.1:
                at = max(at, other.end + APART)
        word = metrics.width(item.word, SMALL) + 0.9 if worded and item.word else 0.0
        sets.append(Set(item, side, at, at + _width(item) + word, word > 0))
    return sets


def _width(item: Item) -> float:
    return _WIDTHS[item.look] + (4.0 if item.fused else 0.0) + (7.5 if item.line_end else 0.0)


def _fit(items: list[Item], rows: Mapping[str, Row], box: Rect, taken: Rect | None) -> list[Set]:
    """The stack with as many words as fit; where even the bare symbols do not, the least telling ones are left out."""
    kept = [(i, False) for i in items]
    for least in ("load", "source", "tie", "line", "input", "drive", "jack", "earth"):
        if _fits(_stack(kept, rows), rows, box, taken):
            break
        kept = [(i, w) for i, w in kept if i.look != least]
    for n, (item, _) in enumerate(kept):
        if item.word:
            trial = [*kept[:n], (item, True), *kept[n + 1 :]]
            if _fits(_stack(trial, rows), rows, box, taken):
                kept = trial
    return _stack(kept, rows)


def _fits(sets: list[Set], rows: Mapping[str, Row], box: Rect, taken: Rect | None) -> bool:
    for placed in sets:
        low, high = _span(placed.item, rows)
        room = box.w - 0.8
        if taken and low - 1.2 < taken.y + taken.h and taken.y < high + 1.2:
            room = (taken.x - box.x if placed.side == "left" else box.x + box.w - taken.x - taken.w) - 0.8
        other = {"left": "right", "right": "left"}[placed.side]
        facing = [r.start for r in rows.values() if r.side == other and low - 2 < r.y < high + 2]
        spans = [(p, _span(p.item, rows)) for p in sets if p.side == other]
        facing += [p.end for p, (below, above) in spans if below < high + 1 and low - 1 < above]
        if placed.end > min(room, box.w - max(facing, default=0.0) - APART):
            return False
    return True


def _middle(item: Item, rows: Mapping[str, Row], sets: list[Set], box: Rect) -> tuple[float, float]:
    """Free room in x for an item that joins both sides."""
    low, high = _span(item, rows)
    deep = {"left": 0.0, "right": 0.0}
    for r in rows.values():
        if r.side in deep and low - 0.1 <= r.y <= high + 0.1:
            deep[r.side] = max(deep[r.side], r.start)
    for p in sets:
        below, above = _span(p.item, rows)
        if below <= high + 2 and low - 2 <= above:
            deep[p.side] = max(deep[p.side], p.end + APART)
    return box.x + deep["left"], box.x + box.w - deep["right"]


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
        if placed.worded:
            self.canvas.write(placed.item.word, (self.x(placed.side, depth), y - SMALL / 2), SMALL,
                              "left" if placed.side == "left" else "right")  # fmt: skip

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
        """A two-terminal symbol on a line between two rows."""
        item = p.item
        (x1, y1), (x2, y2) = (self.lead(m) for m in item.marks)
        half = 1.9 if item.look == "part" else 1.2 if item.what == "reed" else 0.6
        depth = p.at + half
        series = 0.0
        if item.line_end:
            series = 4.6
            at = self.x(p.side, depth + series)
            self.element(sym.two_terminal("resistor", self.symbols), (x1, y1), (at, y1))
            across = self.x(p.side, depth + series + 3.4)
            self.lines([(at, y1), (across, y1)], [(at, y2), (across, y2)])
            self.element(sym.two_terminal("resistor", self.symbols), (across, y1), (across, y2))
        x = self.x(p.side, depth + series)
        self.lines([(x1, y1), (x, y1)] if not series else [(x, y1), (x, y1)], [(x2, y2), (x, y2)])
        element = self._element(item)
        mirrored = (y1 > y2) != (p.side == "left")
        self.element(element, (x, y1), (x, y2), mirrored)
        self.word(p, p.at + _width(item) + 0.6, max(y1, y2) - 2.5)

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
        self.word(p, p.at + _width(p.item) + 0.6, y)

    def _bracket(self, p: Set, marks: list[str]) -> None:
        """Terminals that belong together: what a source, a load or a data line lies between."""
        back = self.x(p.side, p.at + _width(p.item))
        ys = [self.rows[m].y for m in marks]
        for n, mark in enumerate(marks):
            start, y = self.lead(mark), self.rows[mark].y
            if p.item.fused and n == 0:
                fuse_end = self.x(p.side, p.at + 4.2)
                self.element(sym.two_terminal("fuse", self.symbols), start, (fuse_end, y))
                start = (fuse_end, y)
            self.lines([start, (back, y)])
        self.lines([(back, min(ys)), (back, max(ys))])
        middle = self.x(p.side, p.at + _width(p.item) - 1.4)
        inward = 1 if p.side == "left" else -1
        if p.item.look == "line":
            for y in ys:
                for way in (1, -1):
                    self._head(middle + way * 0.75 * inward, y, way * inward)
        elif p.item.word != "mains":
            self._head(middle, ys[0], inward if p.item.look == "load" else -inward)
        top = sorted(ys, reverse=True)
        close = len(top) > 1 and top[0] - top[1] < 6
        self.word(p, p.at + _width(p.item) + 0.5, (top[0] + top[1]) / 2 if close else top[0] - 2.5)

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

    def across(self, item: Item, room: tuple[float, float]) -> None:
        left, right = room
        middle = (left + right) / 2
        if item.look in ("joint", "pass"):
            (x1, y1), (x2, y2) = (self.lead(m) for m in item.marks)
            self.lines([(x1, y1), (middle, y1), (middle, y2), (x2, y2)])
        elif item.look == "changeover":
            way = 1 if self.rows[item.marks[0]].side == "left" else -1
            self._pivoted(item, self.lead(item.marks[0]), middle - way * 1.9, middle + way * 1.9)
        elif item.look in ("contact", "part"):
            first, second = sorted(item.marks, key=lambda m: self.rows[m].side)
            start, end = self.lead(first), self.lead(second)
            turn = min(right, middle + 2.5)
            self.element(self._element(replace(item, marks=(first, second))), start, (turn, start[1]))
            self.lines([(turn, start[1]), (turn, end[1]), end])

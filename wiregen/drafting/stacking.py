"""Where the things inside a device go: stacked inwards from the marks of their terminals.

Each side of a box has its own things: short spans next to the marks, long spans further in, so that lines cross as little as
can be.  What joins the two sides lies in the middle.  `width_needed` and `room_for` tell placing how wide a box must be;
letters beside a symbol are printed where the box leaves room for them.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace

from wiregen.drafting import metrics
from wiregen.drafting.ink import LETTER, MARK_GAP, SMALL
from wiregen.drafting.model import Rect
from wiregen.drafting.parts import Item, items_of
from wiregen.reading.model import DataSheet

AFTER_MARK = 0.8  # between a mark and the line that starts there
APART = 0.7  # between two things side by side
_PARTS = {"diode": 2.2, "tvs": 2.2, "zener": 2.6, "resistor": 2.2, "capacitor": 2.2}
_REACH = {"input": 1.1, "drive": 1.1, "both ways": 1.1}  # what is drawn reaches so far beyond its terminals, else ORDINARY
ORDINARY, TIPS = 0.6, 2.1  # TIPS: from the common of a change-over to the tips above and below it
_ACROSS = {"contact": 6.5, "changeover": 6.5, "part": 6.5, "pass": 1.5}  # least room for what joins the two sides
WIDTHS = {"contact": 3.9, "changeover": 7.6, "part": 3.8, "source": 2.8, "load": 2.8, "line": 2.8, "input": 3.0, "drive": 3.0,
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


def beside(sheet: DataSheet, mark: str) -> str:
    """What stands beside a terminal: its mark; with it the colour of a flying lead, for nothing is printed on a lead."""
    colour = sheet.colours.get(mark)
    return mark if colour in (None, "bare") else f"{mark} {colour}"


def width_needed(sheet: DataSheet, left: Sequence[str], right: Sequence[str]) -> float:
    """Least width in mm of a box with these terminals from the top down on its sides: marks, symbols, no title."""
    rows: dict[str, Row] = {}
    for side, marks in (("left", left), ("right", right)):
        for n, mark in enumerate(marks):
            key, again = mark, 2
            while key in rows:
                key, again = f"{mark} {again}", again + 1
            rows[key] = Row(side, -5.0 * n, mark_width(beside(sheet, mark)))
    items = drawable(sheet, rows)
    sets = stack([(i, i.look == "jack") for i in items], rows)
    deep = {s: max([r.start for r in rows.values() if r.side == s] + [p.end for p in sets if p.side == s], default=0.0)
            for s in ("left", "right")}  # fmt: skip
    across = max((_ACROSS.get(i.look, 0.0) for i in items if _across(i, rows)), default=0.0)
    return deep["left"] + deep["right"] + max(across, 1.0)


def drawable(sheet: DataSheet, rows: Mapping[str, Row]) -> list[Item]:
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


def span(item: Item, rows: Mapping[str, Row]) -> tuple[float, float]:
    ys = [rows[m].y for m in item.marks if m in rows]
    return min(ys), max(ys)


def extent(item: Item, rows: Mapping[str, Row]) -> tuple[float, float]:
    """The height that its drawing takes, its word included."""
    low, high = span(item, rows)
    if item.look == "changeover":
        common = rows[item.marks[0]].y
        low, high = min(low, common - TIPS), max(high, common + TIPS)
    reach = _REACH.get(item.look, ORDINARY)
    return low - reach, high + reach


def stack(items: Sequence[tuple[Item, bool]], rows: Mapping[str, Row]) -> list[Set]:
    """Each item as near to its marks as those allow that are there already; short spans first."""
    sets: list[Set] = []
    one_side = [(i, w) for i, w in items if not _across(i, rows)]

    def order(pair: tuple[Item, bool]) -> tuple[bool, bool, float]:
        low, high = span(pair[0], rows)
        return pair[0].look != "joint", pair[0].look == "tie", high - low

    for item, worded in sorted(one_side, key=order):
        side = next(rows[m].side for m in item.marks if m in rows)
        low, high = span(item, rows)
        at = max(r.start for m, r in rows.items() if r.side == side and low - 0.1 <= r.y <= high + 0.1)
        for other in sets:
            below, above = span(other.item, rows)
            if other.side == side and low <= above + 0.1 and below <= high + 0.1:
                at = max(at, other.end + APART)
        word = max(metrics.width(line, SMALL) for line in item.word.split("\n")) + 0.9 if worded and item.word else 0.0
        sets.append(Set(item, side, at, at + width_of(item) + word, word > 0))
    return sets


def width_of(item: Item) -> float:
    if item.look == "part":
        return _PARTS.get(item.what, WIDTHS["part"])
    return WIDTHS[item.look] + (4.0 if item.fused else 0.0) + (7.5 if item.line_end else 0.0)


def fitted(items: list[Item], rows: Mapping[str, Row], box: Rect, taken: Rect | None) -> list[Set]:
    """The stack with as many words as fit; where even the bare symbols do not, the least telling ones are left out."""
    kept = [(i, False) for i in items]
    for least in ("load", "source", "tie", "line", "input", "drive", "jack", "earth"):
        if _fits(stack(kept, rows), rows, box, taken):
            break
        kept = [(i, w) for i, w in kept if i.look != least]
    for n, (item, _) in enumerate(kept):
        for said in _said(item) if not _struck(item, items) else ():
            trial = [*kept[:n], (said, True), *kept[n + 1 :]]
            sets = stack(trial, rows)
            if _fits(sets, rows, box, taken) and _clear(items, rows, sets, box, taken):
                kept = trial
                break
    return stack(kept, rows)


def _said(item: Item) -> Iterator[Item]:
    """An item with its word in one line; that of a contact, which says when it opens or closes, if need be in more."""
    if item.word:
        yield item
    if " " in item.word and item.look == "contact":
        yield replace(item, word=item.word.replace(" ", "\n"))


def _struck(item: Item, items: Sequence[Item]) -> bool:
    """Whether the lead to another thing at the terminal of an arrow runs through the word that stands behind that."""
    return item.look in ("input", "drive", "both ways") and any(i is not item and item.marks[0] in i.marks for i in items)


def _meet(a: Item, b: Item, rows: Mapping[str, Row]) -> bool:
    """Whether two things that lie on one height stand in each other's way."""
    (low, high), (below, above) = extent(a, rows), extent(b, rows)
    return low < above and below < high


def _clear(items: list[Item], rows: Mapping[str, Row], sets: list[Set], box: Rect, taken: Rect | None) -> bool:
    """Whether what joins the two sides still has its room between them."""
    across = middles(items, rows, sets, box, taken)
    return all(right - left >= _ACROSS.get(item.look, 1.0) for item, (left, right), *_ in across)


def _fits(sets: list[Set], rows: Mapping[str, Row], box: Rect, taken: Rect | None) -> bool:
    for placed in sets:
        low, high = span(placed.item, rows)
        room = box.w - 0.8
        if taken and low - 1.2 < taken.y + taken.h and taken.y < high + 1.2:
            room = (taken.x - box.x if placed.side == "left" else box.x + box.w - taken.x - taken.w) - 0.8
        other = {"left": "right", "right": "left"}[placed.side]
        facing = [r.start for r in rows.values() if r.side == other and low - 2 < r.y < high + 2]
        facing += [p.end for p in sets if p.side == other and _meet(p.item, placed.item, rows)]
        if placed.end > min(room, box.w - max(facing, default=0.0) - APART):
            return False
    return True


def middles(
    items: list[Item], rows: Mapping[str, Row], sets: list[Set], box: Rect, taken: Rect | None
) -> Iterator[tuple[Item, tuple[float, float], int, int]]:
    """What joins both sides, with its free room in x, and its number among so many that lie between the same two terminals.

    Where those stand on one row they have the same room, else they share it.
    """
    both = [i for i in items if _across(i, rows)]
    for item in both:
        low, high = span(item, rows)
        deep = {"left": 0.0, "right": 0.0}
        for r in rows.values():
            if r.side in deep and low - 0.1 <= r.y <= high + 0.1:
                deep[r.side] = max(deep[r.side], r.start)
        for p in sets:
            below, above = span(p.item, rows)
            if (below <= high + 2 and low - 2 <= above) or _meet(p.item, item, rows):
                deep[p.side] = max(deep[p.side], p.end + APART)
        left, right = box.x + deep["left"], box.x + box.w - deep["right"]
        if taken and low < high and low < taken.y + taken.h and taken.y < high:  # what stands upright, stands beside the title
            left, right = max((left, min(right, taken.x)), (max(left, taken.x + taken.w), right), key=lambda r: r[1] - r[0])
        rivals = [i for i in both if set(i.marks) == set(item.marks) and i.look == item.look]
        n = rivals.index(item)
        if low == high:
            yield item, (left, right), n, len(rivals)
        else:
            part = (right - left) / len(rivals)
            yield item, (left + n * part, left + (n + 1) * part), 0, 1


def _across(item: Item, rows: Mapping[str, Row]) -> bool:
    return len({rows[m].side for m in item.marks if m in rows}) == 2

"""Revision marks: a triangle with the revision's letter at the number of each conductor that is not as it was issued.

Drawing practice, no source: a lettered triangle beside what changed, the same letter in the table of revisions.
"""

from __future__ import annotations

from collections.abc import Callable, Collection, Iterator, Mapping
from dataclasses import replace
from itertools import pairwise
from math import ceil

from wiregen.drafting.boxes import lettering
from wiregen.drafting.canvas import MM, WHITE, Canvas
from wiregen.drafting.ink import CASED, NARROW, SMALL, TERMINAL
from wiregen.drafting.metrics import ABOVE, width
from wiregen.drafting.model import Layout, Mark, Point, Rect, Route, Text
from wiregen.drafting.names import Names, text_box
from wiregen.drafting.solid import Solid

HIGH = 3.6  # of a triangle: it stands between conductors 5 mm apart
FOOT = 0.15  # from the upper edge of its base line to the letter
BESIDE = 0.3  # from the letter to its sides, both together
AIR = 0.2  # around it
GAP = 0.5  # from a number to its mark
STEP = 0.5
BLANK = "\u00a0"
ROUNDS = 4

LayOut = Callable[[Mapping[str, str]], tuple[Layout, ...]]  # given the blanks that are to stand behind numbers


def marked(lay_out: LayOut, wires: Collection[str], letter: str) -> tuple[Layout, ...]:
    """Layouts with a mark for each of these conductors and links, as far as there is room for it.

    The drawing stays as it would be without marks if they find room on it; else labels are laid out anew with room for those
    that do not.
    """
    blanks: dict[str, str] = {}
    for _ in range(ROUNDS):
        pages = [_with_marks(layout, wires, letter) for layout in lay_out(blanks)]
        without = {wire for _, missing in pages for wire in missing}
        if not without - blanks.keys():
            break
        blanks |= dict.fromkeys(without, BLANK * ceil((GAP + wide(letter) + AIR) / width(BLANK)))
    return tuple(layout for layout, _ in pages)


def draw_mark(canvas: Canvas, mark: Mark) -> None:
    x, y, w, h = mark.box.x, mark.box.y, mark.box.w, mark.box.h
    canvas.poly([(x, y), (x + w, y), (x + w / 2, y + h)], fill=WHITE, lw=NARROW * MM)
    canvas.write(mark.letter, (x + w / 2, y + NARROW / 2 + FOOT), SMALL, "middle")


def wide(letter: str) -> float:
    """The base of a triangle whose sides clear the upper corners of the letter."""
    return (width(letter, SMALL) + BESIDE) / (1 - (NARROW / 2 + FOOT + SMALL) / HIGH)


def _with_marks(layout: Layout, wires: Collection[str], letter: str) -> tuple[Layout, list[str]]:
    """With blanks taken from its labels; and the conductors that it draws without a mark."""
    layout = replace(layout, texts=tuple(map(_trimmed, layout.texts)))
    solid, base = _solid(layout), wide(letter)
    spots = {r.wire: list(_spots(layout, r, base)) for r in layout.routes if r.wire in wires}
    marks: list[Mark] = []
    without: list[str] = []
    choice = {wire: sum(_free(layout.field, solid, box) for box in boxes) for wire, boxes in spots.items()}
    for wire in sorted(spots, key=choice.__getitem__):  # the hardest first
        box = next((box for box in spots[wire] if _free(layout.field, solid, box)), None)
        if box is None:
            without.append(wire)
        else:
            solid.add(box)
            marks.append(Mark(wire, letter, box))
    return replace(layout, marks=tuple(marks)), without


def _trimmed(text: Text) -> Text:
    bare = text.text.rstrip(BLANK)
    return text if bare == text.text else text._replace(text=bare, at=(text_box(text).x, text.at[1]), align="left")


def _solid(layout: Layout) -> Solid:
    """Whatever a mark must keep clear of."""
    solid = Names(
        layout.field, layout.devices, layout.routes, layout.bars, layout.jackets, layout.regions, layout.exposed_line,
        lettering(layout),
    ).solid  # fmt: skip
    for b in (*(e.box for e in layout.enclosures), *(r.box for r in layout.regions)):
        solid.add(Rect(b.x, b.y, b.w, 0), Rect(b.x, b.y + b.h, b.w, 0), Rect(b.x, b.y, 0, b.h), Rect(b.x + b.w, b.y, 0, b.h))
    for x, y in (pin.at for device in layout.devices for pin in device.pins):
        solid.add(Rect(x - TERMINAL / 2, y - TERMINAL / 2, TERMINAL, TERMINAL))
    return solid


def _free(field: Rect, solid: Solid, box: Rect) -> bool:
    x0, y0, x1, y1 = box.x - AIR, box.y - AIR, box.x + box.w + AIR, box.y + box.h + AIR
    inside = field.x <= x0 and x1 <= field.x + field.w and field.y <= y0 and y1 <= field.y + field.h
    around = Rect(x0, y0, x1 - x0, y1 - y0)
    return inside and not any(x0 < o.x + o.w and o.x < x1 and y0 < o.y + o.h and o.y < y1 for o in solid.near(around))


def _spots(layout: Layout, route: Route, wide: float) -> Iterator[Rect]:
    """Beside its numbers, then along it, the nearest to a number first."""
    lift = CASED / 2 + AIR + 0.01
    labels = [text_box(t) for t in layout.texts if t.text.split(" ")[-1] == route.wire and not t.bold]
    for label in labels:
        base = label.y + 0.2 * (label.h / 1.2) - ABOVE + lift
        yield Rect(label.x + label.w + GAP, base, wide, HIGH)
        yield Rect(label.x - GAP - wide, base, wide, HIGH)

    def apart(box: Rect) -> float:
        x, y = box.x + box.w / 2, box.y + box.h / 2
        return min((abs(b.x + b.w / 2 - x) + abs(b.y + b.h / 2 - y) for b in labels), default=0.0)

    yield from sorted(_along(route.points, wide, lift), key=apart)


def _along(points: tuple[Point, ...], wide: float, lift: float) -> Iterator[Rect]:
    """Over and under its level pieces, on both sides of its upright ones."""
    for (x0, y0), (x1, y1) in pairwise(points):
        steps = range(int((abs(x1 - x0) + abs(y1 - y0)) / STEP) + 1)
        for n in steps:
            if abs(y0 - y1) < 1e-6:
                x = min(x0, x1) + n * STEP - wide / 2
                yield from (Rect(x, y, wide, HIGH) for y in (y0 + lift, y0 - lift - HIGH))
            else:
                y = min(y0, y1) + n * STEP - HIGH / 2
                yield from (Rect(x, y, wide, HIGH) for x in (x0 + lift, x0 - lift - wide))

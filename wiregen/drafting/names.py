"""Letters that may stand in several spots: places, titles of cables, junctions, boxes.  Each takes the first that is free."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Sequence
from dataclasses import replace
from itertools import pairwise

from wiregen.drafting.ink import CASED, CHAIN, DOT, LETTER, LINE, NARROW, SMALL
from wiregen.drafting.metrics import ABOVE, TITLE_ABOVE, width
from wiregen.drafting.model import Bar, Enclosure, Jacket, Off, PlacedDevice, Point, Rect, Region, Route, Text

ASIDE = 1.4  # more of it before and after a late label
AROUND = 0.35  # air between letters and ink
BLANK = 0.8  # between two texts on one line
PITCH = SMALL * LINE
HIGHER = (0.0, 0.4, 1.5, 2.5, -3.0, -4.5, -7.0, -9.5, -12.0, -14.5, 5.0, 7.5, -17.0, 10.0, -20.0, 13.0, -23.0, 16.0)  # titles
REACH = 20.0  # how far from the end of its conductor a label may stand


def text_box(text: Text) -> Rect:
    """The room of a text: its capitals, and what hangs below."""
    wide = width(text.text, text.size, text.bold)
    x = text.at[0] - {"left": 0.0, "middle": wide / 2, "right": wide}[text.align]
    return Rect(x, text.at[1] - 0.2 * text.size, wide, 1.2 * text.size)


class Names:
    def __init__(
        self, field: Rect, devices: Sequence[PlacedDevice], routes: Sequence[Route], bars: Sequence[Bar],
        jackets: Sequence[Jacket], areas: Sequence[Region], chain: Sequence[tuple[Point, ...]], texts: Sequence[Text],
    ) -> None:  # fmt: skip
        self.field = field
        self.solid = [_grown(d.box, 0.3) for d in devices]
        self.solid += list(_lines([r.points for r in routes] + [b.points for b in bars], CASED))
        self.solid += [_grown(Rect(x, y, 0, 0), DOT / 2) for bar in bars for x, y in bar.dots]
        for box in (*(j.box for j in jackets), *(a.box for a in areas if a.exposed)):  # other outlines give way to letters
            self.solid += list(_lines([_outline(box)], NARROW))
        self.solid += list(_lines(chain, CHAIN))
        self.solid += [text_box(t) for t in texts]
        self.bars = [(bar, _extent(bar)) for bar in bars]
        self.made: list[Text] = []
        self.forced = 0  # names of joints, references and boxes for which no free spot was found

    def free(self, text: Text, over: float | None = None) -> bool:
        """Whether a text meets nothing; `over`: the height of the level line that it belongs to, and stands on."""
        box, field = _grown(text_box(text), AROUND), self.field
        if over is not None:  # two labels on one line must not read as one
            box = Rect(box.x - ASIDE, box.y, box.w + 2 * ASIDE, box.h)
        inside = box.x >= field.x - 1e-6 and box.x + box.w <= field.x + field.w + 1e-6
        inside = inside and box.y >= field.y - 1e-6 and box.y + box.h <= field.y + field.h + AROUND + 1e-6
        return inside and not any(
            box.x < o.x + o.w and o.x < box.x + box.w and box.y < o.y + o.h and o.y < box.y + box.h
            for o in self.solid
            if over is None or o.h > CASED + 1e-6 or abs(o.y + o.h / 2 - over) > 1e-6
        )

    def put(
        self, candidates: Iterable[Sequence[Text]], anyway: bool = False,
        fits: Callable[[Sequence[Text]], bool] = lambda lines: True, joint: bool = False,
    ) -> bool:  # fmt: skip
        """Writes the first set of lines that is free as a whole and fits; the first of all if there is none and it must be.

        `joint`: the page cannot be told without them.
        """
        first: Sequence[Text] | None = None
        for lines in candidates:
            first = first or lines
            if all(self.free(t) for t in lines) and fits(lines):
                break
        else:
            if first is None or not anyway:
                return False
            lines = first
            self.forced += joint
        self.solid += [_apart_from_words(text_box(t)) for t in lines]
        self.made += lines
        return True

    def regions(self, areas: Sequence[Region], boxes: Sequence[Rect]) -> None:
        """Names of places: in the upper left corner, or over the boxes of the place."""
        for area in areas:
            a = area.box
            inside = [b.x for b in boxes if a.x <= b.x <= a.x + a.w and a.y <= b.y <= a.y + a.h]
            self.put(self._at_region(area, min(inside, default=a.x)), anyway=True)

    def _at_region(self, area: Region, boxes: float) -> Iterator[list[Text]]:
        box, name = area.box, area.place.upper()
        corner = box.y + box.h >= self.field.y + self.field.h - 1e-6
        starts = [box.x + 1.5, boxes] if corner else [boxes, box.x + 1.5]
        for down in (2.6, 3.1, box.h - 1.5):
            for x in (*starts, *(box.x + 1.5 + step for step in range(int(box.w)))):
                yield [Text(name, (x, box.y + box.h - down), SMALL, "left", bold=True)]

    def title(self, ref: str, lines: Sequence[str], oval: float, top: float, room: tuple[float, float]) -> None:
        """Over the cable's first core and its label, as near to the oval as there is room; else lower or higher."""
        head, said = width(ref, SMALL, bold=True), lines[0][len(ref) :]
        wide = max(head + width(said, SMALL), *(width(t, SMALL) for t in lines[1:]), 0.0)
        low, high = room[0] + 0.6, room[1] - 0.6 - wide
        wish = min(max(oval, low), max(high, low))
        xs = sorted((low + 0.5 * n for n in range(int(max(high - low, 0) / 0.5) + 1)), key=lambda x: abs(x - wish)) or [low]
        base = top + TITLE_ABOVE + PITCH * (len(lines) - 1)

        def at(x: float, y: float) -> list[Text]:
            first = [Text(ref, (x, y), SMALL, "left", bold=True)]
            if said:
                first.append(Text(said.lstrip(), (x + head + width(" ", SMALL), y), SMALL))
            return first + [Text(t, (x, y - PITCH * n), SMALL) for n, t in enumerate(lines[1:], 1)]

        spots = ((x, base + dy) for dy in HIGHER for x in (wish, *xs))
        self.put((at(x, y) for x, y in spots), anyway=True)

    def along(self, label: str, start: float, to: float, y: float) -> bool:
        """Writes a label over a level line, within REACH of its start."""
        steps = (1.0 + 0.5 * n for n in range(int(min(abs(to - start), REACH) / 0.5)))
        way, align = (1, "left") if to > start else (-1, "right")
        for d in steps:
            text = Text(label, (start + way * d, y), LETTER, align)  # type: ignore[arg-type]
            if self.free(text, over=y - ABOVE):
                self.solid.append(text_box(text))
                self.made.append(text)
                return True
        return False

    def moved(self, old: Text, new: Text) -> bool:
        """Whether a text may stand elsewhere; its room moves with it."""
        at = self.solid.index(text_box(old))
        room = self.solid.pop(at)
        free = self.free(new, over=new.at[1] - ABOVE)
        self.solid.insert(at, text_box(new) if free else room)
        return free

    def bar(self, bar: Bar, pages: Sequence[int]) -> list[Off]:
        """The name of a junction, and a reference for each other page that has it; their zones are not known yet."""
        others = [Off((0, 0), bar.end, page, "A0") for page in pages]
        if not self.put(self._at_bar(bar, others), fits=lambda row: self._speaks_for(bar, row)):
            self.put(self._at_bar(bar, ()), anyway=True, joint=True, fits=lambda row: self._speaks_for(bar, row))
            for n in range(1, len(others) + 1):
                self.put(([texts[n]] for texts in self._at_bar(bar, others)), anyway=True, joint=True)
        written = self.made[-len(others) :] if others else []
        del self.made[len(self.made) - len(others) :]  # they are drawn as references
        return [replace(off, at=text.at) for off, text in zip(others, written, strict=True)]

    def _speaks_for(self, bar: Bar, row: Sequence[Text]) -> bool:
        """Whether letters stand nearer to that bar than to any other."""
        boxes = [text_box(t) for t in row]
        own = min(_apart(box, _extent(bar)) for box in boxes)
        return all(own + 0.3 < _apart(box, extent) for other, extent in self.bars for box in boxes if other is not bar)

    def _at_bar(self, bar: Bar, others: Sequence[Off]) -> Iterator[list[Text]]:
        """By its upper end, then along it, on either side; references in a row on its right, else one under another."""
        name, x = bar.end.terminal, bar.points[0][0]
        high, low = max(y for _, y in bar.points), min(y for _, y in bar.points)
        beside = DOT / 2 + AROUND + 0.05
        wide = width(name, SMALL)
        widest = max((wide, *(width(off.text, SMALL) for off in others)))
        for stacked, all_wide in ((False, wide + self._row(others)), (True, widest)):
            spots = [(x - wide / 2, high + 1.3)]
            for shift in (0.0, 1.0, 2.0):
                y = high + 3.2
                while y > low - 5.0:
                    spots += [(x - beside - shift - all_wide, y), (x + beside + shift, y), (x - all_wide / 2 + shift, y)]
                    y -= 0.5
            for left, y in (*spots, (x - wide / 2, low - 3.0)):
                row = [Text(name, (left, y), SMALL)]
                over = left + wide + 0.8
                for off in others:
                    row.append(Text(off.text, (left, y - PITCH * len(row)) if stacked else (over, y), SMALL))
                    over += width(off.text, SMALL) + 0.8
                yield row
            if not others:
                return

    def _row(self, others: Sequence[Off]) -> float:
        return sum(width(off.text, SMALL) + 0.8 for off in others)

    def enclosures(self, groups: Iterable[tuple[str, float, float, list[Bar]]]) -> Iterator[Enclosure]:
        """The outline of a box around its bars in each zone, with its name over it or under it."""
        top, floor = self.field.y + self.field.h, self.field.y
        for ref, left, wide, bars in groups:
            high = min(max(y for b in bars for _, y in b.points) + 3.5, top)
            low = max(min(y for b in bars for _, y in b.points) - 3.5, floor)
            long = width(ref, LETTER, bold=True)
            for reach in (0.0, 0.5, 1.0, 1.5, 2.0, 2.5, 3.0, 4.0, 5.0, 6.0, 7.0, 8.0):
                spots = ((min(high + reach, top), 0.6), (max(low - reach, floor), -0.6 - LETTER))
                names = (
                    (y, Text(ref, (x, y + dy), LETTER, bold=True))
                    for y, dy in spots
                    for x in (left + (wide - long) / 2, left + 0.8, left + wide - long - 0.8)  # clear of a border
                )
                at = next((y for y, name in names if self.put([[name]])), None)
                if at is not None:
                    high, low = max(high, at), min(low, at)
                    break
            else:
                self.put([[Text(ref, (left + (wide - long) / 2, high + 0.6), LETTER, bold=True)]], anyway=True, joint=True)
            yield Enclosure(ref, Rect(left, low, wide, high - low))


def _apart_from_words(box: Rect) -> Rect:
    """The room of a text with a blank before and after it, so that two on one line do not read as one."""
    return Rect(box.x - BLANK, box.y, box.w + 2 * BLANK, box.h)


def _extent(bar: Bar) -> Rect:
    xs, ys = [x for x, _ in bar.points], [y for _, y in bar.points]
    return Rect(min(xs), min(ys), max(xs) - min(xs), max(ys) - min(ys))


def _apart(a: Rect, b: Rect) -> float:
    dx = max(a.x - b.x - b.w, b.x - a.x - a.w, 0.0)
    dy = max(a.y - b.y - b.h, b.y - a.y - a.h, 0.0)
    return float((dx * dx + dy * dy) ** 0.5)


def _outline(box: Rect) -> tuple[Point, ...]:
    a, b = (box.x, box.y), (box.x + box.w, box.y + box.h)
    return (a, (b[0], a[1]), b, (a[0], b[1]), a)


def _lines(paths: Iterable[Sequence[Point]], wide: float) -> Iterator[Rect]:
    for path in paths:
        for a, b in pairwise(path):
            yield _grown(Rect(min(a[0], b[0]), min(a[1], b[1]), abs(a[0] - b[0]), abs(a[1] - b[1])), wide / 2)


def _grown(box: Rect, by: float) -> Rect:
    return Rect(box.x - by, box.y - by, box.w + 2 * by, box.h + 2 * by)

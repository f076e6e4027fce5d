"""Letters that may stand in several spots: places, titles of cables, junctions, boxes.  Each takes the first that is free."""

from __future__ import annotations

from bisect import bisect_left
from collections.abc import Callable, Iterable, Iterator, Sequence
from dataclasses import replace
from heapq import merge
from itertools import pairwise

from wiregen.drafting.ink import CASED, CHAIN, DOT, LETTER, LINE, NARROW, SMALL
from wiregen.drafting.metrics import ABOVE, OVAL_OVER, TITLE_ABOVE, width
from wiregen.drafting.model import Bar, Enclosure, Jacket, Off, PlacedDevice, Point, Rect, Region, Route, Text
from wiregen.drafting.solid import Solid

ASIDE = 1.4  # more of it before and after a late label
AROUND = 0.35  # air between letters and ink
BLANK = 0.8  # between two texts on one line
PITCH = SMALL * LINE
HIGHER = (0.0, 0.4, 1.5, 2.5, -3.0, -4.5, -7.0, -9.5, -12.0, -14.5, 5.0, 7.5, -17.0, 10.0, -20.0, 13.0, -23.0, 16.0)  # titles
BESIDE = 3.2  # how far from its bar the name of a junction may stand
REACH = 20.0  # how far from the end of its conductor at a junction a label may stand
OUT = 30.0  # how far out of its room a title may stand
OVER = TITLE_ABOVE - OVAL_OVER  # from an oval to a title in its usual spot
NEAR, BELOW = 24.0, 4.0  # how far from its oval a title may stand; what one below it counts as farther


def text_box(text: Text) -> Rect:
    """The room of a text: its capitals, and what hangs below."""
    words, (x, y), size, align, bold = text
    wide = width(words, size, bold)
    if align != "left":
        x -= wide / 2 if align == "middle" else wide
    return Rect(x, y - 0.2 * size, wide, 1.2 * size)


def _capitals(text: Text) -> Rect:
    """The room of its capitals alone: how near letters stand to what they speak of is seen from these."""
    box, hang = text_box(text), 0.2 * text.size
    return Rect(box.x, box.y + hang, box.w, box.h - hang)


class Names:
    def __init__(
        self, field: Rect, devices: Sequence[PlacedDevice], routes: Sequence[Route], bars: Sequence[Bar],
        jackets: Sequence[Jacket], areas: Sequence[Region], chain: Sequence[tuple[Point, ...]], texts: Sequence[Text],
    ) -> None:  # fmt: skip
        self.field = field
        self.solid = Solid(_grown(d.box, 0.3) for d in devices)
        self.solid.add(*_lines([r.points for r in routes] + [b.points for b in bars], CASED))
        self.solid.add(*(_grown(Rect(x, y, 0, 0), DOT / 2) for bar in bars for x, y in bar.dots))
        for box in (*(j.box for j in jackets), *(a.box for a in areas if a.exposed)):  # other outlines give way to letters
            self.solid.add(*_lines([_outline(box)], NARROW))
        self.solid.add(*_lines(chain, CHAIN))
        self.chain = [_lying(*line) for line in chain]
        self.solid.add(*(text_box(t) for t in texts))
        self.bars = [(bar, _extent(bar)) for bar in bars]
        self.ovals, self.titles = list(jackets), list[tuple[str, Rect]]()
        self.made: list[Text] = []
        self.put_last: Sequence[Text] = ()
        self.put_off: list[tuple[Bar, Off]] = []  # references that found no room beside their names
        self.forced = 0  # letters for which no free spot was found

    def free(self, text: Text, over: float | None = None) -> bool:
        """Whether a text meets nothing; `over`: the height of the level line that it belongs to, and stands on."""
        box, field = _grown(text_box(text), AROUND), self.field
        if over is not None:  # two labels on one line must not read as one
            box = Rect(box.x - ASIDE, box.y, box.w + 2 * ASIDE, box.h)
        inside = box.x >= field.x - 1e-6 and box.x + box.w <= field.x + field.w + 1e-6
        inside = inside and box.y >= field.y - 1e-6 and box.y + box.h <= field.y + field.h + AROUND + 1e-6
        if not inside or over is None:
            return inside and not self.solid.meets(box)
        return not any(meet(box, o) and (o.h > CASED + 1e-6 or abs(o.y + o.h / 2 - over) > 1e-6) for o in self.solid.near(box))

    def put(
        self, candidates: Iterable[Sequence[Text]], anyway: bool = False,
        fits: Callable[[Sequence[Text]], bool] = lambda lines: True,
    ) -> bool:  # fmt: skip
        """Writes the first set of lines that is free as a whole and fits; the first of all if there is none and it must be."""
        first: Sequence[Text] | None = None
        for lines in candidates:
            first = first or lines
            if all(self.free(t) for t in lines) and fits(lines):
                break
        else:
            if first is None or not anyway:
                return False
            lines = first
            self.forced += 1
        self.solid.add(*(_apart_from_words(text_box(t)) for t in lines))
        self.made += lines
        self.put_last = lines
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

    def title(self, oval: Jacket, ways: Sequence[Sequence[str]], x: float, top: float, room: tuple[float, float]) -> None:
        """Over the cable's first core and its label, as near to the oval as there is room; else lower or higher, else in
        another way to set it in lines, else out of the room that was kept for it.

        Clear of where titles of further ovals would like to stand, if that can be.
        """
        left, right = self.field.x, self.field.x + self.field.w
        rooms = (room, 0.5), ((max(room[0] - OUT, left), min(room[1] + OUT, right)), 1.5)

        def spots() -> Iterator[list[Text]]:
            return (
                spot
                for within, step in rooms
                for lines in ways
                for spot in self._at_oval(oval.cable, lines, x, top, within, step)
            )

        if not self.put(spots(), fits=lambda lines: self._tells(oval, lines, kept=True)):
            self.put(spots(), anyway=True, fits=lambda lines: self._tells(oval, lines))
        self.titles.append((oval.cable, _around(self.put_last)))

    def _tells(self, oval: Jacket, lines: Sequence[Text], kept: bool = False) -> bool:
        """Whether a title stands near to its oval, nearer than others, on the same side of chain lines, and does not stand
        nearer to others' ovals than their titles; `kept`: nor than titles that are not placed yet will."""
        box = _around(lines)
        own = _title_gap(oval.box, box)
        if own > NEAR or any(_between(line, oval.box, box) for line in self.chain):
            return False
        titled = {cable for cable, _ in self.titles}
        if kept and any(_title_gap(o.box, box) < OVER + 0.3 for o in self.ovals if o.cable not in titled | {oval.cable}):
            return False
        theirs = ((o, self._own_gap(o)) for o in self.ovals if o.cable != oval.cable and o.cable in titled)
        return all(_title_gap(other.box, box) > gap + 0.05 for other, gap in theirs) and all(
            _title_gap(oval.box, there) > own + 0.05 for cable, there in self.titles if cable != oval.cable
        )

    def _own_gap(self, oval: Jacket) -> float:
        """From an oval to the nearest title of its cable."""
        return min((_title_gap(oval.box, there) for cable, there in self.titles if cable == oval.cable), default=99.0)

    def _at_oval(
        self, ref: str, lines: Sequence[str], oval: float, top: float, room: tuple[float, float], step: float
    ) -> Iterator[list[Text]]:
        head, said = width(ref, SMALL, bold=True), lines[0][len(ref) :]
        wide = max(head + width(said, SMALL), *(width(t, SMALL) for t in lines[1:]), 0.0)
        low, high = room[0] + 0.6, room[1] - 0.6 - wide
        wish = min(max(oval, low), max(high, low))
        xs = sorted((low + step * n for n in range(int(max(high - low, 0) / step) + 1)), key=lambda x: abs(x - wish)) or [low]
        base = top + TITLE_ABOVE + PITCH * (len(lines) - 1)

        def at(x: float, y: float) -> list[Text]:
            first = [Text(ref, (x, y), SMALL, "left", bold=True)]
            if said:
                first.append(Text(said.lstrip(), (x + head + width(" ", SMALL), y), SMALL))
            return first + [Text(t, (x, y - PITCH * n), SMALL) for n, t in enumerate(lines[1:], 1)]

        yield at(wish, base)
        for dy in HIGHER:
            starts, ends = _merged(span for text in at(0.0, base + dy) for span in self._blocked(text))
            for x in (wish, *xs):
                n = bisect_left(starts, x)
                if n == 0 or x >= ends[n - 1]:
                    yield at(x, base + dy)

    def _blocked(self, text: Text) -> list[tuple[float, float]]:
        """How far a text may not be moved to the right or left: it would meet something there."""
        box, field = _grown(text_box(text), AROUND), self.field
        level = Rect(field.x, box.y, field.w, box.h)
        return [
            (o.x - box.x - box.w, o.x + o.w - box.x)
            for o in self.solid.near(level)
            if box.y < o.y + o.h and o.y < box.y + box.h
        ]

    def along(self, label: str, start: Point, to: Point, reach: float) -> list[Text]:
        """Writes a label over a level line, within reach of its start; none where there is no room or the line is upright."""
        long, wide = abs(to[0] - start[0]), width(label)
        way, align = (1, "left") if to[0] > start[0] else (-1, "right")
        for n in range(int(min(long - wide / 2, reach) / 0.5)):
            text = Text(label, (start[0] + way * (1.0 + 0.5 * n), start[1] + ABOVE), LETTER, align)  # type: ignore[arg-type]
            if self.free(text, over=start[1]):
                self.solid.add(text_box(text))
                self.made.append(text)
                return [text]
        return []

    def struck(self, texts: Iterable[Text]) -> int:
        """How many of the texts that are not placed here stand on ink, or on one another.  To be asked before any is placed."""
        count = 0
        for text in texts:
            letters = _grown(_capitals(text), -0.05)
            count += sum(meet(letters, other) for other in self.solid.near(letters)) > 1  # once itself
        return count

    def mistaken(self) -> int:
        """How many ovals have the title of another cable nearest, or none near by."""
        count = 0
        for oval in self.ovals:
            gaps = {cable: _title_gap(oval.box, box) for cable, box in self.titles if cable != oval.cable}
            own = self._own_gap(oval)
            count += own > NEAR or own > min(gaps.values(), default=99.0)
        return count

    def moved(self, old: Text, new: Text) -> bool:
        """Whether a text may stand elsewhere; its room moves with it."""
        self.solid.remove(text_box(old))
        free = self.free(new, over=new.at[1] - ABOVE)
        self.solid.add(text_box(new if free else old))
        return free

    def bar(self, bar: Bar, pages: Sequence[int]) -> list[Off]:
        """The name of a junction, and a reference for each other page that has it; their zones are not known yet.

        Where there is no room for these beside the name, they are left to `references`.
        """
        others = [Off((0, 0), bar.end, page, "A0") for page in pages]
        if self.put(self._at_bar(bar, others), fits=lambda row: self._speaks_for(bar, row)):
            return self._taken(others)
        self.put(self._at_bar(bar, ()), anyway=True, fits=lambda row: self._speaks_for(bar, row))
        self.put_off += [(bar, replace(off, whole=True)) for off in others]
        return []

    def references(self) -> list[Off]:
        """Those that stand apart from the names of their junctions: last, for they can stand anywhere."""
        found = []
        for bar, off in self.put_off:
            self.put(self._anywhere(off, bar), anyway=True)
            found += self._taken([off])
        return found

    def _taken(self, offs: Sequence[Off]) -> list[Off]:
        """References as they were written last; they are drawn as such, and no more as letters."""
        written = self.made[len(self.made) - len(offs) :]
        del self.made[len(self.made) - len(offs) :]
        return [replace(off, at=text.at) for off, text in zip(offs, written, strict=True)]

    def _speaks_for(self, bar: Bar, row: Sequence[Text]) -> bool:
        """Whether letters stand near to that bar, and nearer than to any other."""
        box = _around(row)
        own = apart(box, _extent(bar))
        return own < BESIDE and all(own + 0.3 < apart(box, extent) for other, extent in self.bars if other is not bar)

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

    def _anywhere(self, off: Off, bar: Bar) -> Iterator[list[Text]]:
        """Any spot of the field, the nearest to the bar first: a reference that tells box and junction in full needs no bar."""
        x, y = bar.points[0]
        wide, field = width(off.text, SMALL), self.field
        lefts = [field.x + 0.3 + 2.5 * n for n in range(int((field.w - wide) / 2.5))]
        lows = [field.y + 0.3 + 1.25 * n for n in range(int((field.h - SMALL) / 1.25))]
        aside = sorted((abs(left + wide / 2 - x), left) for left in lefts)

        def row(low: float) -> Iterator[tuple[float, float, float]]:
            return ((across + abs(low - y), left, low) for across, left in aside)

        for _, left, low in merge(*map(row, lows)):  # of thousands one of the first will do
            yield [Text(off.text, (left, low), SMALL)]

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
                self.put([[Text(ref, (left + (wide - long) / 2, high + 0.6), LETTER, bold=True)]], anyway=True)
            yield Enclosure(ref, Rect(left, low, wide, high - low))


def _apart_from_words(box: Rect) -> Rect:
    """The room of a text with a blank before and after it, so that two on one line do not read as one."""
    return Rect(box.x - BLANK, box.y, box.w + 2 * BLANK, box.h)


def _extent(bar: Bar) -> Rect:
    xs, ys = [x for x, _ in bar.points], [y for _, y in bar.points]
    return Rect(min(xs), min(ys), max(xs) - min(xs), max(ys) - min(ys))


def apart(a: Rect, b: Rect) -> float:
    dx = max(a.x - b.x - b.w, b.x - a.x - a.w, 0.0)
    dy = max(a.y - b.y - b.h, b.y - a.y - a.h, 0.0)
    return float((dx * dx + dy * dy) ** 0.5)


def meet(a: Rect, b: Rect) -> bool:
    return a.x < b.x + b.w and b.x < a.x + a.w and a.y < b.y + b.h and b.y < a.y + a.h


def _around(texts: Sequence[Text]) -> Rect:
    """From the baseline of the lowest line to the capitals of the highest."""
    boxes = [_capitals(t) for t in texts]
    x, y = min(b.x for b in boxes), min(b.y for b in boxes)
    return Rect(x, y, max(b.x + b.w for b in boxes) - x, max(b.y + b.h for b in boxes) - y)


def _title_gap(oval: Rect, title: Rect) -> float:
    return apart(oval, title) + (BELOW if title.y + title.h < oval.y + oval.h / 2 else 0.0)


def _between(line: Rect, a: Rect, b: Rect) -> bool:
    """Whether an upright or level line parts two boxes."""
    if line.w < line.h:
        beyond = a.x + a.w / 2 < line.x, b.x + b.w / 2 < line.x
        along = line.y < max(a.y + a.h, b.y + b.h) and min(a.y, b.y) < line.y + line.h
    else:
        beyond = a.y + a.h / 2 < line.y, b.y + b.h / 2 < line.y
        along = line.x < max(a.x + a.w, b.x + b.w) and min(a.x, b.x) < line.x + line.w
    return along and beyond[0] != beyond[1]


def _outline(box: Rect) -> tuple[Point, ...]:
    a, b = (box.x, box.y), (box.x + box.w, box.y + box.h)
    return (a, (b[0], a[1]), b, (a[0], b[1]), a)


def _lines(paths: Iterable[Sequence[Point]], wide: float) -> Iterator[Rect]:
    for path in paths:
        for a, b in pairwise(path):
            yield _grown(_lying(a, b), wide / 2)


def _lying(a: Point, b: Point) -> Rect:
    """A line as a box without a width."""
    return Rect(min(a[0], b[0]), min(a[1], b[1]), abs(a[0] - b[0]), abs(a[1] - b[1]))


def _grown(box: Rect, by: float) -> Rect:
    return Rect(box.x - by, box.y - by, box.w + 2 * by, box.h + 2 * by)


def _merged(spans: Iterable[tuple[float, float]]) -> tuple[list[float], list[float]]:
    """Where spans begin and end that cover what all of these cover, their ends not among it, none within another."""
    starts: list[float] = []
    ends: list[float] = []
    for start, end in sorted(spans):
        if ends and start < ends[-1]:
            ends[-1] = max(ends[-1], end)
        else:
            starts.append(start)
            ends.append(end)
    return starts, ends

"""Letters that may stand in several spots: names of junctions, boxes and places.  Each takes the first spot that is free."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterator, Sequence

from wiregen.drafting.arrange import Arrangement
from wiregen.drafting.ink import CASED, DOT, LETTER, SMALL
from wiregen.drafting.metrics import TRACK, width
from wiregen.drafting.model import Bar, Enclosure, PlacedDevice, Point, Rect, Region, Route, Text
from wiregen.drafting.plan import Planner
from wiregen.drafting.spread import Spread

AROUND = 0.4  # air between letters and ink


def text_box(text: Text) -> Rect:
    """The room of a text: its capitals, and what hangs below."""
    wide = width(text.text, text.size, text.bold)
    x = text.at[0] - {"left": 0.0, "middle": wide / 2, "right": wide}[text.align]
    return Rect(x, text.at[1] - 0.2 * text.size, wide, 1.2 * text.size)


class Names:
    def __init__(
        self, planner: Planner, found: Arrangement, widths: Spread, field: Rect, devices: Sequence[PlacedDevice],
        routes: Sequence[Route], bars: Sequence[Bar], texts: Sequence[Text],
    ) -> None:  # fmt: skip
        self.planner, self.found, self.widths, self.field = planner, found, widths, field
        self.bars = bars
        self.solid = [_grown(d.box, 0.3) for d in devices]
        for points in [r.points for r in routes] + [b.points for b in bars]:
            for a, b in zip(points, points[1:], strict=False):
                self.solid.append(_grown(Rect(min(a[0], b[0]), min(a[1], b[1]), abs(a[0] - b[0]), abs(a[1] - b[1])), CASED / 2))
        for bar in bars:
            self.solid += [_grown(Rect(x, y, 0, 0), DOT / 2) for x, y in bar.dots]
        self.solid += [text_box(t) for t in texts]
        self.made: list[Text] = []

    def free(self, text: Text) -> bool:
        box, field = _grown(text_box(text), AROUND), self.field
        inside = box.x >= field.x - 1e-6 and box.x + box.w <= field.x + field.w + 1e-6
        inside = inside and box.y >= field.y - 1e-6 and box.y + box.h <= field.y + field.h + AROUND + 1e-6
        return inside and not any(_touch(box, other) for other in self.solid)

    def put(self, candidates: Iterator[Text]) -> Text | None:
        for text in candidates:
            if self.free(text):
                self.solid.append(text_box(text))
                self.made.append(text)
                return text
        return None

    def place(self, areas: Sequence[Region]) -> tuple[tuple[Enclosure, ...], list[Text]]:
        for area in areas:
            self.put(self.at_region(area))
        for bar in self.bars:
            self.put(self.at_bar(bar))
        return tuple(self.enclosures()), self.made

    def at_region(self, area: Region) -> Iterator[Text]:
        box = area.box
        for down in (2.6, box.h - 1.0):
            for step in range(int(box.w)):
                yield Text(area.place.upper(), (box.x + 1.5 + step, box.y + box.h - down), SMALL, "left", bold=True)

    def at_bar(self, bar: Bar) -> Iterator[Text]:
        """By its upper end, then along it, on either side."""
        name, x = bar.end.terminal, bar.points[0][0]
        high, low = max(y for _, y in bar.points), min(y for _, y in bar.points)
        yield Text(name, (x, high + 1.3), SMALL, "middle")
        beside = DOT / 2 + AROUND + 0.05
        spots: list[Point] = []
        y = high + 1.2
        while y > low - 3.0:
            spots += [(x - beside, y), (x + beside, y)]
            y -= 0.5
        for at in spots:
            yield Text(name, at, SMALL, "right" if at[0] < x else "left")
        yield Text(name, (x, low - 3.0), SMALL, "middle")

    def enclosures(self) -> Iterator[Enclosure]:
        """The outline of a box around its bars in each zone."""
        groups: dict[tuple[str, int, str], list[Bar]] = defaultdict(list)
        where = {self.planner.graph.joints[j].end: spot for j, spot in enumerate(self.found.plan.choice.joint)}
        for bar in self.bars:
            channel, zone = where[bar.end]
            groups[bar.end.device, channel, zone].append(bar)
        for (ref, channel, zone), bars in sorted(groups.items()):
            zones = self.widths.channels[channel]
            used = self.found.tracks[channel, zone]  # type: ignore[index]
            start = {"left": zones.left, "middle": zones.middle, "right": zones.right}[zone]
            wide = {"middle": zones.border_right - zones.middle}.get(zone, used.count * TRACK)
            high = max(y for b in bars for _, y in b.points) + 3.5
            low = min(y for b in bars for _, y in b.points) - 3.5
            name = None
            for lift in range(12):
                top = min(high + 0.5 * lift, self.field.y + self.field.h)
                name = self.put(iter([Text(ref, (start + wide / 2, top + 0.6), LETTER, "middle", bold=True)]))
                if name:
                    high = top
                    break
            yield Enclosure(ref, Rect(start, low, wide, high - low))


def _grown(box: Rect, by: float) -> Rect:
    return Rect(box.x - by, box.y - by, box.w + 2 * by, box.h + 2 * by)


def _touch(a: Rect, b: Rect) -> bool:
    return a.x < b.x + b.w and b.x < a.x + a.w and a.y < b.y + b.h and b.y < a.y + a.h

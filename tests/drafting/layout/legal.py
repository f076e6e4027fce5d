"""What a page must hold to be legal, told from its geometry alone: `problems` lists what does not."""

from __future__ import annotations

from collections import Counter, defaultdict
from collections.abc import Iterator, Sequence
from itertools import combinations, pairwise

from wiregen.drafting.ink import CASED, DESIGNATION, DOT, LINE, SMALL, TERMINAL
from wiregen.drafting.metrics import LABEL_ROOM, width
from wiregen.drafting.model import Layout, Point, Rect, Text
from wiregen.wiring.model import End, Wiring

EPS = 1e-6
PITCH = 2.5  # least distance of parallel conductors

Segment = tuple[Point, Point]


def text_box(text: Text) -> Rect:
    wide = width(text.text, text.size, text.bold)
    x = text.at[0] - {"left": 0.0, "middle": wide / 2, "right": wide}[text.align]
    return Rect(x, text.at[1], wide, text.size)


def overlap(a: Rect, b: Rect) -> bool:
    return a.x < b.x + b.w - EPS and b.x < a.x + a.w - EPS and a.y < b.y + b.h - EPS and b.y < a.y + a.h - EPS


def leaves(box: Rect, field: Rect) -> bool:
    return (
        box.x < field.x - EPS or box.y < field.y - EPS
        or box.x + box.w > field.x + field.w + EPS or box.y + box.h > field.y + field.h + EPS
    )  # fmt: skip


def segment_box(segment: Segment, wide: float) -> Rect:
    (x0, y0), (x1, y1) = segment
    return Rect(min(x0, x1) - wide / 2, min(y0, y1) - wide / 2, abs(x0 - x1) + wide, abs(y0 - y1) + wide)


def vertical(segment: Segment) -> bool:
    return abs(segment[0][0] - segment[1][0]) < EPS


def problems(wiring: Wiring, pages: Sequence[Layout]) -> list[str]:
    return [*_whole(wiring, pages), *(f"page {p.page}: {text}" for p in pages for text in _page(wiring, p))]


def _labels(wiring: Wiring) -> dict[str, str]:
    return {c.wire: f"{c.colour} {c.wire}" for c in wiring.conductors} | {k.ref: k.ref for k in wiring.links}


def _ends(wiring: Wiring) -> dict[str, tuple[End, End]]:
    return {c.wire: (c.a, c.b) for c in wiring.conductors} | {k.ref: (k.a, k.b) for k in wiring.links}


def _whole(wiring: Wiring, pages: Sequence[Layout]) -> Iterator[str]:
    ends = _ends(wiring)
    drawn = Counter(r.wire for p in pages for r in p.routes)
    for wire in sorted(set(ends) | set(drawn)):
        if drawn[wire] != 1 or wire not in ends:
            yield f"{wire} is drawn {drawn[wire]} times"
    if [p.page for p in pages] != list(range(1, len(pages) + 1)) or any(p.pages != len(pages) for p in pages):
        yield "pages are not numbered"
    if _groups([landed(p, r.points) for p in pages for r in p.routes]) != _groups(list(ends.values())):
        yield "the drawing joins other terminals than the list of conductors"
    for name in wiring.devices:
        if not any(d.ref == name for p in pages for d in p.devices):
            yield f"{name} is not drawn"


def landed(page: Layout, points: Sequence[Point]) -> tuple[End | None, End | None]:
    """What stands where a line begins and ends."""
    at: dict[tuple[float, float], End] = {}
    for device in page.devices:
        for pin in device.pins:
            at[round(pin.at[0], 3), round(pin.at[1], 3)] = pin.end
    for bar in page.bars:
        for dot in bar.dots:
            at[round(dot[0], 3), round(dot[1], 3)] = bar.end
    first, last = (at.get((round(x, 3), round(y, 3))) for x, y in (points[0], points[-1]))
    return first, last


def _groups(pairs: Sequence[tuple[End | None, End | None]]) -> set[frozenset[End | None]]:
    group: dict[End | None, set[End | None]] = {}
    for a, b in pairs:
        merged = group.get(a, {a}) | group.get(b, {b})
        for end in merged:
            group[end] = merged
    return {frozenset(g) for g in group.values()}


def _page(wiring: Wiring, page: Layout) -> Iterator[str]:
    ends, labels = _ends(wiring), _labels(wiring)
    lines: list[tuple[str, Segment]] = []
    for route in page.routes:
        if landed(page, route.points) != ends[route.wire]:
            yield f"{route.wire} runs from {landed(page, route.points)} instead of {ends[route.wire]}"
        for a, b in pairwise(route.points):
            if not (abs(a[0] - b[0]) < EPS) ^ (abs(a[1] - b[1]) < EPS):
                yield f"{route.wire} is slanted or has an empty piece: {a} {b}"
            lines.append((route.wire, (a, b)))
    for bar in page.bars:
        lines += [(str(bar.end), pair) for pair in pairwise(bar.points)]
    yield from _meetings(page, lines, ends)
    yield from _boxes(page, lines)
    yield from _letters(page, lines, labels)
    yield from _jackets(wiring, page)
    yield from _pins(page)


def _meetings(page: Layout, lines: list[tuple[str, Segment]], ends: dict[str, tuple[End, End]]) -> Iterator[str]:
    tips = {(w, (round(p[0], 3), round(p[1], 3))) for w, s in lines for p in s}
    for (w, s), (v, t) in combinations(lines, 2):
        if w == v:
            continue
        joined = any(str(e) == v for e in ends.get(w, ())) or any(str(e) == w for e in ends.get(v, ()))
        if vertical(s) == vertical(t):
            a, b = (segment_box(x, 0) for x in (s, t))
            if vertical(s):
                across, along = abs(a.x - b.x), _shared(a.y, a.h, b.y, b.h)
            else:
                across, along = abs(a.y - b.y), _shared(a.x, a.w, b.x, b.w)
            if across < PITCH - EPS and along > EPS and not (joined and along < EPS):
                yield f"{w} and {v} lie {across:.2f} mm apart for {along:.1f} mm"
        elif overlap(segment_box(s, 2 * EPS + 1e-4), segment_box(t, 2 * EPS + 1e-4)):
            x = s[0][0] if vertical(s) else t[0][0]
            y = t[0][1] if vertical(s) else s[0][1]
            at = (round(x, 3), round(y, 3))
            if ((w, at) in tips or (v, at) in tips) and not joined:
                yield f"{w} and {v} touch at {at}"
    for bar in page.bars:
        for x, y in bar.dots:
            for w, s in lines:
                box = segment_box(s, 0)
                gap = max(box.x - x, x - box.x - box.w, 0) + max(box.y - y, y - box.y - box.h, 0)
                if gap < DOT / 2 + CASED / 2 and w != str(bar.end) and bar.end not in ends.get(w, ()):
                    yield f"{w} runs through a dot of {bar.end}"


def _shared(a: float, la: float, b: float, lb: float) -> float:
    return min(a + la, b + lb) - max(a, b)


def _boxes(page: Layout, lines: list[tuple[str, Segment]]) -> Iterator[str]:
    field = page.field
    for w, s in lines:
        box = segment_box(s, CASED)
        if leaves(box, field):
            yield f"{w} leaves the field"
        for device in page.devices:
            inner = Rect(device.box.x + 0.01, device.box.y + 0.01, device.box.w - 0.02, device.box.h - 0.02)
            if overlap(segment_box(s, 0.001), inner):
                yield f"{w} runs through {device.ref}"
    for a, b in combinations(page.devices, 2):
        if overlap(a.box, b.box):
            yield f"{a.ref} lies on {b.ref}"
    for device in page.devices:
        box = device.box
        if leaves(box, field):
            yield f"{device.ref} leaves the field"
        high = device.title_at[1] - SMALL * LINE * len(device.title)
        if high < box.y - EPS or device.title_at[1] + DESIGNATION > box.y + box.h + EPS:
            yield f"{device.ref}: the title is higher than the box"
        wide = max(width(device.ref, DESIGNATION, bold=True), *(width(t, SMALL) for t in device.title))
        if device.title_at[0] + wide > box.x + box.w + EPS or device.title_at[0] < box.x - EPS:
            yield f"{device.ref}: the title is wider than the box"
        title = Rect(device.title_at[0], high, wide, device.title_at[1] + DESIGNATION - high)
        for pin in device.pins:
            mark = width(pin.mark)
            x = pin.at[0] + 1.5 if pin.side == "left" else pin.at[0] - 1.5 - mark
            if pin.side in ("left", "right") and overlap(Rect(x, pin.at[1] - 1.25, mark, 2.5), title):
                yield f"{device.ref}: the mark {pin.mark} meets the title"


def _letters(page: Layout, lines: list[tuple[str, Segment]], labels: dict[str, str]) -> Iterator[str]:
    boxes = [text_box(t) for t in page.texts]
    field = page.field
    for text, box in zip(page.texts, boxes, strict=True):
        if leaves(box, field):
            yield f"{text.text!r} leaves the field"
        for w, s in lines:
            if overlap(box, segment_box(s, CASED)):
                yield f"{text.text!r} is struck by {w}"
        for device in page.devices:
            if overlap(box, device.box):
                yield f"{text.text!r} lies on {device.ref}"
            for pin in device.pins:
                if overlap(box, Rect(pin.at[0] - TERMINAL / 2, pin.at[1] - TERMINAL / 2, TERMINAL, TERMINAL)):
                    yield f"{text.text!r} lies on a terminal of {device.ref}"
        for line in page.exposed_line:
            for pair in pairwise(line):
                if overlap(box, segment_box(pair, 0.9)):
                    yield f"{text.text!r} is struck by the chain line"
        for region in (r for r in page.regions if r.exposed):  # a secured place's outline gives way to letters
            r = region.box
            for pair in pairwise([(r.x, r.y), (r.x + r.w, r.y), (r.x + r.w, r.y + r.h), (r.x, r.y + r.h), (r.x, r.y)]):
                if overlap(box, segment_box(pair, 0.25)):
                    yield f"{text.text!r} is struck by the border of {region.place}"
        for bar in page.bars:
            for x, y in bar.dots:
                if overlap(box, Rect(x - DOT / 2, y - DOT / 2, DOT, DOT)):
                    yield f"{text.text!r} lies on a dot of {bar.end}"
    for (a, box), (b, other) in combinations(list(zip(page.texts, boxes, strict=True)), 2):
        if overlap(box, other):
            yield f"{a.text!r} lies on {b.text!r}"
    written: dict[str, list[Rect]] = defaultdict(list)
    for text, box in zip(page.texts, boxes, strict=True):
        written[text.text].append(box)
    for route in page.routes:
        label = labels[route.wire]
        length = sum(abs(a[0] - b[0]) + abs(a[1] - b[1]) for a, b in pairwise(route.points))
        tips = route.points[0], route.points[-1]
        near = [any(_distance(p, box) < 25 and abs(box.y - p[1]) < 1.5 for box in written[label]) for p in tips]
        if not any(near) or (not all(near) and length > 2 * (width(label) + LABEL_ROOM) + 10):
            yield f"{route.wire}: a label is missing or far from its end ({length:.0f} mm long)"
    names = Counter(t.text for t in page.texts)
    for bar in page.bars:
        if not names[bar.end.terminal]:
            yield f"{bar.end} has no name"
    for region in page.regions:
        if not names[region.place.upper()]:
            yield f"the place {region.place} has no name"


def _distance(p: Point, box: Rect) -> float:
    return max(box.x - p[0], p[0] - box.x - box.w, 0) + max(box.y - p[1], p[1] - box.y - box.h, 0)


def _jackets(wiring: Wiring, page: Layout) -> Iterator[str]:
    drawn = {r.wire: r for r in page.routes}
    cores: dict[str, set[str]] = defaultdict(set)
    for c in wiring.conductors:
        if c.cable and c.wire in drawn:
            cores[c.cable].add(c.wire)
    for k in wiring.links:
        if k.ref in drawn:
            cores[k.ref].add(k.ref)
    marks = Counter(j.cable for j in page.jackets)
    for cable in sorted(set(cores) | set(marks)):
        if cable not in cores:
            yield f"{cable} has a jacket mark but no core"
    held: dict[str, set[str]] = defaultdict(set)
    for jacket in page.jackets:
        x, box = jacket.box.x + jacket.box.w / 2, jacket.box
        inside = set()
        for route in page.routes:
            for a, b in pairwise(route.points):
                level = abs(a[1] - b[1]) < EPS and min(a[0], b[0]) < x < max(a[0], b[0]) and box.y < a[1] < box.y + box.h
                upright = vertical((a, b)) and min(a[1], b[1]) < box.y and max(a[1], b[1]) > box.y + box.h
                upright = upright and box.x < a[0] < box.x + box.w
                if level or upright:
                    inside.add(route.wire)
        held[jacket.cable] |= inside
        if not inside <= cores[jacket.cable]:
            yield f"the jacket of {jacket.cable} holds {sorted(inside)}, not {sorted(cores[jacket.cable])} alone"
    for cable, wires in sorted(cores.items()):
        if held[cable] != wires:
            yield f"{sorted(wires - held[cable])} of {cable} pass no jacket mark"


def _pins(page: Layout) -> Iterator[str]:
    seen: dict[tuple[float, float], str] = {}
    for device in page.devices:
        for pin in device.pins:
            at = (round(pin.at[0], 3), round(pin.at[1], 3))
            if at in seen:
                yield f"{pin.end} stands where {seen[at]} does"
            seen[at] = str(pin.end)
            edge = device.box.x if pin.side == "left" else device.box.x + device.box.w
            if abs(pin.at[0] - edge) > EPS or not device.box.y < pin.at[1] < device.box.y + device.box.h:
                yield f"{pin.end} is not on the edge of {device.ref}"
        for a, b in combinations(device.pins, 2):
            if a.side == b.side and abs(a.at[1] - b.at[1]) < 5 - EPS:
                yield f"{a.end} and {b.end} are too near"

"""The rules of the sheet that need no conductor list: what lies where, how wide, how high."""

from __future__ import annotations

from bisect import bisect_left
from collections.abc import Iterator

import numpy as np
from scipy.ndimage import label as areas_of

from tests.proof.marks import CASING, CORE, LEAST_HEIGHT, MARK_HEIGHT, NARROW, TERMINAL, Defect, Marks, near
from tests.proof.page import Box, Page, Point, Stroke
from tests.proof.trace import Path

APART = 1.2  # mm between the axes of conductors that run side by side: nearer, they print as one
TALL = 8.0  # mm; few strokes are higher, so that the rest is found by its height on the page
CHAIN_LEAST = 0.6  # mm; the chain line is dashed and wider than a conductor, and no casing


def check_page(page: Page, marks: Marks, paths: list[Path], number: int) -> Iterator[Defect]:
    """Every broken rule of one page."""
    for rule in (_shared, _through_devices, _through_text, _through_marks, _widths, _heights, _hidden, _live):
        for kind, what, at in rule(page, marks, paths):
            yield Defect(kind, what, number, at)


Found = Iterator[tuple[str, str, Point]]


def _shared(page: Page, marks: Marks, paths: list[Path]) -> Found:
    """No two conductors share a stretch, of one colour included; nor does one lie on a narrow line."""
    level = sorted(
        ((p.a[1], p.box.x0, p.box.x1, n, p) for n, path in enumerate(paths) for p in path.pieces if p.level),
        key=lambda e: e[:4],
    )
    upright = sorted(
        ((p.a[0], p.box.y0, p.box.y1, n, p) for n, path in enumerate(paths) for p in path.pieces if not p.level),
        key=lambda e: e[:4],
    )
    for lanes in (level, upright):
        for i, (across, low, high, n, piece) in enumerate(lanes):
            for across2, low2, high2, m, piece2 in lanes[i + 1 :]:
                if across2 - across >= APART:
                    break
                if min(high, high2) - max(low, low2) > 0.2 and (n != m or piece is not piece2):
                    yield "shared", f"two conductors lie {across2 - across:.2f} mm apart along a stretch", piece.a
    narrow = [
        s for s in page.strokes if near(s.width, NARROW, 0.1) and (s.level or s.upright) and s.length > 2 and not s.dashed
    ]
    for path in paths:
        for p in path.pieces:
            for s in narrow:
                if s.level != p.level or abs(s.a[1] - p.a[1] if p.level else s.a[0] - p.a[0]) > 0.4:
                    continue
                if _overlap(s, p) > 2:
                    yield "shared", "a conductor lies on a narrow line", p.a


def _overlap(s: Stroke, p: Stroke) -> float:
    a, b = s.box, p.box
    return min(a.x1, b.x1) - max(a.x0, b.x0) if p.level else min(a.y1, b.y1) - max(a.y0, b.y0)


def _through_devices(page: Page, marks: Marks, paths: list[Path]) -> Found:
    inner = [(device, device.box.grown(-0.35)) for device in marks.devices]
    for path in paths:
        for piece in path.pieces:
            line = piece.box.grown(0.01)
            for device, inside in inner:
                if line.meets(inside):
                    yield "through", f"a conductor runs through {device.ref}", piece.a
                elif _runs_along_edge(piece, device.box):
                    yield "through", f"a conductor runs along the edge of {device.ref}", piece.a


def _runs_along_edge(piece: Stroke, box: Box) -> bool:
    line = piece.box
    if piece.level:
        return min(abs(piece.a[1] - box.y0), abs(piece.a[1] - box.y1)) < 0.7 and min(line.x1, box.x1) - max(line.x0, box.x0) > 1
    return min(abs(piece.a[0] - box.x0), abs(piece.a[0] - box.x1)) < 0.7 and min(line.y1, box.y1) - max(line.y0, box.y0) > 1


def _through_text(page: Page, marks: Marks, paths: list[Path]) -> Found:
    texts = sorted(page.texts, key=lambda t: t.box.y0)
    feet, highest = [t.box.y0 for t in texts], max((t.box.h for t in texts), default=0)
    for path in paths:
        half = (CASING if path.cased else CORE) / 2
        for piece in path.pieces:
            ink = piece.box.grown(half - 0.05)
            for text in texts[bisect_left(feet, ink.y0 - highest) : bisect_left(feet, ink.y1)]:
                if ink.meets(text.box):
                    yield "struck", f"a conductor runs through the text {text.text!r}", piece.a
    others = [s for s in page.strokes if not near(s.width, CORE, 0.03) and not near(s.width, CASING, 0.03)]
    fills = [s for s in page.shapes if s.fill is not None and min(s.box.w, s.box.h) > 2]
    reach = sorted(((s.box.grown(s.width / 2), s) for s in others), key=lambda pair: pair[0].y0)
    lows = [box.y0 for box, _ in reach]
    tallest = max((box.h for box, _ in reach if box.h < TALL), default=0)
    tall = [pair for pair in reach if pair[0].h >= TALL]
    for text in page.texts:
        letters = text.box.grown(-0.25)
        for box, s in (*tall, *reach[bisect_left(lows, letters.y0 - tallest) : bisect_left(lows, letters.y1)]):
            if not box.meets(letters) or not _enters(s, letters):
                continue
            if not any(s.order < f.order < text.order and f.box.covers(text.box) for f in fills):
                yield "struck", f"a line runs through the text {text.text!r}", text.box.middle
                break


def _enters(s: Stroke, box: Box) -> bool:
    """Whether a stroke, which may slant, comes into a box."""
    steps = max(2, int(s.length * 4))
    at = ((s.a[0] + (s.b[0] - s.a[0]) * n / steps, s.a[1] + (s.b[1] - s.a[1]) * n / steps) for n in range(steps + 1))
    reach = box.grown(s.width / 2)
    return any(reach.holds(p) for p in at)


def _through_marks(page: Page, marks: Marks, paths: list[Path]) -> Found:
    """A conductor passes no terminal that is not its own."""
    for path in paths:
        own, lines = set(path.nodes), [piece.box.grown(TERMINAL / 2 + CORE / 2) for piece in path.pieces]
        for n, terminal in enumerate(marks.terminals):
            if ("terminal", n) in own:
                continue
            for line in lines:
                if line.holds(terminal.at):
                    yield "through", f"a conductor runs over the terminal {terminal.device}:{terminal.mark}", terminal.at


def _widths(page: Page, marks: Marks, paths: list[Path]) -> Found:
    """What touches a terminal is a conductor (0.5, its casing 0.95, its tracer) or narrow."""
    for s in page.strokes:
        allowed = any(near(s.width, w, 0.06) for w in (CORE, CASING, NARROW)) or (s.dashed and s.width <= CORE)
        if allowed:
            continue
        reach = s.box.grown(TERMINAL / 2)
        for terminal in marks.terminals:
            if reach.holds(terminal.at):
                yield "width", f"a stroke of {s.width:.2f} mm touches {terminal.device}:{terminal.mark}", terminal.at


def _heights(page: Page, marks: Marks, paths: list[Path]) -> Found:
    for text in page.texts:
        if text.capitals < LEAST_HEIGHT - 0.02:
            yield "small", f"{text.text!r} is {text.capitals:.2f} mm high", text.box.middle
    for label in marks.labels:
        if label.text.capitals < MARK_HEIGHT - 0.02:
            yield "small", f"label {label.text.text!r} is {label.text.capitals:.2f} mm high", label.text.box.middle


def _hidden(page: Page, marks: Marks, paths: list[Path]) -> Found:
    """Nothing that says what is joined lies under a fill that was drawn later."""
    fills = [s for s in page.shapes if s.fill is not None and min(s.box.w, s.box.h) > 2]
    lines = [(piece, piece.box.grown(0.01)) for path in paths for piece in path.pieces]
    for fill in fills:
        inside = fill.box.grown(-0.3)
        for text in page.texts:
            if text.order < fill.order and inside.meets(text.box):
                yield "hidden", f"{text.text!r} lies under what was drawn later", text.box.middle
        for piece, line in lines:
            if piece.order < fill.order and line.meets(inside):
                yield "hidden", "a conductor lies under what was drawn later", piece.a
        for device in marks.terminals:
            if device.text and device.text.order < fill.order and inside.holds(device.at):
                yield "hidden", f"the terminal {device.device}:{device.mark} lies under what was drawn later", device.at


def _live(page: Page, marks: Marks, paths: list[Path]) -> Found:
    if page.pictures:
        yield "picture", f"{page.pictures} raster pictures", (0, 0)
    for font in page.unembedded:
        yield "font", f"{font} is not embedded", (0, 0)
    texts = sorted(((t, t.box.grown(-0.05)) for t in page.texts), key=lambda pair: pair[1].x0)
    for i, (one, box) in enumerate(texts):
        for other, other_box in texts[i + 1 :]:
            if other_box.x0 >= box.x1:
                break
            if box.meets(other_box):
                yield "overlap", f"{one.text!r} and {other.text!r} are printed over one another", one.box.middle


def chain_sides(page: Page, marks: Marks) -> tuple[dict[str, int], bool]:
    """For each device and junction box, which area of the sheet it stands in when the chain lines are taken as walls;
    0 for what stands in a wall.

    Two areas are one where a gap of more than 2 mm lets one pass; the walls of the outermost rectangle round all devices,
    regions and chain lines close the world.  Also tells whether there is a chain line at all.
    """
    chains = [
        s
        for s in page.strokes
        if s.dashed and s.width >= CHAIN_LEAST and not near(s.width, CASING, 0.03) and (s.level or s.upright)
    ]
    things = marks.devices + marks.boxes
    boxes = [d.box for d in things] + [s.box for s in chains]
    if not boxes:
        return {}, False
    world = Box(
        min(b.x0 for b in boxes) - 1, min(b.y0 for b in boxes) - 1, max(b.x1 for b in boxes) + 1, max(b.y1 for b in boxes) + 1
    )
    columns, rows = int(world.w) + 1, int(world.h) + 1
    free = np.ones((rows, columns), dtype=bool)  # cells of 1 mm
    for s in chains:
        walled = s.box.grown(1.01)
        x0, x1 = max(0, int(walled.x0 - world.x0)), int(walled.x1 - world.x0) + 1
        y0, y1 = max(0, int(walled.y0 - world.y0)), int(walled.y1 - world.y0) + 1
        free[y0:y1, x0:x1] = False
    areas, _ = areas_of(free)
    sides: dict[str, int] = {}
    for thing in things:
        x, y = thing.box.middle
        sides[thing.ref] = int(areas[int(y - world.y0), int(x - world.x0)])
    return sides, bool(chains)

"""Reads one PDF page as ink: strokes, round and square marks, fills and live text, in millimetres, y up."""

from __future__ import annotations

import io
import itertools
import re
from collections.abc import Iterator
from dataclasses import dataclass
from functools import cached_property
from typing import Any

from pdfminer.converter import PDFLayoutAnalyzer
from pdfminer.pdfdocument import PDFDocument
from pdfminer.pdfinterp import PDFPageInterpreter, PDFResourceManager
from pdfminer.pdfpage import PDFPage
from pdfminer.pdfparser import PDFParser
from pdfminer.utils import apply_matrix_pt

MM = 72 / 25.4
Point = tuple[float, float]
Colour = tuple[float, float, float]


@dataclass(frozen=True)
class Stroke:
    """A straight piece of a stroked path; `path` tells which path it came from, `order` when it was drawn."""

    a: Point
    b: Point
    width: float
    colour: Colour
    dashed: bool
    order: int

    @property
    def length(self) -> float:
        return abs(self.a[0] - self.b[0]) + abs(self.a[1] - self.b[1])

    @property
    def level(self) -> bool:
        return abs(self.a[1] - self.b[1]) < 0.02

    @property
    def upright(self) -> bool:
        return abs(self.a[0] - self.b[0]) < 0.02

    @cached_property
    def box(self) -> Box:
        return Box(min(self.a[0], self.b[0]), min(self.a[1], self.b[1]), max(self.a[0], self.b[0]), max(self.a[1], self.b[1]))


@dataclass(frozen=True)
class Box:
    x0: float
    y0: float
    x1: float
    y1: float

    @property
    def w(self) -> float:
        return self.x1 - self.x0

    @property
    def h(self) -> float:
        return self.y1 - self.y0

    @property
    def middle(self) -> Point:
        return (self.x0 + self.x1) / 2, (self.y0 + self.y1) / 2

    def grown(self, by: float) -> Box:
        return Box(self.x0 - by, self.y0 - by, self.x1 + by, self.y1 + by)

    def holds(self, point: Point) -> bool:
        return self.x0 <= point[0] <= self.x1 and self.y0 <= point[1] <= self.y1

    def covers(self, other: Box) -> bool:
        return self.x0 <= other.x0 and self.y0 <= other.y0 and self.x1 >= other.x1 and self.y1 >= other.y1

    def meets(self, other: Box) -> bool:
        return self.x0 < other.x1 and other.x0 < self.x1 and self.y0 < other.y1 and other.y0 < self.y1


@dataclass(frozen=True)
class Shape:
    """A closed path: one circle, a rectangle, or any other outline.  A wide outline counts as strokes too."""

    box: Box
    kind: str  # "circle", "rect", "outline"
    stroke: Colour | None
    fill: Colour | None
    width: float
    order: int

    @property
    def size(self) -> float:
        return (self.box.w + self.box.h) / 2


@dataclass(frozen=True)
class Text:
    """A run of characters on one base line.  `box` goes from the base line to the top of the capitals."""

    text: str
    box: Box
    capitals: float
    bold: bool
    turned: bool
    order: int
    colour: Colour

    @property
    def base(self) -> float:
        return self.box.y0


@dataclass(frozen=True)
class Page:
    width: float
    height: float
    strokes: tuple[Stroke, ...]
    shapes: tuple[Shape, ...]
    texts: tuple[Text, ...]
    pictures: int
    unembedded: tuple[str, ...]
    missing_glyphs: int


@dataclass(frozen=True)
class _Glyph:
    text: str
    at: Point
    end: Point
    size: float
    cap: float
    font: str
    turned: bool
    order: int
    colour: Colour


def _rgb(value: Any) -> Colour:
    parts = tuple(float(v) for v in value) if isinstance(value, (tuple, list)) else (float(value or 0),)
    if len(parts) == 1:
        return parts * 3
    if len(parts) == 4:
        return tuple((1 - v) * (1 - parts[3]) for v in parts[:3])  # type: ignore[return-value]
    return parts  # type: ignore[return-value]


class _Ink(PDFLayoutAnalyzer):
    """Collects what is painted, without any grouping of the library's."""

    def __init__(self, resources: PDFResourceManager) -> None:
        super().__init__(resources)
        self.strokes: list[Stroke] = []
        self.shapes: list[Shape] = []
        self.glyphs: list[_Glyph] = []
        self.fonts: dict[str, tuple[bool, float]] = {}
        self.pictures = self.missing = self.order = 0

    def render_image(self, name: str, stream: Any) -> None:
        self.pictures += 1

    def handle_undefined_char(self, font: Any, cid: int) -> str:
        self.missing += 1
        return "\ufffd"

    def paint_path(self, gstate: Any, stroke: bool, fill: bool, evenodd: bool, path: Any) -> None:
        self.order += 1
        dashed = bool(gstate.dash and gstate.dash[0])
        colour = _rgb(gstate.scolor) if stroke else None
        inside = _rgb(gstate.ncolor) if fill else None
        width = float(gstate.linewidth) / MM
        if (fill or stroke) and not (colour is None and inside is None):
            for sub in _subpaths(path):
                self._sub(sub, colour, inside, width, dashed)

    def _sub(self, sub: list[Any], colour: Colour | None, inside: Colour | None, width: float, dashed: bool) -> None:
        steps = [(op, [self._mm(p) for p in zip(rest[::2], rest[1::2], strict=True)]) for op, *rest in sub]
        at = start = steps[0][1][0]
        ends = [at]
        for op, points in steps[1:]:
            if op == "c":
                ends.extend(_bezier(at, *points, n / 8) for n in range(1, 8))
            at = start if op == "h" else points[-1]
            ends.append(at)
        ops = "".join(op for op, _ in steps[1:]).replace("h", "")
        closed = steps[-1][0] == "h" or ends[-1] == ends[0]
        box = Box(*(f(p[k] for p in ends) for f in (min, max) for k in (0, 1)))
        if (closed and len(ends) > 2) or inside is not None:
            kind = "outline"
            if ops and set(ops) == {"c"} and abs(box.w - box.h) < 0.05 and _is_round(ends, box):
                kind = "circle"
            elif set(ops) == {"l"} and all(
                min(abs(p[0] - box.x0), abs(p[0] - box.x1)) < 0.02 and min(abs(p[1] - box.y0), abs(p[1] - box.y1)) < 0.02
                for p in ends
            ):
                kind = "rect"
            self.shapes.append(Shape(box, kind, colour, inside, width, self.order))
            if kind != "outline" and width < 0.35:
                return
        if colour is not None:
            for p, q in itertools.pairwise(ends):
                if p != q:
                    self.strokes.append(Stroke(p, q, width, colour, dashed, self.order))

    def _mm(self, point: Point) -> Point:
        x, y = apply_matrix_pt(self.ctm, (float(point[0]), float(point[1])))
        return round(x / MM, 4), round(y / MM, 4)

    def render_char(
        self, matrix: Any, font: Any, fontsize: float, scaling: float, rise: float, cid: int, ncs: Any, gs: Any
    ) -> float:
        self.order += 1
        try:
            text = font.to_unichr(cid)
        except Exception:  # a font without a map back to characters: the text is not live
            text = self.handle_undefined_char(font, cid)
        advance = font.char_width(cid) * fontsize * scaling
        a, b, c, d, e, f = matrix
        name = str(font.fontname)
        if name not in self.fonts:
            known = getattr(font, "descriptor", {}) or {}
            embedded = any(k in known for k in ("FontFile", "FontFile2", "FontFile3"))
            self.fonts[name] = embedded, float(known.get("CapHeight") or 700) / 1000
        end = (e + a * advance, f + b * advance)
        size = fontsize * (c * c + d * d) ** 0.5 / MM
        self.glyphs.append(
            _Glyph(
                text,
                (e / MM, f / MM),
                (end[0] / MM, end[1] / MM),
                size,
                size * self.fonts[name][1],
                name,
                abs(b) > abs(a),
                self.order,
                _rgb(gs.ncolor),
            )
        )
        return float(advance)


def _subpaths(path: Any) -> Iterator[list[Any]]:
    sub: list[Any] = []
    for step in path:
        if step[0] == "m" and sub:
            yield sub
            sub = []
        sub.append(step)
    if len(sub) > 1:
        yield sub


def _bezier(p0: Point, p1: Point, p2: Point, p3: Point, t: float) -> Point:
    u = 1 - t
    x, y = (u**3 * p0[k] + 3 * u * u * t * p1[k] + 3 * u * t * t * p2[k] + t**3 * p3[k] for k in (0, 1))
    return x, y


def _is_round(ends: list[Point], box: Box) -> bool:
    (x, y), r = box.middle, box.w / 2
    return all(abs(((p[0] - x) ** 2 + (p[1] - y) ** 2) ** 0.5 - r) < 0.05 for p in ends)


def _runs(glyphs: list[_Glyph]) -> Iterator[Text]:
    """Characters of one font on one base line that follow each other closer than a third of their size are one text."""

    def lane(g: _Glyph) -> tuple[Any, ...]:
        across, along = (g.at[0], g.at[1]) if g.turned else (g.at[1], g.at[0])
        return g.turned, round(across, 1), g.font, round(g.size, 2), along

    run: list[_Glyph] = []
    for g in sorted(glyphs, key=lane):
        if run:
            last = run[-1]
            gap = g.at[1] - last.end[1] if g.turned else g.at[0] - last.end[0]
            if lane(g)[:4] != lane(last)[:4] or not -0.3 * g.size < gap < 0.3 * g.size:
                yield from _text(run)
                run = []
        run.append(g)
    yield from _text(run)


def _text(run: list[_Glyph]) -> Iterator[Text]:
    text = "".join(g.text for g in run)
    if not text.strip():
        return
    while run[0].text.isspace():
        run = run[1:]
    while run[-1].text.isspace():
        run = run[:-1]
    first, last = run[0], run[-1]
    cap = max(g.cap for g in run)
    if first.turned:
        box = Box(first.at[0] - cap, min(first.at[1], last.end[1]), first.at[0], max(first.at[1], last.end[1]))
    else:
        box = Box(first.at[0], first.at[1], last.end[0], first.at[1] + cap)
    bold = bool(re.search("bold", first.font, re.I))
    yield Text(re.sub(r"\s+", " ", text.strip()), box, cap, bold, first.turned, first.order, first.colour)


def read_pages(pdf: bytes) -> tuple[Page, ...]:
    """Every page of the PDF as ink."""
    pages = []
    resources = PDFResourceManager()
    for page in PDFPage.create_pages(PDFDocument(PDFParser(io.BytesIO(pdf)))):
        ink = _Ink(resources)
        PDFPageInterpreter(resources, ink).process_page(page)
        x0, y0, x1, y1 = page.mediabox
        pages.append(
            Page(
                (x1 - x0) / MM,
                (y1 - y0) / MM,
                tuple(ink.strokes),
                tuple(ink.shapes),
                tuple(_runs(ink.glyphs)),
                ink.pictures,
                tuple(sorted(n for n, (embedded, _) in ink.fonts.items() if not embedded)),
                ink.missing,
            )
        )
    return tuple(pages)

"""Reads the pages of a PDF as ink, with PDFium: what a viewer would paint, object by object, nothing grouped."""

from __future__ import annotations

import ctypes
import re
from collections.abc import Callable, Iterator
from functools import cache
from importlib.resources import files
from itertools import pairwise
from typing import Any

import pypdfium2
import pypdfium2.raw as pdfium
from reportlab.pdfbase.ttfonts import TTFontFace

from tests.proof.page import MM, Box, Colour, Page, Point, Shape, Stroke, Text

FAMILY = "SourceSansPro"  # the one that sheets are printed in
SPECK = 1.1  # mm
LIKE_CAPITALS = 0.7  # height of capitals of a font that is not ours, as part of its size
USUAL = 200  # characters of a text, at most
Step = tuple[str, list[Point]]


@cache
def _face() -> Any:
    return TTFontFace(str(files("wiregen.fonts").joinpath(f"{FAMILY}-Regular.ttf")))


def read_pages(pdf: bytes, words_alone: bool = False) -> tuple[Page, ...]:
    """Every page of the PDF as ink, or what of it is text."""
    document = pypdfium2.PdfDocument(pdf)
    try:
        return tuple(_Reader(page, words_alone).page() for page in document)
    finally:
        document.close()


class _Reader:
    """One page."""

    def __init__(self, page: Any, words_alone: bool) -> None:
        self.words_alone = words_alone
        self.raw, self.size = page.raw, page.get_size()
        self.text_page = pdfium.FPDFText_LoadPage(self.raw)
        self.strokes: list[Stroke] = []
        self.shapes: list[Shape] = []
        self.runs: list[Text] = []
        self.unembedded: set[str] = set()
        self.pictures = self.order = 0

    def page(self) -> Page:
        self._objects(pdfium.FPDFPage_CountObjects(self.raw), lambda n: pdfium.FPDFPage_GetObject(self.raw, n), _IDENTITY)
        pdfium.FPDFText_ClosePage(self.text_page)
        return Page(self.size[0] / MM, self.size[1] / MM, tuple(self.strokes), tuple(self.shapes), tuple(_merged(self.runs)),
                    self.pictures, tuple(sorted(self.unembedded)))  # fmt: skip

    def _objects(self, count: int, get: Callable[[int], Any], outer: _Matrix) -> None:
        for n in range(count):
            self.order += 1
            item = get(n)
            kind = pdfium.FPDFPageObj_GetType(item)
            if kind == pdfium.FPDF_PAGEOBJ_PATH:
                if not self.words_alone:
                    self._path(item, outer)
            elif kind == pdfium.FPDF_PAGEOBJ_TEXT:
                self._text(item, outer)
            elif kind == pdfium.FPDF_PAGEOBJ_FORM:
                inner = outer.after(_matrix(item))
                self._objects(
                    pdfium.FPDFFormObj_CountObjects(item), lambda k, form=item: pdfium.FPDFFormObj_GetObject(form, k), inner
                )
            else:
                self.pictures += 1

    def _path(self, item: Any, outer: _Matrix) -> None:
        fill_mode, stroked = ctypes.c_int(), ctypes.c_int()
        pdfium.FPDFPath_GetDrawMode(item, fill_mode, stroked)
        if not stroked.value and self._speck(item):
            return
        matrix = outer.after(_matrix(item))
        colour = _colour(pdfium.FPDFPageObj_GetStrokeColor, item) if stroked.value else None
        inside = _colour(pdfium.FPDFPageObj_GetFillColor, item) if fill_mode.value else None
        width = ctypes.c_float()
        pdfium.FPDFPageObj_GetStrokeWidth(item, width)
        dashed = pdfium.FPDFPageObj_GetDashCount(item) > 0
        for steps, closed in _subpaths(item, matrix):
            self._outline(steps, closed, colour, inside, width.value * matrix.scale / MM, dashed)

    def _speck(self, item: Any) -> bool:
        """Whether a shape is smaller than any mark that says what is joined, such as a square of a QR code."""
        edges = [ctypes.c_float() for _ in range(4)]
        pdfium.FPDFPageObj_GetBounds(item, *edges)
        return max(edges[2].value - edges[0].value, edges[3].value - edges[1].value) < SPECK * MM

    def _outline(
        self, steps: list[Step], closed: bool, colour: Colour | None, inside: Colour | None, width: float, dashed: bool
    ) -> None:
        ends = [steps[0][1][0]]
        for kind, points in steps[1:]:
            if kind == "curve":
                ends.extend(_bezier(ends[-1], *points))
            ends.append(points[-1])
        if closed and ends[-1] != ends[0]:
            ends.append(ends[0])
        kinds = {kind for kind, _ in steps[1:]}
        if len(ends) > 2 and (ends[-1] == ends[0] or inside is not None):
            xs, ys = [p[0] for p in ends], [p[1] for p in ends]
            box = Box(min(xs), min(ys), max(xs), max(ys))
            kind = (
                "circle"
                if kinds == {"curve"} and _round(ends, box)
                else "rect"
                if kinds == {"line"} and _corners(ends, box)
                else "outline"
            )
            self.shapes.append(Shape(box, kind, colour, inside, width, self.order, dashed))
            if kind != "outline" and width < 0.35:
                return
        if colour is not None:
            self.strokes += [Stroke(p, q, width, colour, dashed, self.order) for p, q in pairwise(ends) if p != q]

    def _text(self, item: Any, outer: _Matrix) -> None:
        buffer = (ctypes.c_ushort * USUAL)()
        length = pdfium.FPDFTextObj_GetText(item, self.text_page, buffer, 2 * USUAL)  # PDFium looks through the page each time
        if length > 2 * USUAL:
            buffer = (ctypes.c_ushort * (length // 2))()
            pdfium.FPDFTextObj_GetText(item, self.text_page, buffer, length)
        text = bytes(buffer)[: length - 2].decode("utf-16-le").replace("\x02", "-")  # PDFium's sign for a hyphen at an end
        if not text.strip():
            return
        font = pdfium.FPDFTextObj_GetFont(item)
        buffer8 = ctypes.create_string_buffer(128)
        pdfium.FPDFFont_GetBaseFontName(font, buffer8, 128)
        name = re.sub(r"^[A-Z]{6}\+", "", buffer8.value.decode())
        if not pdfium.FPDFFont_GetIsEmbedded(font):
            self.unembedded.add(name)
        size, edges = ctypes.c_float(), [ctypes.c_float() for _ in range(4)]
        pdfium.FPDFTextObj_GetFontSize(item, size)
        pdfium.FPDFPageObj_GetBounds(item, *edges)
        matrix = outer.after(_matrix(item))
        turned = abs(matrix.b) > abs(matrix.a)
        cap = size.value * matrix.scale / MM * (_face().capHeight / 1000 if name.startswith(FAMILY) else LIKE_CAPITALS)
        (_, y0), (x1, y1) = outer.at(edges[0].value, edges[1].value), outer.at(edges[2].value, edges[3].value)
        base = matrix.at(0, 0)
        box = Box(base[0] - cap, y0, base[0], y1) if turned else Box(base[0], base[1], x1, base[1] + cap)
        bold = "bold" in name.lower()
        self.runs.append(Text(text, box, cap, bold, turned, self.order, _colour(pdfium.FPDFPageObj_GetFillColor, item)))


class _Matrix:
    """An affine transformation, from points of the object to points of the page; `at` gives millimetres."""

    def __init__(self, a: float, b: float, c: float, d: float, e: float, f: float) -> None:
        self.a, self.b, self.c, self.d, self.e, self.f = a, b, c, d, e, f
        self.scale = abs(a * d - b * c) ** 0.5

    def at(self, x: float, y: float) -> Point:
        return round((self.a * x + self.c * y + self.e) / MM, 3), round((self.b * x + self.d * y + self.f) / MM, 3)

    def after(self, first: _Matrix) -> _Matrix:
        m, n = first, self
        if m is _IDENTITY or n is _IDENTITY:
            return n if m is _IDENTITY else m
        return _Matrix(
            m.a * n.a + m.b * n.c, m.a * n.b + m.b * n.d, m.c * n.a + m.d * n.c, m.c * n.b + m.d * n.d,
            m.e * n.a + m.f * n.c + n.e, m.e * n.b + m.f * n.d + n.f,
        )  # fmt: skip


_IDENTITY = _Matrix(1, 0, 0, 1, 0, 0)
_SEGMENT = (
    pdfium.FPDFPath_GetPathSegment, pdfium.FPDFPathSegment_GetPoint, pdfium.FPDFPathSegment_GetType,
    pdfium.FPDFPathSegment_GetClose,
)  # fmt: skip


def _matrix(item: Any) -> _Matrix:
    m = pdfium.FS_MATRIX()
    pdfium.FPDFPageObj_GetMatrix(item, m)
    found = m.a, m.b, m.c, m.d, m.e, m.f
    return _IDENTITY if found == (1, 0, 0, 1, 0, 0) else _Matrix(*found)


def _colour(get: Callable[..., Any], item: Any) -> Colour:
    parts = [ctypes.c_uint() for _ in range(4)]
    get(item, *parts)
    return parts[0].value / 255, parts[1].value / 255, parts[2].value / 255


def _subpaths(item: Any, matrix: _Matrix) -> Iterator[tuple[list[Step], bool]]:
    steps: list[Step] = []
    closed = False
    bend: list[Point] = []
    x, y, plain = ctypes.c_float(), ctypes.c_float(), matrix is _IDENTITY
    get, point, type_, close = _SEGMENT  # looked up once: most of the time goes here
    for n in range(pdfium.FPDFPath_CountSegments(item)):
        segment = get(item, n)
        point(segment, x, y)
        at = (round(x.value / MM, 3), round(y.value / MM, 3)) if plain else matrix.at(x.value, y.value)
        kind = type_(segment)
        if kind == pdfium.FPDF_SEGMENT_MOVETO:
            if len(steps) > 1:
                yield steps, closed
            steps, closed = [("move", [at])], False
        elif kind == pdfium.FPDF_SEGMENT_LINETO:
            steps.append(("line", [at]))
        else:
            bend.append(at)
            if len(bend) == 3:
                steps.append(("curve", bend))
                bend = []
        closed = closed or bool(close(segment))
    if len(steps) > 1:
        yield steps, closed


_ALONG = [((1 - t) ** 3, 3 * (1 - t) ** 2 * t, 3 * (1 - t) * t**2, t**3) for t in (n / 8 for n in range(1, 8))]


def _bezier(p0: Point, p1: Point, p2: Point, p3: Point) -> list[Point]:
    """Points on a curve, between its ends."""
    (x0, y0), (x1, y1), (x2, y2), (x3, y3) = p0, p1, p2, p3
    return [(a * x0 + b * x1 + c * x2 + d * x3, a * y0 + b * y1 + c * y2 + d * y3) for a, b, c, d in _ALONG]


def _round(ends: list[Point], box: Box) -> bool:
    (x, y), r = box.middle, box.w / 2
    return all(abs(((p[0] - x) ** 2 + (p[1] - y) ** 2) ** 0.5 - r) < 0.05 for p in ends)


def _corners(ends: list[Point], box: Box) -> bool:
    return all(min(p[0] - box.x0, box.x1 - p[0]) < 0.02 and min(p[1] - box.y0, box.y1 - p[1]) < 0.02 for p in ends)


def _merged(runs: list[Text]) -> Iterator[Text]:
    """Runs of one font on one base line that follow each other closer than a third of a letter's size are one text."""

    def lane(t: Text) -> tuple[Any, ...]:
        across, along = (t.box.x1, t.box.y0) if t.turned else (t.box.y0, t.box.x0)
        return t.turned, round(across, 1), t.bold, round(t.capitals, 2), along

    last: Text | None = None
    for run in sorted(runs, key=lane):
        if last is not None:
            gap = run.box.y0 - last.box.y1 if run.turned else run.box.x0 - last.box.x1
            near = lane(run)[:4] == lane(last)[:4] and -0.45 * run.capitals < gap < 0.45 * run.capitals
            if near:
                a, b = last.box, run.box
                box = Box(min(a.x0, b.x0), min(a.y0, b.y0), max(a.x1, b.x1), max(a.y1, b.y1))
                last = Text(last.text + run.text, box, last.capitals, last.bold, last.turned, last.order, last.colour)
                continue
            yield _tidy(last)
        last = run
    if last is not None:
        yield _tidy(last)


def _tidy(text: Text) -> Text:
    words = re.sub(r"\s+", " ", text.text.strip())
    return text if words == text.text else Text(words, text.box, text.capitals, text.bold, text.turned, text.order, text.colour)

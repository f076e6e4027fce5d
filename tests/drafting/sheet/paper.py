"""A sheet as printed: its PDF page read back by pdfplumber."""

from __future__ import annotations

from collections.abc import Sequence
from io import BytesIO
from typing import Any

import pdfplumber
from reportlab.graphics import renderPDF
from reportlab.graphics.shapes import Drawing
from reportlab.pdfgen.canvas import Canvas

from wiregen import fonts

MM = 72 / 25.4


def pdf_of(drawings: Sequence[Drawing]) -> bytes:
    fonts.register()
    out = BytesIO()
    size = (drawings[0].width, drawings[0].height)
    canvas = Canvas(out, pagesize=size, invariant=1, pageCompression=0, initialFontName=fonts.REGULAR)
    for drawing in drawings:
        renderPDF.draw(drawing, canvas, 0, 0)
        canvas.showPage()
    canvas.save()
    return out.getvalue()


def pages(drawings: Sequence[Drawing]) -> list[Any]:
    return list(pdfplumber.open(BytesIO(pdf_of(drawings))).pages)


def words(page: Any) -> list[dict[str, Any]]:
    found = page.extract_words(keep_blank_chars=False, extra_attrs=["size", "fontname"], x_tolerance=1.5, y_tolerance=1.5)
    for word in found:  # the ink box: from the base line to the top of the capitals
        base = word["bottom"] + DESCENT * word["size"]
        word["box"] = (word["x0"] + 0.3, base - fonts.CAP * word["size"] + 0.3, word["x1"] - 0.3, base - 0.3)
    return list(found)


DESCENT = -0.273  # of the shipped faces, by their hhea table


def strokes(page: Any) -> list[tuple[float, float, float, float, float]]:
    """Straight pieces of strokes in points from the top left: x0, y0, x1, y1, width."""
    out = []
    for item in (*page.lines, *page.curves, *page.rects):
        if not item.get("stroke"):
            continue
        at: tuple[float, float] | None = None
        start: tuple[float, float] | None = None
        for command, *points in item["path"]:
            if command == "m":
                at = start = points[0]
                continue
            end = start if command == "h" else points[-1]
            if at is not None and end is not None and at != end:
                out.append((*at, *end, float(item["linewidth"])))
            at = end
    return out


def enters(stroke: tuple[float, ...], box: tuple[float, ...]) -> bool:
    """Whether an upright or level stroke's ink enters a box; slanted ones are sampled."""
    x0, y0, x1, y1, width = stroke
    half = width / 2
    if max(x0, x1) + half <= box[0] or max(y0, y1) + half <= box[1]:
        return False
    if min(x0, x1) - half >= box[2] or min(y0, y1) - half >= box[3]:
        return False
    for n in range(21):
        x, y = x0 + (x1 - x0) * n / 20, y0 + (y1 - y0) * n / 20
        if box[0] - half < x < box[2] + half and box[1] - half < y < box[3] + half:
            return True
    low, high = (min(x0, x1), min(y0, y1)), (max(x0, x1), max(y0, y1))
    if x0 == x1 or y0 == y1:
        return low[0] - half < box[2] and high[0] + half > box[0] and low[1] - half < box[3] and high[1] + half > box[1]
    return False

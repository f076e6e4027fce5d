"""Labels printed on the sheets that a site gives, each inside its cell; the lettering as large as the cell lets it be."""

from __future__ import annotations

from collections.abc import Sequence
from io import BytesIO

from reportlab.lib.units import mm
from reportlab.pdfgen.canvas import Canvas

from wiregen.fonts import BOLD, CAP, REGULAR, fix_encoding, register, width
from wiregen.packet.flow import wrap
from wiregen.packet.labels import Label
from wiregen.reading.label_sheet import PAPERS
from wiregen.reading.model import LabelSheet

METRE = 1000 * mm
EDGE = 1.2 * mm  # of a cell that stays free: printers do not hit their sheets better (common practice, no source)
LARGEST, WANTED, SMALLEST = (capital * mm / CAP for capital in (2.5, 1.85, 1.3))  # points, by the height of capitals in mm
LEADING = 1.2  # of lines, in sizes
DEPTH = 0.25  # of a size, below the base line


def label_sheets(labels: Sequence[Label], sheet: LabelSheet, title: str) -> bytes:
    """The labels as PDF, sheet by sheet, row by row, in their order.  Same labels, same bytes."""
    register()
    paper = tuple(size * METRE for size in PAPERS[sheet.paper])
    out = BytesIO()
    canvas = Canvas(out, pagesize=paper, invariant=1, pageCompression=0, initialFontName=REGULAR, lang="en")
    fix_encoding(canvas._doc)
    canvas.setTitle(title)
    canvas.setCreator("wiregen")
    canvas.setProducer("wiregen")
    on_one = sheet.rows * sheet.columns
    for number, label in enumerate(labels):
        if number and number % on_one == 0:
            canvas.showPage()
        row, column = divmod(number % on_one, sheet.columns)
        left = (sheet.left + column * sheet.across) * METRE
        top = paper[1] - (sheet.top + row * sheet.down) * METRE
        _print(canvas, label.lines, number + 1, left, top, sheet)
    canvas.showPage()
    canvas.save()
    return out.getvalue()


def _print(canvas: Canvas, lines: Sequence[str], number: int, left: float, top: float, sheet: LabelSheet) -> None:
    room, tall = sheet.wide * METRE - 2 * EDGE, sheet.tall * METRE - 2 * EDGE
    size, told = fitted(lines, number, room, tall)
    base = top - EDGE - (tall - _height(len(told), size)) / 2 - size * CAP
    for text, bold in told:
        canvas.setFont(BOLD if bold else REGULAR, size)
        canvas.drawString(left + EDGE, base, text)
        base -= size * LEADING


def fitted(lines: Sequence[str], number: int, room: float, tall: float) -> tuple[float, list[tuple[str, bool]]]:
    """Size and lines, bold or not, that lie within `room` by `tall` points.

    Lines are broken rather than set smaller than `WANTED`; what fits not even at `SMALLEST` is the number of its row in
    labels.csv, to be written by hand.
    """
    told = [(text, n == 0) for n, text in enumerate(lines)]
    widest = max(width(text, 1.0, bold) for text, bold in told)
    size = min(LARGEST, room / widest, tall / _height(len(told), 1.0))
    if size >= WANTED:
        return size * 0.999, told
    for least in (WANTED, SMALLEST):
        broken = [(part, bold) for text, bold in told for part in wrap(text, room, least, bold)]
        if _height(len(broken), least) <= tall:
            return least, broken
    return min(SMALLEST, room / width(f"row {number}", 1.0, True)), [(f"row {number}", True)]


def _height(lines: int, size: float) -> float:
    return size * (CAP + DEPTH + LEADING * (lines - 1))

"""What frames a sheet: zones (ISO 5457), title block (ISO 7200), revisions, QR and typed code, the black band."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import lru_cache

from reportlab.graphics import shapes
from reportlab.graphics.barcode import qrencoder
from reportlab.lib.colors import black

from wiregen.drafting import metrics
from wiregen.drafting.canvas import BLACK, MM, WHITE, Canvas
from wiregen.drafting.frame import columns, frame_of, paper_size, rows, title_rect
from wiregen.drafting.ink import DESIGNATION, FRAME, LETTER, SMALL
from wiregen.drafting.model import Rect
from wiregen.reading.model import Door, House, Revision, Site
from wiregen.reading.revisions import revisions_of

BAND = 4.0  # grid band outside the frame
QR_SIDE = 21.0
ROW_HEIGHTS = (8.4, 6.4, 7.3, 6.4)  # revisions, then the three rows of fields, from the top
TRIM = 5.2  # nothing is printed nearer to the edge


@dataclass(frozen=True)
class Heading:
    """What a title block says; all of it from the specs."""

    owner: str
    identification: str
    revision: str
    date: str
    title: str
    creator: str
    approver: str
    document: str
    status: str
    sheet: str
    revisions: tuple[Revision, ...]
    code: str  # what stands before the hash in the short code, typed and in the QR
    stops: int


def heading_for(site: Site, door: Door, document: str, sheet: int, sheets: int, stops: int) -> Heading:
    revisions = revisions_of(site, door)
    last = revisions[-1] if revisions else Revision("–", "not issued", "")
    room = 16 - len(door.id) - 3  # ISO 7200: an identification number of 16 characters
    return Heading(
        owner=site.signed.get("owner", site.name),
        identification=f"{site.id[:room]}-{door.id}-W".upper(),
        revision=last.rev,
        date=last.date,
        title=f"{door.id}  {door.name}",
        creator=site.signed.get("drawn", ""),
        approver="" if stops else site.signed.get("approved", ""),
        document=document,
        status="REDACTED" if site.redacted else "Not for installation" if stops else "For installation",
        sheet=f"{sheet}/{sheets}",
        revisions=revisions,
        code=f"{door.id} {last.rev}",
        stops=stops,
    )


def fit(text: str, width: float, height: float, bold: bool = False) -> str:
    """The text, or as much of it as fits the width with an ellipsis; letters are never made smaller."""
    if metrics.width(text, height, bold) <= width:
        return text
    while text and metrics.width(text + "…", height, bold) > width:
        text = text[:-1]
    return text.rstrip() + "…"


def draw_frame(canvas: Canvas, house: House, heading: Heading) -> None:
    frame = frame_of(house)
    top, right = frame.y + frame.h, frame.x + frame.w
    canvas.rect(frame, FRAME)
    for name, a, b in columns(house):
        for y, way in ((frame.y, -1), (top, 1)):
            if way > 0 and heading.stops:
                continue
            canvas.write(name, ((a + b) / 2, y + way * BAND / 2 - SMALL / 2), SMALL, "middle")
            if b < right:
                canvas.line([(b, y), (b, y + way * BAND)])
    for name, a, b in rows(house):
        for x, way in ((frame.x, -1), (right, 1)):
            canvas.write(name, (x + way * BAND / 2, (a + b) / 2 - SMALL / 2), SMALL, "middle")
            if a > frame.y:
                canvas.line([(x, a), (x + way * BAND, a)])
    if heading.stops:
        _band(canvas, house, heading.stops)


def _band(canvas: Canvas, house: House, stops: int) -> None:
    frame = frame_of(house)
    low, high = frame.y + frame.h + FRAME / 2, paper_size(house)[1] - TRIM
    canvas.rect(Rect(frame.x, low, frame.w, high - low), None, BLACK)
    text = f"NOT FOR INSTALLATION – {stops} {'finding stops' if stops == 1 else 'findings stop'} this door"
    canvas.write(text, (frame.x + frame.w / 2, (low + high - LETTER) / 2), LETTER, "middle", bold=True, colour=WHITE)


def draw_title_block(canvas: Canvas, house: House, heading: Heading) -> None:
    """All of it but its code."""
    block = title_rect(house)
    top = block.y + block.h
    fields = Rect(block.x + QR_SIDE + 2, block.y, block.w - QR_SIDE - 2, block.h)
    canvas.line([(fields.x, fields.y), (fields.x, top)])
    _revisions(canvas, Rect(fields.x, top - ROW_HEIGHTS[0], fields.w, ROW_HEIGHTS[0]), heading.revisions)
    h = heading
    _fields(canvas, fields, top - ROW_HEIGHTS[0], ROW_HEIGHTS[1], [
        ("Legal owner", h.owner, 31.7), ("Document type", h.document, 21.9), ("Document status", h.status, 31.8),
        ("Approved by", h.approver, 16.6)])  # fmt: skip
    _fields(canvas, fields, top - sum(ROW_HEIGHTS[:2]), ROW_HEIGHTS[2], [("Title", h.title, 1)], DESIGNATION)
    _fields(canvas, fields, top - sum(ROW_HEIGHTS[:3]), ROW_HEIGHTS[3], [
        ("Identification number", h.identification, 32), ("Rev", h.revision, 8), ("Date of issue", h.date, 20.5),
        ("Language", "en", 13.5), ("Sheet", h.sheet, 10), ("Created by", h.creator, 18)])  # fmt: skip


def _fields(
    canvas: Canvas, block: Rect, top: float, height: float, cells: Sequence[tuple[str, str, float]], first: float = LETTER
) -> None:
    """A row of captions and values; widths are parts of the row; the first value may be larger and bold."""
    canvas.line([(block.x, top), (block.x + block.w, top)])
    whole, x = sum(width for _, _, width in cells), block.x
    for n, (caption, value, part) in enumerate(cells):
        width = block.w * part / whole
        if n:
            canvas.line([(x, top), (x, top - height)])
        large = first > LETTER and n == 0
        size = first if large else LETTER
        canvas.write(caption, (x + 1, top - 0.5 - SMALL), SMALL)
        canvas.write(fit(value, width - 1.8, size, large), (x + 1, top - height + 0.8), size, bold=large)
        x += width


def _revisions(canvas: Canvas, box: Rect, revisions: Sequence[Revision]) -> None:
    """The last two revisions; all of them stand in the packet's history."""
    pitch, stops = box.h / 3, (0.0, 9.0, 28.0, box.w - 22.0)
    rows_ = [("Rev", "Date", "Change", "By"), *((r.rev, r.date, r.what, r.by or "") for r in reversed(revisions[-2:]))]
    for n, row in enumerate(rows_):
        y = box.y + box.h - (n + 1) * pitch
        if n:
            canvas.line([(box.x, y + pitch), (box.x + box.w, y + pitch)])
        for text, a, b in zip(row, stops, (*stops[1:], box.w), strict=True):
            canvas.write(fit(text, b - a - 1.4, SMALL), (box.x + a + 1, y + (pitch - SMALL) / 2), SMALL)
    for a in stops[1:]:
        canvas.line([(box.x + a, box.y), (box.x + a, box.y + box.h)])


def draw_code(canvas: Canvas, house: House, code: str) -> None:
    """QR (ISO/IEC 18004, level M) over the same code typed."""
    block, modules, quiet = title_rect(house), _modules(code), 4
    cell = (QR_SIDE + 2) / (len(modules) + 2 * quiet)
    x0, y0 = block.x, block.y + block.h - 0.2
    path = shapes.Path(strokeColor=None, fillColor=black, strokeWidth=0)
    for r, row in enumerate(modules):
        c = 0
        while c < len(row):
            run = c
            while run < len(row) and row[run]:
                run += 1
            if run > c:
                left, right = x0 + (c + quiet) * cell, x0 + (run + quiet) * cell
                high, low = y0 - (r + quiet) * cell, y0 - (r + quiet + 1) * cell
                path.moveTo(round(left * MM, 3), round(low * MM, 3))
                for x, y in ((right, low), (right, high), (left, high)):
                    path.lineTo(round(x * MM, 3), round(y * MM, 3))
                path.closePath()
            c = max(run, c + 1)
    canvas.drawing.add(path)
    canvas.write(fit(code, QR_SIDE + 1, SMALL), (block.x + 1 + QR_SIDE / 2, block.y + 2.6), SMALL, "middle")


@lru_cache(maxsize=16)
def _modules(code: str) -> tuple[tuple[bool, ...], ...]:
    qr = qrencoder.QRCode(None, qrencoder.QRErrorCorrectLevel.M)
    qr.addData(code)
    qr.make()
    return tuple(tuple(map(bool, row)) for row in qr.modules)


def rule(canvas: Canvas, house: House) -> None:
    """The lines between field and strip, and before the title block."""
    frame, block = frame_of(house), title_rect(house)
    canvas.line([(frame.x, block.y + block.h), (frame.x + frame.w, block.y + block.h)], FRAME / 2)
    canvas.line([(block.x, block.y), (block.x, block.y + block.h)], FRAME / 2)



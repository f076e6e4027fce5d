"""The paper: frame, head and footer, and the canvas that pages are set on."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

from reportlab.lib.colors import black, white
from reportlab.lib.pagesizes import A4, landscape, letter
from reportlab.lib.units import mm
from reportlab.pdfgen.canvas import Canvas

from wiregen.fonts import BOLD, CAP, REGULAR, fix_encoding, width
from wiregen.packet.flow import SMALL
from wiregen.packet.page import Link, Number, Opens, Page

BINDING = 20 * mm  # left margin, with room for holes
EDGE = 10 * mm  # the other margins
HEAD = 11 * mm  # from the top margin down to the text
FOOT = 6 * mm  # from the bottom margin up to the text
TRIM = 5.2 * mm  # nothing is printed nearer to the edge

PAPERS = {"A4": landscape(A4), "letter": landscape(letter)}


def room(house_paper: str) -> tuple[float, float]:
    """Width and height in points of what a page holds between head and foot."""
    wide, tall = PAPERS[house_paper]
    return wide - BINDING - EDGE, tall - 2 * EDGE - HEAD - FOOT



@dataclass(frozen=True)
class Running:
    """What stands at the head and foot of each page of a section."""

    left: str  # "D101"
    name: str  # "Laboratory 1"
    title: str  # "Termination sheet"
    foot: str  # site, revision, date
    code: str  # door, revision, content hash
    stops: int = 0  # findings that stop the door


class PageCanvas(Canvas):  # type: ignore[misc]
    """A canvas that hands out its pages one by one as they are set, instead of a file."""

    def __init__(self, *args: Any, **options: Any) -> None:
        super().__init__(*args, **options)
        fix_encoding(self._doc)
        self.set: list[Page] = []
        self._numbers: list[Number] = []
        self._links: list[Link] = []
        self._opens: list[Opens] = []

    def number(self, number: Number) -> None:
        """Leave a place on this page for a number that is known only when all pages are bound."""
        self._numbers.append(number)

    def leads(self, key: str, corners: tuple[float, float, float, float]) -> None:
        """Say that what stands between two corners (from the left and from below, in points) leads to a section."""
        self._links.append(Link(key, corners))

    def opens(self, key: str, bookmarks: Sequence[tuple[str, int]]) -> None:
        """Say that a section begins on this page, under bookmarks (title, level)."""
        self._opens.append(Opens(key, tuple(bookmarks)))

    def showPage(self) -> None:
        self.set.append(Page("\n".join(self._code), tuple(self._numbers), tuple(self._links), tuple(self._opens)))
        self._numbers, self._links, self._opens = [], [], []
        self._startPage()

    def save(self) -> None:
        """Nothing: the pages have been handed out."""


def _fitted(text: str, room: float, size: float, bold: bool = False) -> str:
    """The text, or as much of it as fits, with an ellipsis: only running heads, whose full text stands on the page."""
    if width(text, size, bold) <= room:
        return text
    return next((text[:n] + "…" for n in range(len(text), 0, -1) if width(text[:n] + "…", size, bold) <= room), "")


def furnish(canvas: PageCanvas, paper: tuple[float, float], running: Running, drawn: bool) -> None:
    """Draw band, head and footer of one page; a drawing brings band and head, so it gets its page number alone."""
    wide, tall = paper
    left, right = BINDING, wide - EDGE
    if drawn:
        _beside(canvas, running)
        return
    if running.stops:
        _band(canvas, left, right, tall, running.stops)
    base = tall - EDGE - 6 * mm
    canvas.setFont(BOLD, 15)
    canvas.drawString(left, base, running.left)
    room = right - left - width(running.title, 12, bold=True) - 8 * mm
    start = left + width(running.left, 15, bold=True) + 3 * mm
    canvas.setFont(REGULAR, 12)
    canvas.drawString(start, base, _fitted(running.name, room - (start - left), 12))
    canvas.setFont(BOLD, 12)
    canvas.drawRightString(right, base, running.title)
    canvas.setLineWidth(0.8)
    canvas.line(left, base - 2.2 * mm, right, base - 2.2 * mm)
    _foot(canvas, left, right, running)


def _band(canvas: PageCanvas, left: float, right: float, tall: float, stops: int) -> None:
    low, high = tall - EDGE + 0.4 * mm, tall - TRIM
    canvas.setFillColor(black)
    canvas.rect(left, low, right - left, high - low, stroke=0, fill=1)
    canvas.setFillColor(white)
    canvas.setFont(BOLD, 10)
    text = f"NOT FOR INSTALLATION – {stops} {'finding stops' if stops == 1 else 'findings stop'} this door"
    canvas.drawCentredString((left + right) / 2, (low + high - 10 * CAP) / 2, text)
    canvas.setFillColor(black)


def _foot(canvas: PageCanvas, left: float, right: float, running: Running) -> None:
    base = EDGE - 3.4 * mm
    canvas.setFont(REGULAR, SMALL)
    canvas.drawString(left, base, _fitted(running.foot, (right - left) * 0.5, SMALL))
    canvas.drawCentredString(left + (right - left) * 0.65, base, running.code)
    canvas.number(Number("page {page} of {pages}", right, base, SMALL))


def _beside(canvas: PageCanvas, running: Running) -> None:
    """The foot of a drawing: in the binding margin, reading upwards, below the holes."""
    canvas.number(Number(f"page {{page}} of {{pages}} · {running.code}", BINDING - 6 * mm, EDGE, SMALL, upwards=True))

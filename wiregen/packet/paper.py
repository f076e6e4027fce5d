"""The paper: frame, head, footer, bookmarks, and a canvas that fills in at the end what is known only at the end."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from reportlab.lib.colors import black, white
from reportlab.lib.pagesizes import A4, landscape, letter
from reportlab.lib.units import mm
from reportlab.pdfgen.canvas import Canvas

from wiregen.fonts import BOLD, CAP, REGULAR, width
from wiregen.packet.flow import SIZE, SMALL

BINDING = 20 * mm  # left margin, with room for holes
EDGE = 10 * mm  # the other margins
HEAD = 11 * mm  # from the top margin down to the text
FOOT = 6 * mm  # from the bottom margin up to the text
TRIM = 5.2 * mm  # nothing is printed nearer to the edge

PAPERS = {"A4": landscape(A4), "letter": landscape(letter)}

Late = Callable[["PacketCanvas", Mapping[str, int]], None]


@dataclass(frozen=True)
class Running:
    """What stands at the head and foot of each page of a section."""

    left: str  # "D101"
    name: str  # "Laboratory 1"
    title: str  # "Termination sheet"
    foot: str  # site, revision, date
    code: str  # door, revision, content hash
    stops: int = 0  # findings that stop the door


class PacketCanvas(Canvas):  # type: ignore[misc]
    """A canvas that keeps its pages open until the last is drawn, so that each can name the number of pages."""

    def __init__(self, *args: Any, **options: Any) -> None:
        super().__init__(*args, **options)
        self._kept: list[dict[str, Any]] = []
        self._later: list[Late] = []
        self._opens: list[tuple[str, Sequence[tuple[str, int]]]] = []
        self.page_of: dict[str, int] = {}

    def later(self, draw: Late) -> None:
        """Draw something on this page when the page of every key is known."""
        self._later.append(draw)

    def opens(self, key: str, bookmarks: Sequence[tuple[str, int]]) -> None:
        """Say that a section begins on this page, under bookmarks (title, level)."""
        self.page_of[key] = len(self._kept) + 1
        self._opens.append((key, bookmarks))

    @property
    def pages(self) -> int:
        return len(self._kept)

    def showPage(self) -> None:
        self._kept.append(dict(self.__dict__))
        self._later, self._opens = [], []
        self._startPage()

    def save(self) -> None:
        kept, page_of = self._kept, self.page_of
        self.showOutline()
        for state in kept:
            self.__dict__.update(state)
            self._kept, self.page_of = kept, page_of
            for draw in self._later:
                self.saveState()
                self.setFont(REGULAR, SIZE)
                draw(self, page_of)
                self.restoreState()
            for key, bookmarks in self._opens:
                self.bookmarkPage(key, fit="Fit")
                for title, level in bookmarks:
                    name = f"{key} {level}"  # one name a bookmark: several may stand on one page
                    self.bookmarkPage(name, fit="Fit")
                    self.addOutlineEntry(title, name, level, closed=1)
            Canvas.showPage(self)
        Canvas.save(self)


def _fitted(text: str, room: float, size: float, bold: bool = False) -> str:
    """The text, or as much of it as fits, with an ellipsis: only running heads, whose full text stands on the page."""
    if width(text, size, bold) <= room:
        return text
    return next((text[:n] + "…" for n in range(len(text), 0, -1) if width(text[:n] + "…", size, bold) <= room), "")


def furnish(canvas: PacketCanvas, paper: tuple[float, float], running: Running, drawn: bool) -> None:
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


def _band(canvas: PacketCanvas, left: float, right: float, tall: float, stops: int) -> None:
    low, high = tall - EDGE + 0.4 * mm, tall - TRIM
    canvas.setFillColor(black)
    canvas.rect(left, low, right - left, high - low, stroke=0, fill=1)
    canvas.setFillColor(white)
    canvas.setFont(BOLD, 10)
    text = f"NOT FOR INSTALLATION – {stops} {'finding stops' if stops == 1 else 'findings stop'} this door"
    canvas.drawCentredString((left + right) / 2, (low + high - 10 * CAP) / 2, text)
    canvas.setFillColor(black)


def _foot(canvas: PacketCanvas, left: float, right: float, running: Running) -> None:
    base = EDGE - 3.4 * mm
    number = canvas.pages + 1
    canvas.setFont(REGULAR, SMALL)
    canvas.drawString(left, base, _fitted(running.foot, (right - left) * 0.5, SMALL))
    canvas.drawCentredString(left + (right - left) * 0.65, base, running.code)

    def page_x_of_y(later: PacketCanvas, _: Mapping[str, int]) -> None:
        later.setFont(REGULAR, SMALL)
        later.drawRightString(right, base, f"page {number} of {later.pages}")

    canvas.later(page_x_of_y)


def _beside(canvas: PacketCanvas, running: Running) -> None:
    """The foot of a drawing: in the binding margin, reading upwards, below the holes."""
    number = canvas.pages + 1

    def page_x_of_y(later: PacketCanvas, _: Mapping[str, int]) -> None:
        later.rotate(90)
        later.setFont(REGULAR, SMALL)
        later.drawString(EDGE, -BINDING + 6 * mm, f"page {number} of {later.pages} · {running.code}")

    canvas.later(page_x_of_y)

"""The paper: frame, head, footer, bookmarks, and a canvas that fills in at the end what is known only at the end."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from typing import Any

from reportlab.lib.colors import black, white
from reportlab.lib.pagesizes import A4, landscape, letter
from reportlab.lib.units import mm
from reportlab.pdfgen.canvas import Canvas

from wiregen.fonts import BOLD, REGULAR, width
from wiregen.packet.flow import HAIR, SIZE, SMALL

BINDING = 20 * mm  # left margin, with room for holes
EDGE = 10 * mm  # the other margins
HEAD = 11 * mm  # from the top margin down to the text
FOOT = 6 * mm  # from the bottom margin up to the text
BAND = 5.2 * mm  # the black band of a stopped door, inside the top margin

PAPERS = {"A4": landscape(A4), "letter": landscape(letter)}

Late = Callable[["PacketCanvas", Mapping[str, int]], None]


@dataclass(frozen=True)
class Running:
    """What stands at the head and foot of each page of a section."""

    left: str  # "D101"
    name: str  # "Laboratory 1"
    title: str  # "Termination sheet"
    foot: str  # site, revision, date
    mark: str  # content hash
    stops: int = 0  # findings that stop the door


class PacketCanvas(Canvas):  # type: ignore[misc]
    """A canvas that keeps its pages open until the last is drawn, so that each can name the number of pages."""

    def __init__(self, *args: Any, **options: Any) -> None:
        super().__init__(*args, **options)
        self._kept: list[dict[str, Any]] = []
        self._later: list[Late] = []
        self._opens: list[tuple[str, str, int]] = []
        self.page_of: dict[str, int] = {}

    def later(self, draw: Late) -> None:
        """Draw something on this page when the page of every key is known."""
        self._later.append(draw)

    def opens(self, key: str, title: str, level: int) -> None:
        """Say that a section begins on this page, under a bookmark of that level."""
        self.page_of[key] = len(self._kept) + 1
        self._opens.append((key, title, level))

    @property
    def pages(self) -> int:
        return len(self._kept)

    def showPage(self) -> None:
        self._kept.append(dict(self.__dict__))
        self._later, self._opens = [], []
        self._startPage()

    def save(self) -> None:
        kept, page_of = self._kept, self.page_of
        for state in kept:
            self.__dict__.update(state)
            self._kept, self.page_of = kept, page_of
            for draw in self._later:
                self.saveState()
                self.setFont(REGULAR, SIZE)
                draw(self, page_of)
                self.restoreState()
            for key, title, level in self._opens:
                self.bookmarkPage(key, fit="Fit")
                self.addOutlineEntry(title, key, level, closed=level > 0)
            Canvas.showPage(self)
        Canvas.save(self)


def _fitted(text: str, room: float, size: float, bold: bool = False) -> str:
    """The text, or as much of it as fits, with an ellipsis: only running heads, whose full text stands on the page."""
    if width(text, size, bold) <= room:
        return text
    return next((text[:n] + "…" for n in range(len(text), 0, -1) if width(text[:n] + "…", size, bold) <= room), "")


def furnish(canvas: PacketCanvas, paper: tuple[float, float], running: Running, head: bool) -> None:
    """Draw head (where the page brings none of its own), footer and band of one page."""
    wide, tall = paper
    left, right = BINDING, wide - EDGE
    if running.stops:
        word = "stop" if running.stops == 1 else "stops"
        canvas.setFillColor(black)
        canvas.rect(left, tall - EDGE + 0.6 * mm, right - left, BAND, stroke=0, fill=1)
        canvas.setFillColor(white)
        canvas.setFont(BOLD, 9.5)
        canvas.drawCentredString((left + right) / 2, tall - EDGE + 2.1 * mm, f"NOT FOR INSTALLATION: {running.stops} {word}")
        canvas.setFillColor(black)
    if head:
        base = tall - EDGE - 6 * mm
        canvas.setFont(BOLD, 15)
        canvas.drawString(left, base, running.left)
        room = right - left - width(running.title, 12, bold=True) - 8 * mm
        start = left + (width(running.left, 15, bold=True) + 3 * mm if running.left else 0)
        canvas.setFont(REGULAR, 12)
        canvas.drawString(start, base, _fitted(running.name, room - (start - left), 12))
        canvas.setFont(BOLD, 12)
        canvas.drawRightString(right, base, running.title)
        canvas.setLineWidth(0.8)
        canvas.line(left, base - 2.2 * mm, right, base - 2.2 * mm)
    _foot(canvas, left, right, running)


def _foot(canvas: PacketCanvas, left: float, right: float, running: Running) -> None:
    base = EDGE - 3.4 * mm
    number = canvas.pages + 1
    canvas.setLineWidth(HAIR)
    canvas.setFont(REGULAR, SMALL)
    canvas.drawString(left, base, _fitted(running.foot, (right - left) * 0.55, SMALL))
    mark = f"content {running.mark}"
    canvas.drawRightString(right - 34 * mm, base, mark)

    def page_x_of_y(later: PacketCanvas, _: Mapping[str, int]) -> None:
        later.setFont(REGULAR, SMALL)
        later.drawRightString(right, base, f"page {number} of {later.pages}")

    canvas.later(page_x_of_y)

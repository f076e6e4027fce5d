"""Small wiring pages drawn by hand, right or deliberately wrong, to show that the proof can fail."""

from __future__ import annotations

import io
from importlib.resources import files

from PIL import Image
from reportlab.pdfbase import pdfmetrics
from reportlab.pdfbase.ttfonts import TTFont
from reportlab.pdfgen.canvas import Canvas

from tests.proof.page import MM, Point

INK = {"BK": "#000000", "RD": "#c8102e", "WH": "#ffffff", "GN": "#12843c", "BU": "#1455a8", "YE": "#ffd800", "GY": "#b4b4b4"}
LIGHT = {"WH", "YE", "GY"}
CAP = 0.66  # height of the font's capitals, of its size


class HandPage:
    """An A4 page that one draws on in millimetres, y up."""

    def __init__(self) -> None:
        for name in ("Regular", "Bold"):
            path = files("wiregen.fonts").joinpath(f"SourceSansPro-{name}.ttf")
            pdfmetrics.registerFont(TTFont(f"hand-{name}", str(path)))
        self._out = io.BytesIO()
        self._canvas = Canvas(
            self._out, pagesize=(297 * MM, 210 * MM), invariant=1, pageCompression=0, initialFontName="hand-Regular"
        )
        self._canvas.scale(MM, MM)

    def device(self, ref: str, x: float, y: float, w: float, h: float, name: str = "device") -> None:
        self._canvas.setLineWidth(0.25)
        self._canvas.rect(x, y, w, h)
        self.text(ref, x + w / 2 - 3, y + h - 5, 3.5, bold=True)
        self.text(name, x + w / 2 - 3, y + h - 8, 1.8)

    def box(self, ref: str, x: float, y: float, w: float, h: float) -> None:
        """A junction box: its designation stands over it."""
        self._canvas.setLineWidth(0.25)
        self._canvas.rect(x, y, w, h)
        self.text(ref, x + w / 2 - 3, y + h + 1, 3.5, bold=True)

    def terminal(self, x: float, y: float, mark: str, side: str = "right") -> None:
        """A terminal on the right or left edge of its device, its mark inside."""
        self._canvas.setLineWidth(0.25)
        self._canvas.setStrokeColor("#000000")
        self._canvas.circle(x, y, 0.9)
        width = pdfmetrics.stringWidth(mark, "hand-Regular", 2.5 / CAP)
        self.text(mark, x - 1.5 - width if side == "right" else x + 1.5, y - 1.25, 2.5)

    def jack(self, x: float, y: float, mark: str, side: str = "right") -> None:
        self._canvas.setLineWidth(0.25)
        self._canvas.setFillColor("#ffffff")
        self._canvas.rect(x - 0.9, y - 0.9, 1.8, 1.8, fill=1)
        width = pdfmetrics.stringWidth(mark, "hand-Regular", 2.5 / CAP)
        self.text(mark, x - 1.5 - width if side == "right" else x + 1.5, y - 1.25, 2.5)

    def jacket(self, title: str, x: float, low: float, high: float) -> None:
        """An oval across level conductors from `low` to `high`, its title over it."""
        self._canvas.setLineWidth(0.25)
        self._canvas.roundRect(x - 1.5, low - 1.5, 3, high - low + 3, 1.5)
        ref, _, rest = title.partition(" ")
        self.text(ref, x - 6, high + 5, 1.8, bold=True)
        self.text(rest, x - 1.2, high + 5, 1.8)

    def dot(self, x: float, y: float) -> None:
        self._canvas.setFillColor("#000000")
        self._canvas.circle(x, y, 0.7, stroke=0, fill=1)

    def wire(self, *points: Point, colour: str = "BK", width: float = 0.5, cased: bool | None = None) -> None:
        base, _, tracer = colour.partition("-")
        if base in LIGHT or tracer if cased is None else cased:
            self._line(points, "#202020", 0.95)
        self._line(points, INK[base], width)
        if tracer:
            self._line(points, INK[tracer], width, dash=(2, 2))

    def narrow(self, *points: Point, width: float = 0.25) -> None:
        self._line(points, "#000000", width)

    def chain(self, *points: Point) -> None:
        self._line(points, "#404040", 0.9, dash=(6, 1.5, 1, 1.5))

    def label(self, text: str, x: float, y: float, size: float = 2.5) -> None:
        """Stands on the line at that height."""
        self.text(text, x, y + 0.85, size)

    def text(self, text: str, x: float, y: float, size: float, bold: bool = False) -> None:
        self._canvas.setFillColor("#000000")
        self._canvas.setFont("hand-Bold" if bold else "hand-Regular", size / CAP)
        self._canvas.drawString(x, y, text)

    def cover(self, x: float, y: float, w: float, h: float) -> None:
        self._canvas.setFillColor("#ffffff")
        self._canvas.rect(x, y, w, h, stroke=0, fill=1)

    def plain(self, font: str, x: float, y: float) -> None:
        """A word in one of the fonts that a reader has to bring along."""
        self._canvas.setFont(font, 2.5 / CAP)
        self._canvas.drawString(x, y, "word")

    def picture(self, x: float, y: float) -> None:
        self._canvas.drawInlineImage(Image.new("L", (4, 4)), x, y, 8, 8)

    def frame(self) -> None:
        """A frame with six zones of 45 mm across and four of 45 mm up."""
        self._canvas.setLineWidth(0.7)
        self._canvas.rect(15, 15, 270, 180)
        for n in range(6):
            self.text(str(n + 1), 15 + 45 * n + 22, 196, 1.8)
            self.narrow((15 + 45 * n, 195), (15 + 45 * n, 199))
        for n in range(4):
            self.text("DCBA"[n], 11, 15 + 45 * n + 22, 1.8)
            self.narrow((11, 15 + 45 * n), (15, 15 + 45 * n))

    def turn(self) -> None:
        """To the next page."""
        self._canvas.showPage()
        self._canvas.scale(MM, MM)

    def pdf(self) -> bytes:
        self._canvas.save()
        return self._out.getvalue()

    def _line(self, points: tuple[Point, ...], colour: str, width: float, dash: tuple[float, ...] = ()) -> None:
        self._canvas.setStrokeColor(colour)
        self._canvas.setLineWidth(width)
        self._canvas.setDash(list(dash))
        path = self._canvas.beginPath()
        path.moveTo(*points[0])
        for point in points[1:]:
            path.lineTo(*point)
        self._canvas.drawPath(path)
        self._canvas.setDash()
        self._canvas.setStrokeColor("#000000")

"""What stands in a cell and is no plain text: boxes to tick, gauges, and texts that lead elsewhere."""

from __future__ import annotations

from reportlab.lib.colors import white
from reportlab.lib.units import mm
from reportlab.platypus import Flowable

from wiregen.drafting.canvas import font_size
from wiregen.drafting.ink import NARROW, SMALL
from wiregen.drafting.revised import FOOT, HIGH, wide
from wiregen.fonts import REGULAR
from wiregen.packet.content import Gauge
from wiregen.packet.page import Number


class _Fixed(Flowable):  # type: ignore[misc]
    """A flowable whose size is known when it is made."""

    def __init__(self, wide: float, tall: float) -> None:
        super().__init__()
        self.width, self.height = wide, tall

    def wrap(self, _width: float, _height: float) -> tuple[float, float]:
        return self.width, self.height


class Ticks(_Fixed):
    """Square boxes of 3.6 mm in a row."""

    side, gap = 3.6 * mm, 2.2 * mm

    def __init__(self, boxes: int) -> None:
        super().__init__(boxes * (self.side + self.gap) - self.gap, self.side)
        self.boxes = boxes

    def draw(self) -> None:
        self.canv.setLineWidth(0.6)
        for n in range(self.boxes):
            self.canv.rect(n * (self.side + self.gap), 0, self.side, self.side)


class Triangle(_Fixed):
    """A revision mark, of the size of those on the wiring sheets."""

    tall = HIGH * mm

    def __init__(self, letter: str) -> None:
        super().__init__(wide(letter) * mm, self.tall)
        self.letter = letter

    def draw(self) -> None:
        self.canv.setLineWidth(NARROW * mm)
        path = self.canv.beginPath()
        path.moveTo(0, 0)
        path.lineTo(self.width, 0)
        path.lineTo(self.width / 2, self.height)
        path.close()
        self.canv.drawPath(path)
        self.canv.setFont(REGULAR, font_size(SMALL))
        self.canv.drawCentredString(self.width / 2, (NARROW / 2 + FOOT) * mm, self.letter)


class Band(_Fixed):
    """A gauge: a hair line, the limits across it, the band as a bar with a notch at its nominal value.

    A quarter of the width is a third of the limit, so that gauges can be compared; what lies farther off ends at the edge.
    Between two limits half the width is what lies between them.
    """

    tall = 3.4 * mm
    bar, notch, thin, heavy = 1.3 * mm, 0.5 * mm, 0.35, 1.0

    def __init__(self, gauge: Gauge, room: float) -> None:
        super().__init__(room, self.tall)
        self.gauge = gauge

    def _at(self, value: float) -> float:
        g = self.gauge
        if g.floor is not None and g.ceiling is not None:
            share = 0.25 + 0.5 * (value - g.floor) / ((g.ceiling - g.floor) or 1.0)
        else:
            limit, at = (g.floor, 0.25) if g.floor is not None else (g.ceiling or 0.0, 0.75)
            share = at + 0.75 * (value - limit) / (abs(limit) or max(abs(g.least), abs(g.most)) or 1.0)
        return self.width * min(max(share, 0.0), 1.0)

    def draw(self) -> None:
        g, middle = self.gauge, self.tall / 2
        self.canv.setLineWidth(self.thin)
        self.canv.line(0, middle, self.width, middle)
        low, high = self._at(g.least), self._at(g.most)
        low = min(low, self.width - self.notch)
        self.canv.rect(low, middle - self.bar / 2, max(high - low, self.notch), self.bar, stroke=0, fill=1)
        if high - low > 3 * self.notch:
            nominal = self._at(g.nominal)
            self.canv.setFillColor(white)
            self.canv.rect(nominal - self.notch / 2, middle - self.bar / 2, self.notch, self.bar, stroke=0, fill=1)
        self.canv.setLineWidth(self.heavy)
        for limit in (g.floor, g.ceiling):
            if limit is not None:
                self.canv.line(self._at(limit), 0, self._at(limit), self.tall)


class Link(_Fixed):
    """Text that leads to a section; with no text, the number of its page, which is known only at the end."""

    def __init__(self, room: float, tall: float, size: float, key: str, text: str | None) -> None:
        super().__init__(room, tall)
        self.size, self.key, self.text = size, key, text

    def draw(self) -> None:
        base = self.height - self.size
        if self.text is None:
            x, y = self.canv.absolutePosition(self.width, base)
            self.canv.number(Number("{page}", x, y, self.size, of=self.key))
        else:
            self.canv.setFont(REGULAR, self.size)
            self.canv.drawString(0, base, self.text)
        corners = (*self.canv.absolutePosition(0, 0), *self.canv.absolutePosition(self.width, self.height))
        self.canv.leads(self.key, corners)

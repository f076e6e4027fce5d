"""What stands in a cell and is no plain text: boxes to tick, and texts that lead elsewhere."""

from __future__ import annotations

from reportlab.lib.units import mm
from reportlab.platypus import Flowable

from wiregen.fonts import REGULAR


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


class Link(_Fixed):
    """Text that leads to a section; with no text, the number of its page, which is known only at the end."""

    def __init__(self, room: float, tall: float, size: float, key: str, text: str | None) -> None:
        super().__init__(room, tall)
        self.size, self.key, self.text = size, key, text

    def draw(self) -> None:
        base = self.height - self.size
        if self.text is None:
            x, y = self.canv.absolutePosition(self.width, base)
            self.canv.later(lambda canvas, page_of: canvas.drawRightString(x, y, str(page_of[self.key])))
        else:
            self.canv.setFont(REGULAR, self.size)
            self.canv.drawString(0, base, self.text)
        self.canv.linkRect("", self.key, (0, 0, self.width, self.height), relative=1)

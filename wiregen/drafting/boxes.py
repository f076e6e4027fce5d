"""Draws places and devices: regions, the chain line, boxes with designation, name and place, marks of terminals, the inside."""

from __future__ import annotations

from wiregen.drafting import metrics
from wiregen.drafting.canvas import WHITE, Canvas
from wiregen.drafting.colours import DARK
from wiregen.drafting.ink import CHAIN, DESIGNATION, LETTER, MARK_GAP, NARROW, SMALL, TITLE_PITCH
from wiregen.drafting.inside import draw_inside
from wiregen.drafting.model import Layout, Pin, PlacedDevice, Rect, Text
from wiregen.drafting.placed import rows_of, title_room
from wiregen.wiring.model import Wiring

TINT = (0.955, 0.955, 0.955)  # what a stranger can reach
SHADE = (0.925, 0.925, 0.925)  # inside a junction box
PLATE = 0.35  # kept clear around a name that stands on an outline
EDGE = (0.55, 0.55, 0.55)
CHAIN_DASH = (7.0, 1.3, 1.6, 1.3)


def draw_places(canvas: Canvas, layout: Layout) -> None:
    for region in layout.regions:
        canvas.rect(region.box, NARROW if not region.exposed else None, TINT if region.exposed else None, EDGE, dash=(1.6, 1.0))
    for enclosure in layout.enclosures:
        canvas.rect(enclosure.box, NARROW, SHADE, DARK)
    for text in lettering(layout):
        _plate(canvas, text, layout)
    for line in layout.exposed_line:
        canvas.line(line, CHAIN, (0.3, 0.3, 0.3), CHAIN_DASH)


def lettering(layout: Layout) -> tuple[Text, ...]:
    """All texts of a layout, references to other pages among them."""
    return (*layout.texts, *(Text(off.text, off.at, SMALL) for off in layout.offs))


def _plate(canvas: Canvas, text: Text, layout: Layout) -> None:
    """Clears the outline of a box or of a secured place where letters stand on it; conductors are drawn over this."""
    width = metrics.width(text.text, text.size, text.bold)
    x = text.at[0] - width * {"left": 0.0, "middle": 0.5, "right": 1.0}[text.align]
    x0, x1, y0, y1 = x - PLATE, x + width + PLATE, text.at[1] - PLATE, text.at[1] + text.size + PLATE
    for b in (*(e.box for e in layout.enclosures), *(r.box for r in layout.regions if not r.exposed)):
        across = any(x0 < edge < x1 for edge in (b.x, b.x + b.w)) and y0 < b.y + b.h and b.y < y1
        along = any(y0 < edge < y1 for edge in (b.y, b.y + b.h)) and x0 < b.x + b.w and b.x < x1
        if across or along:
            canvas.rect(Rect(x0, y0, x1 - x0, y1 - y0), None, WHITE)


def draw_devices(canvas: Canvas, layout: Layout, wiring: Wiring, symbols: str) -> None:
    for device in layout.devices:
        canvas.rect(device.box, NARROW, WHITE, DARK)
        title = _title(canvas, device)
        for pin in device.pins:
            _mark(canvas, pin)
        wired = wiring.devices.get(device.ref)
        if wired is not None:
            draw_inside(canvas, wired.sheet, device.box, rows_of(device), symbols, title)


def _title(canvas: Canvas, device: PlacedDevice) -> Rect:
    """Writes designation, name and place; gives the room that they take."""
    (x, y), lines = device.title_at, device.title
    canvas.write(device.ref, (x, y), DESIGNATION, bold=True)
    for n, line in enumerate(lines, 1):
        canvas.write(line, (x, y - n * TITLE_PITCH), SMALL)
    return title_room(device)


def _mark(canvas: Canvas, pin: Pin) -> None:
    x, y = pin.at
    middle = y - LETTER / 2
    if pin.side == "left":
        canvas.write(pin.mark, (x + MARK_GAP, middle), LETTER)
    elif pin.side == "right":
        canvas.write(pin.mark, (x - MARK_GAP, middle), LETTER, "right")
    elif pin.side == "top":
        canvas.write(pin.mark, (x, y - MARK_GAP - LETTER), LETTER, "middle")
    else:
        canvas.write(pin.mark, (x, y + MARK_GAP), LETTER, "middle")

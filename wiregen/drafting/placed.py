"""A device in its place: its terminals in rows, the room of its lettering, and how much of its inside can then be told."""

from __future__ import annotations

from wiregen.drafting import metrics
from wiregen.drafting.ink import DESIGNATION, SMALL, TITLE_PITCH
from wiregen.drafting.model import PlacedDevice, Rect
from wiregen.drafting.stacking import Row, drawable, fitted, mark_width
from wiregen.reading.model import DataSheet


def title_room(device: PlacedDevice) -> Rect:
    """The room that designation, name and place take."""
    (x, y), lines = device.title_at, device.title
    width = max([metrics.width(device.ref, DESIGNATION, True), *(metrics.width(line, SMALL) for line in lines)])
    low = y - len(lines) * TITLE_PITCH - 0.6
    return Rect(x, low, width, y + DESIGNATION - low)


def rows_of(device: PlacedDevice) -> dict[str, Row]:
    """The terminals of a box by mark.  One that is drawn again has further rows under its mark with a number after a blank."""
    rows: dict[str, Row] = {}
    left = sum(p.side == "left" for p in device.pins) * 2 >= len(device.pins)
    for pin in sorted(device.pins, key=lambda p: (p.side == "left") != left):  # the fuller side first: symbols hang on it
        if pin.side in ("left", "right"):
            key, again = pin.end.terminal, 2
            while key in rows:
                key, again = f"{pin.end.terminal} {again}", again + 1
            rows[key] = Row(pin.side, pin.at[1], mark_width(pin.mark))
    return rows


def words_told(sheet: DataSheet, device: PlacedDevice) -> int:
    """How many words find room beside the symbols inside."""
    rows = rows_of(device)
    return sum(placed.worded for placed in fitted(drawable(sheet, rows), rows, device.box, title_room(device)))

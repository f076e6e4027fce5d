"""The sheet of paper: trimmed size, frame, grid zones, and the field that is left for the drawing.  Millimetres, y up.

ISO 5457: a binding margin of 20 mm on the left, 10 mm on the other sides; zones of 50 mm counted from the centring marks,
letters from the top down without I and O, numbers from the left.  The title block of ISO 7200 and the notes share one
strip along the lower edge.
"""

from __future__ import annotations

from itertools import pairwise

from wiregen.drafting.model import Point, Rect
from wiregen.reading.model import House

PAPERS = {"A4": (297.0, 210.0), "letter": (279.4, 215.9)}  # ISO 216 and ANSI/ASME Y14.1 size A, landscape
BINDING, MARGIN, ZONE = 20.0, 10.0, 50.0
STRIP = 28.5  # height of the title block and of the notes beside it
TITLE_WIDTH = 125.0
CLEAR = (1.5, 0.75)  # between the frame and the field, so that no conductor is taken for the frame
ROWS = "ABCDEFGHJKLMNPQRSTUVWXYZ"


def paper_size(house: House) -> tuple[float, float]:
    """Width and height of the trimmed sheet."""
    return PAPERS[house.paper]


def frame_of(house: House) -> Rect:
    width, height = paper_size(house)
    return Rect(BINDING, MARGIN, width - BINDING - MARGIN, height - 2 * MARGIN)


def field_for(house: House) -> Rect:
    """The part of a wiring sheet that placing and routing may use, lines and texts included."""
    frame, (dx, dy) = frame_of(house), CLEAR
    return Rect(frame.x + dx, frame.y + STRIP + dy, frame.w - 2 * dx, frame.h - STRIP - 2 * dy)


def title_rect(house: House) -> Rect:
    frame = frame_of(house)
    return Rect(frame.x + frame.w - TITLE_WIDTH, frame.y, TITLE_WIDTH, STRIP)


def notes_rect(house: House) -> Rect:
    """The part of the strip beside the title block."""
    frame = frame_of(house)
    return Rect(frame.x, frame.y, frame.w - TITLE_WIDTH, STRIP)


def _cuts(start: float, length: float) -> tuple[float, ...]:
    """Borders of the zones along one side of the frame, both ends included."""
    centre, half = start + length / 2, length / 2
    steps = [ZONE * n for n in range(int(half // ZONE) + 1) if ZONE * n < half]
    return (start, *(centre - s for s in reversed(steps[1:])), centre, *(centre + s for s in steps[1:]), start + length)


def columns(house: House) -> tuple[tuple[str, float, float], ...]:
    """Zone numbers with the x where each begins and ends."""
    frame = frame_of(house)
    return tuple((str(n), a, b) for n, (a, b) in enumerate(pairwise(_cuts(frame.x, frame.w)), 1))


def rows(house: House) -> tuple[tuple[str, float, float], ...]:
    """Zone letters, from the top down, with the y where each begins and ends (lower one first)."""
    frame = frame_of(house)
    spans = list(pairwise(_cuts(frame.y, frame.h)))
    return tuple((letter, a, b) for letter, (a, b) in zip(ROWS, reversed(spans), strict=False))


def zone_at(house: House, at: Point) -> str:
    """The grid zone of a point of the frame: "B4"."""
    letter = next((name for name, low, _ in rows(house) if at[1] >= low), rows(house)[-1][0])
    number = next((name for name, _, high in columns(house) if at[0] <= high), columns(house)[-1][0])
    return letter + number

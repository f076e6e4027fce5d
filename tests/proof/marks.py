"""Finds on a page what the sheet promises to draw: terminals, jacks, dots, devices with their designation, labels.

The sizes and patterns are those of the sheet's rules: an open circle of 1.8 mm is a terminal, a filled dot of 1.4 mm a joint,
a square of 1.8 mm a jack, a stroke of 0.5 mm a conductor; a device is a rectangle with its designation in it.
"""

from __future__ import annotations

import re
from dataclasses import dataclass

from tests.proof.page import Box, Colour, Page, Point, Shape, Text

CORE, CASING, TERMINAL, DOT, NARROW = 0.5, 0.95, 1.8, 1.4, 0.25
SLACK = 0.04
LETTERS = ["BK", "BN", "RD", "OG", "YE", "GN", "BU", "VT", "GY", "WH", "PK", "GD", "TQ", "SR"]  # IEC 60757
_ONE = "|".join(LETTERS)
COLOUR = rf"(?:(?:{_ONE})(?:-(?:{_ONE}))?|GNYE|bare|natural)"
LABEL = re.compile(rf"({COLOUR}) (\S*\d\S*)")
LEAD = re.compile(rf"(.+) ({COLOUR})")
DESIGNATION = re.compile(r"(?:[A-Za-z0-9-]+/)?[A-Z]{1,3}\d{1,3}")
BOX_TITLE_REACH = 6.0  # mm between a junction box and its designation
MARK_HEIGHT, LEAST_HEIGHT = 2.5, 1.8


@dataclass(frozen=True)
class Defect:
    """Something on the page that breaks a rule of the sheet or differs from the list; `at` in mm from lower left."""

    kind: str
    what: str
    page: int = 0
    at: Point = (0, 0)

    def __str__(self) -> str:
        return f"page {self.page} at {self.at[0]:.1f},{self.at[1]:.1f} mm: {self.kind}: {self.what}"


@dataclass(frozen=True)
class Device:
    ref: str
    box: Box
    title: Text


@dataclass(frozen=True)
class Terminal:
    """An open circle (or the square of a jack) on the edge of a device."""

    at: Point
    device: str
    mark: str
    lead: str | None
    jack: bool
    text: Text | None

    @property
    def key(self) -> tuple[str, str]:
        return self.device, self.mark


@dataclass(frozen=True)
class Label:
    colour: str
    wire: str
    text: Text


@dataclass(frozen=True)
class Marks:
    devices: tuple[Device, ...]
    boxes: tuple[Device, ...]  # junction boxes: dots inside, no terminals on the edge, a designation inside or beside
    terminals: tuple[Terminal, ...]
    dots: tuple[Point, ...]
    labels: tuple[Label, ...]


def near(value: float, size: float, slack: float = SLACK) -> bool:
    return abs(value - size) <= slack


def _white(colour: Colour | None) -> bool:
    return colour is None or min(colour) > 0.97


def edge_gap(box: Box, at: Point) -> float:
    """How far a point lies from the outline of a box."""
    inside = min(abs(at[0] - box.x0), abs(at[0] - box.x1), abs(at[1] - box.y0), abs(at[1] - box.y1))
    dx = max(box.x0 - at[0], 0, at[0] - box.x1)
    dy = max(box.y0 - at[1], 0, at[1] - box.y1)
    outside = (dx * dx + dy * dy) ** 0.5
    return outside if outside else inside


def box_gap(box: Box, at: Point) -> float:
    dx = max(box.x0 - at[0], 0, at[0] - box.x1)
    dy = max(box.y0 - at[1], 0, at[1] - box.y1)
    return float((dx * dx + dy * dy) ** 0.5)


def find_marks(page: Page, number: int, found: list[Defect]) -> Marks:
    """All marks of a page; what cannot be told goes to `found`."""
    circles = [s for s in page.shapes if s.kind == "circle"]
    open_ = [s.box.middle for s in circles if s.stroke and near(s.size, TERMINAL) and _white(s.fill)]
    dots = [s.box.middle for s in circles if s.fill and not _white(s.fill) and near(s.size + (s.width if s.stroke else 0), DOT)]
    squares = {
        (round(x, 1), round(y, 1)): (x, y)
        for s in page.shapes
        if s.kind == "rect" and s.stroke and near(s.box.w, TERMINAL) and near(s.box.h, TERMINAL)
        for x, y in (s.box.middle,)
    }
    devices, boxes = _devices(page, [*open_, *squares.values()], dots)
    used: dict[int, Point] = {}
    letters = [t for t in page.texts if not t.bold and t.capitals > MARK_HEIGHT - 0.02]
    terminals = [
        _terminal(letters, number, at, jack, devices, used, found)
        for at, jack in [(p, False) for p in open_] + [(p, True) for p in squares.values()]
    ]
    labels = [Label(m[1], m[2], t) for t in page.texts if (m := LABEL.fullmatch(t.text)) and id(t) not in used]
    return Marks(tuple(devices), tuple(boxes), tuple(t for t in terminals if t), tuple(dots), tuple(labels))


def _devices(page: Page, circles: list[Point], dots: list[Point]) -> tuple[list[Device], list[Device]]:
    rects = [
        s
        for s in page.shapes
        if s.kind == "rect" and s.stroke and not s.dashed and min(s.box.w, s.box.h) > 2 and near(s.width, NARROW, 0.11)
    ]
    channels = [s for s in rects if any(s.box.holds(d) for d in dots) and not any(edge_gap(s.box, c) < 0.2 for c in circles)]
    devices: list[Device] = []
    titles = [t for t in page.texts if t.bold and t.capitals > MARK_HEIGHT - 0.1 and DESIGNATION.fullmatch(t.text)]
    for title in titles:
        around = [s for s in rects if s.box.grown(0.1).covers(title.box) and s not in channels]
        if around:
            rect = min(around, key=lambda s: s.box.w * s.box.h)
            if not _titled_already(rect, title, devices):
                devices.append(Device(title.text, rect.box, title))
    free = [t for t in titles if all(t is not d.title for d in devices)]
    boxes = []
    for channel in channels:
        beside = sorted((box_gap(channel.box, t.box.middle), t.box.x0, t.box.y0, t) for t in free)
        if beside and beside[0][0] < BOX_TITLE_REACH:
            boxes.append(Device(beside[0][3].text, channel.box, beside[0][3]))
    return devices, boxes


def _titled_already(rect: Shape, title: Text, devices: list[Device]) -> bool:
    """A device has one designation, the highest letters in it."""
    return any(d.box == rect.box and d.title.capitals >= title.capitals - 0.01 for d in devices)


def _terminal(
    letters: list[Text], number: int, at: Point, jack: bool, devices: list[Device], used: dict[int, Point], found: list[Defect]
) -> Terminal | None:
    owners = sorted((d for d in devices if edge_gap(d.box, at) < 0.2), key=lambda d: d.box.w * d.box.h)
    if not owners:
        found.append(Defect("terminal", "a terminal that stands on the edge of no device", number, at))
        return None
    owner = owners[0]
    room = owner.box.grown(0.3)
    inside = [t for t in letters if abs(t.base - at[1]) < 8 and t is not owner.title and room.covers(t.box)]
    best = sorted(inside, key=lambda t: box_gap(t.box, at))[:2]
    if not best or box_gap(best[0].box, at) > 4:
        found.append(Defect("mark", f"a terminal of {owner.ref} has no mark", number, at))
        return None
    if len(best) == 2 and box_gap(best[1].box, at) - box_gap(best[0].box, at) < 0.4:
        found.append(
            Defect("mark", f"{owner.ref}: {best[0].text!r} and {best[1].text!r} are equally near a terminal", number, at)
        )
    if id(best[0]) in used:
        found.append(Defect("mark", f"{owner.ref}: two terminals share the mark {best[0].text!r}", number, at))
    used[id(best[0])] = at
    lead = LEAD.fullmatch(best[0].text)
    return Terminal(at, owner.ref, lead[1] if lead else best[0].text, lead[2] if lead else None, jack, best[0])

"""What placing and routing give, in millimetres from the lower left corner of the sheet, y up."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal, NamedTuple

from wiregen.wiring.model import End

Point = tuple[float, float]
Side = Literal["left", "right", "top", "bottom"]


class Rect(NamedTuple):
    """Lower left corner, width and height."""

    x: float
    y: float
    w: float
    h: float


@dataclass(frozen=True)
class Pin:
    """A terminal on the edge of its device: an open circle of 1.8 mm (a square for a jack) and its mark inside the box.

    A terminal with several conductors has a circle for each of them, so that a circle never takes two lines.  Circles of
    one terminal stand on one side in rows next to each other, or face each other on the left and right edge; a narrow
    line inside the box joins them.
    """

    end: End
    mark: str  # what is printed beside it: "NO", "3 WH-RD"
    at: Point
    side: Side
    jack: bool = False


@dataclass(frozen=True)
class PlacedDevice:
    ref: str
    box: Rect
    pins: tuple[Pin, ...]
    title: tuple[str, ...]  # lines of text under the designation: name, place
    title_at: Point  # baseline of the designation, left


@dataclass(frozen=True)
class Bar:
    """A junction: a bar in the channel of its box; every conductor that meets it ends in a dot on it."""

    end: End
    points: tuple[Point, ...]
    colour: str
    dots: tuple[Point, ...]


@dataclass(frozen=True)
class Route:
    """A conductor (or link) as drawn: an orthogonal line from its end a to its end b."""

    wire: str
    points: tuple[Point, ...]
    colour: str
    link: bool = False


@dataclass(frozen=True)
class Jacket:
    """The oval across the cores of a cable that lie side by side."""

    cable: str
    box: Rect


@dataclass(frozen=True)
class Region:
    """A place as a region of the sheet."""

    place: str
    box: Rect
    exposed: bool


class Text(NamedTuple):
    """A placed text.  `size` is the capital height in mm; `at` is the baseline's left, middle or right end by `align`."""

    text: str
    at: Point
    size: float
    align: Literal["left", "middle", "right"] = "left"
    bold: bool = False


@dataclass(frozen=True)
class Enclosure:
    """The outline of a junction box around its bars: a thin, tinted rectangle that conductors enter.

    Its designation is among the texts.  A box is drawn once in each channel where it has bars.
    """

    ref: str
    box: Rect


@dataclass(frozen=True)
class Off:
    """Where a strip has conductors on another page too: written beside its name, with page and grid zone of the other.

    No conductor leaves a page; each is whole on one of them.
    """

    at: Point  # left end of the baseline
    end: End  # the junction
    page: int
    zone: str
    whole: bool = False  # it stands apart from the name of the junction, and repeats it

    @property
    def text(self) -> str:
        return f"{self.end if self.whole else ''} → {self.page}/{self.zone}".lstrip()


@dataclass(frozen=True)
class Mark:
    """A revision mark: a triangle in `box` with the letter of a revision, at a conductor or link."""

    wire: str
    letter: str
    box: Rect


@dataclass(frozen=True)
class Layout:
    """One page of a door's wiring sheet: all ink that placing and routing decide."""

    page: int
    pages: int
    field: Rect  # the part of the sheet that it may use
    devices: tuple[PlacedDevice, ...]
    bars: tuple[Bar, ...]
    routes: tuple[Route, ...]
    jackets: tuple[Jacket, ...]
    regions: tuple[Region, ...]
    exposed_line: tuple[tuple[Point, ...], ...]  # the chain line(s) between what a stranger can reach and what not
    texts: tuple[Text, ...]  # wire labels, cable titles, region names
    offs: tuple[Off, ...] = ()
    enclosures: tuple[Enclosure, ...] = ()
    marks: tuple[Mark, ...] = ()

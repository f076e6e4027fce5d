"""One page as ink: strokes, round and square marks, fills and live text, in millimetres, y up."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property
from typing import NamedTuple

MM = 72 / 25.4
Point = tuple[float, float]
Colour = tuple[float, float, float]


@dataclass(frozen=True)
class Stroke:
    """A straight piece of a stroked path; `path` tells which path it came from, `order` when it was drawn."""

    a: Point
    b: Point
    width: float
    colour: Colour
    dashed: bool
    order: int

    @property
    def length(self) -> float:
        return abs(self.a[0] - self.b[0]) + abs(self.a[1] - self.b[1])

    @cached_property
    def level(self) -> bool:
        return abs(self.a[1] - self.b[1]) < 0.02

    @cached_property
    def upright(self) -> bool:
        return abs(self.a[0] - self.b[0]) < 0.02

    @cached_property
    def box(self) -> Box:
        return Box(min(self.a[0], self.b[0]), min(self.a[1], self.b[1]), max(self.a[0], self.b[0]), max(self.a[1], self.b[1]))


class Box(NamedTuple):
    x0: float
    y0: float
    x1: float
    y1: float

    @property
    def w(self) -> float:
        return self.x1 - self.x0

    @property
    def h(self) -> float:
        return self.y1 - self.y0

    @property
    def middle(self) -> Point:
        return (self.x0 + self.x1) / 2, (self.y0 + self.y1) / 2

    def grown(self, by: float) -> Box:
        return Box(self.x0 - by, self.y0 - by, self.x1 + by, self.y1 + by)

    def holds(self, point: Point) -> bool:
        return self.x0 <= point[0] <= self.x1 and self.y0 <= point[1] <= self.y1

    def covers(self, other: Box) -> bool:
        return self.x0 <= other.x0 and self.y0 <= other.y0 and self.x1 >= other.x1 and self.y1 >= other.y1

    def meets(self, other: Box) -> bool:
        return self.x0 < other.x1 and other.x0 < self.x1 and self.y0 < other.y1 and other.y0 < self.y1


@dataclass(frozen=True)
class Shape:
    """A closed path: one circle, a rectangle, or any other outline.  A wide outline counts as strokes too."""

    box: Box
    kind: str  # "circle", "rect", "outline"
    stroke: Colour | None
    fill: Colour | None
    width: float
    order: int
    dashed: bool = False

    @property
    def size(self) -> float:
        return (self.box.w + self.box.h) / 2


@dataclass(frozen=True)
class Text:
    """A run of characters on one base line.  `box` goes from the base line to the top of the capitals."""

    text: str
    box: Box
    capitals: float
    bold: bool
    turned: bool
    order: int
    colour: Colour

    @property
    def base(self) -> float:
        return self.box.y0


@dataclass(frozen=True)
class Page:
    width: float
    height: float
    strokes: tuple[Stroke, ...]
    shapes: tuple[Shape, ...]
    texts: tuple[Text, ...]
    pictures: int
    unembedded: tuple[str, ...]

"""Boxes, joints and wires for the two scripts."""

from __future__ import annotations

import sys
from collections.abc import Iterable, Sequence
from time import process_time

import schemdraw
from schemdraw import elements as elm
from schemdraw.util import Point

schemdraw.use("matplotlib")
INK = {"RD": "red", "BK": "black", "WH": "white", "GN": "green", "YE": "gold", "BU": "blue", "bare": "peru"}
LIGHT = ("WH", "YE")
STARTED = process_time()  # once the libraries are imported

Wire = tuple[str, str, str, str, float]  # number, from, to, colour, and how far from the start it turns (0: straight)


class Sheet:
    """A drawing and the points that wires may end on."""

    def __init__(self, title: str) -> None:
        self.drawing = schemdraw.Drawing(show=False, fontsize=8)
        self.title = title
        self.points: dict[str, Point] = {}

    def box(
        self, ref: str, text: str, at: tuple[float, float], left: Sequence[str], right: Sequence[str], width: float = 3
    ) -> None:
        """A device with its terminals on two sides, first one on top; `at` is its lower left corner."""
        pins = [
            elm.IcPin(name=mark, side=side, anchorname=f"{ref}:{mark}", slot=f"{len(marks) - row}/{len(marks)}")
            for side, marks in (("left", left), ("right", right))
            for row, mark in enumerate(marks)
        ]
        size = width, 0.7 * max(len(left), len(right)) + 0.5
        device = elm.Ic(pins=pins, size=size, leadlen=0.1, plblsize=7).at(at)
        self.drawing += device
        self.drawing += elm.Label().at((at[0] + width / 2, at[1] + size[1] + 0.2)).label(f"{ref} {text}", fontsize=7)
        self.points |= {name: point for name, point in device.absanchors.items() if name.startswith(f"{ref}:")}

    def joint(self, ref: str, at: tuple[float, float]) -> None:
        self.drawing += elm.Dot().at(at).label(ref, fontsize=6)
        self.points[ref] = Point(at)

    def wires(self, drawn: Iterable[Wire]) -> None:
        """Conductors with number and colour at both ends; a light one has a dark casing."""
        points = self.points
        for number, start, end, colour, turn in drawn:
            shape = "c" if turn else "-"
            for ink, width in [("black", 2.6), (INK[colour], 1.4)] if colour in LIGHT else [(INK[colour], 1.4)]:
                self.drawing += elm.Wire(shape, k=turn).at(points[start]).to(points[end]).color(ink).linewidth(width)
            for point in (points[start], points[end]):
                self.drawing += elm.Label().at(point).label(f"{number} {colour}", fontsize=6)

    def finish(self) -> None:
        """Saves the sheet where the command line says, and tells the processor seconds since the imports."""
        self.drawing += elm.Label().at((0, -2)).label(self.title, fontsize=10)
        self.drawing.save(sys.argv[1])
        print(process_time() - STARTED)

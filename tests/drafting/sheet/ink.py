"""Reads the ink of a canvas back: line pieces, circles, and which places narrow lines join."""

from __future__ import annotations

from itertools import combinations, pairwise
from typing import Any

from reportlab.graphics import shapes

MM = 72 / 25.4
Piece = tuple[float, float, float, float]


def points(shape: Any) -> list[tuple[float, float]]:
    return [(x / MM, y / MM) for x, y in zip(shape.points[::2], shape.points[1::2], strict=True)]


def pieces(drawing: shapes.Drawing) -> list[Piece]:
    """Every straight piece of a solid line, in mm; the glass of a reed, a round outline, conducts nothing."""
    out: list[Piece] = []
    for shape in drawing.contents:
        if isinstance(shape, shapes.PolyLine) and not shape.strokeDashArray:
            line = points(shape)
            if len(line) < 20:
                out += [(*a, *b) for a, b in pairwise(line)]
        elif isinstance(shape, shapes.Polygon) and shape.strokeColor is not None:
            ring = points(shape)
            out += [(*a, *b) for a, b in pairwise([*ring, ring[0]])]
        elif isinstance(shape, shapes.Circle) and shape.strokeColor is not None:  # its diameters stand for it
            x, y, r = shape.cx / MM, shape.cy / MM, shape.r / MM
            out += [(x - r, y, x + r, y), (x, y - r, x, y + r)]
    return out


def distance(a: Piece, b: Piece) -> float:
    """Least distance of two pieces."""
    if _cross(a, b):
        return 0.0
    return min(*(_to(p, b) for p in (a[:2], a[2:])), *(_to(p, a) for p in (b[:2], b[2:])))


def _cross(a: Piece, b: Piece) -> bool:
    def side(p: Piece, x: float, y: float) -> float:
        return (p[2] - p[0]) * (y - p[1]) - (p[3] - p[1]) * (x - p[0])

    return side(a, *b[:2]) * side(a, *b[2:]) < 0 and side(b, *a[:2]) * side(b, *a[2:]) < 0


def _to(p: tuple[float, ...], s: Piece) -> float:
    dx, dy = s[2] - s[0], s[3] - s[1]
    length = dx * dx + dy * dy
    t = max(0.0, min(1.0, ((p[0] - s[0]) * dx + (p[1] - s[1]) * dy) / length)) if length else 0.0
    return float(((s[0] + t * dx - p[0]) ** 2 + (s[1] + t * dy - p[1]) ** 2) ** 0.5)


def joined(drawing: shapes.Drawing, places: dict[str, tuple[float, float]], near: float = 0.25) -> set[frozenset[str]]:
    """The places that solid lines join, as sets of names.  Lines 0.25 mm wide touch where their axes are `near`."""
    lines = pieces(drawing)
    root = list(range(len(lines)))

    def find(n: int) -> int:
        while root[n] != n:
            n = root[n]
        return n

    for i, j in combinations(range(len(lines)), 2):
        if distance(lines[i], lines[j]) < near:
            root[find(i)] = find(j)
    found: dict[int | str, set[str]] = {}
    for name, (x, y) in places.items():
        at = next((find(n) for n, line in enumerate(lines) if _to((x, y), line) < near), None)
        found.setdefault(name if at is None else at, set()).add(name)
    return {frozenset(names) for names in found.values()}

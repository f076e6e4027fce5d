"""Follows the ink of one page: which terminals and dots the wide strokes join, and which label each of them carries."""

from __future__ import annotations

import itertools
from collections import defaultdict
from collections.abc import Iterable
from dataclasses import dataclass, field

from tests.proof.marks import CASING, CORE, TERMINAL, Defect, Label, Marks, near
from tests.proof.page import Box, Colour, Page, Point, Stroke

Node = tuple[str, int]  # ("terminal", n) of Marks.terminals, ("dot", n) of Marks.dots, ("end", n): ends in the open
LABEL_REACH = 2.2  # mm between a label and the line that it stands on
LABEL_FROM_END = 14.0  # mm between a label and the end that it speaks for


@dataclass
class Path:
    """Ink from one joint to the next, round its corners."""

    pieces: list[Stroke]
    ends: list[tuple[Node, Point]]
    labels: list[Label] = field(default_factory=list)
    tracer: Colour | None = None
    cased: bool = False

    @property
    def colour(self) -> Colour:
        return self.pieces[0].colour

    @property
    def length(self) -> float:
        return sum(p.length for p in self.pieces)

    @property
    def nodes(self) -> list[Node]:
        return [node for node, _ in self.ends]


class Groups:
    """Which of some things are joined (union-find)."""

    def __init__(self) -> None:
        self._up: dict[object, object] = {}

    def root(self, item: object) -> object:
        self._up.setdefault(item, item)
        while self._up[item] != item:
            self._up[item] = self._up[self._up[item]]
            item = self._up[item]
        return item

    def join(self, a: object, b: object) -> None:
        self._up[self.root(a)] = self.root(b)

    def groups(self, items: Iterable[object]) -> dict[object, list[object]]:
        out = defaultdict(list)
        for item in items:
            out[self.root(item)].append(item)
        return dict(out)


def trace(page: Page, marks: Marks, number: int, found: list[Defect]) -> list[Path]:
    """Every path of conductor ink on the page, with labels and tracer."""
    cores = [s for s in page.strokes if near(s.width, CORE, 0.03) and not s.dashed]
    found += (
        Defect("slanted", "a conductor that is neither level nor upright", number, s.a)
        for s in cores
        if not (s.level or s.upright)
    )
    paths = _chains(_cut_at_dots(cores, marks.dots), marks, number, found)
    _dress(paths, page, number, found)
    _label(paths, marks, number, found)
    return paths


def _on(stroke: Stroke, at: Point, slack: float = 0.1) -> bool:
    return stroke.box.grown(slack).holds(at)


def _gap(a: Point, b: Point) -> float:
    return float(((a[0] - b[0]) ** 2 + (a[1] - b[1]) ** 2) ** 0.5)


def _cut_at_dots(cores: list[Stroke], dots: tuple[Point, ...]) -> list[Stroke]:
    out = []
    for stroke in cores:
        on = [d for d in dots if _on(stroke, d) and min(_gap(d, stroke.a), _gap(d, stroke.b)) > 0.75]
        points = [stroke.a, *sorted(on, key=lambda d: _gap(d, stroke.a)), stroke.b]
        out += [Stroke(p, q, stroke.width, stroke.colour, stroke.dashed, stroke.order) for p, q in itertools.pairwise(points)]
    return out


def _chains(pieces: list[Stroke], marks: Marks, number: int, found: list[Defect]) -> list[Path]:
    """Pieces that meet end to end at a corner are one path; where they meet in any other way, it is a defect."""
    node_of: dict[tuple[int, int], Node] = {}
    loose: dict[tuple[int, int], list[tuple[int, int]]] = defaultdict(list)
    for n, piece in enumerate(pieces):
        for side, at in enumerate((piece.a, piece.b)):
            node = _node(at, piece, marks)
            if node:
                node_of[n, side] = node
            else:
                loose[round(at[0] * 5), round(at[1] * 5)].append((n, side))
    joined = Groups()
    for n in range(len(pieces)):
        joined.root(n)
    count = 0
    for ends in _clusters(loose, pieces):
        first = pieces[ends[0][0]]
        at = (first.a, first.b)[ends[0][1]]
        colours = {pieces[n].colour for n, _ in ends}
        if len(ends) == 2 and len(colours) == 1:
            joined.join(ends[0][0], ends[1][0])
            continue
        if len(ends) > 1:
            found.append(Defect("meeting", f"{len(ends)} ends of {len(colours)} colours meet without a dot", number, at))
        for end in ends:
            node_of[end] = ("end", 1000 * number + count)
        count += 1
    paths = []
    for members in joined.groups(range(len(pieces))).values():
        ends_ = [
            (node_of[n, side], (pieces[n].a, pieces[n].b)[side]) for n in members for side in (0, 1) if (n, side) in node_of
        ]  # type: ignore[index]
        if len(ends_) != 2:
            found.append(Defect("loop", f"a conductor with {len(ends_)} ends", number, pieces[members[0]].a))  # type: ignore[index]
        paths.append(Path([pieces[n] for n in members], ends_))  # type: ignore[index]
    _touching(pieces, loose, number, found)
    return paths


def _node(at: Point, piece: Stroke, marks: Marks) -> Node | None:
    """The terminal or dot that a piece's end reaches: it points at the middle and comes as far as the rim."""
    circles = [(n, t.at) for n, t in enumerate(marks.terminals) if not t.jack]
    for kind, points, radius in (("terminal", circles, TERMINAL / 2), ("dot", list(enumerate(marks.dots)), 0.7)):
        for n, middle in points:
            if abs(middle[0] - at[0]) > radius + 0.1 or abs(middle[1] - at[1]) > radius + 0.1:
                continue
            off = abs(middle[1] - at[1]) if piece.level else abs(middle[0] - at[0])
            if off < 0.1 and _gap(middle, at) < radius + 0.1:
                return kind, n
    return None


def _clusters(loose: dict[tuple[int, int], list[tuple[int, int]]], pieces: list[Stroke]) -> list[list[tuple[int, int]]]:
    ends = [e for group in loose.values() for e in group]
    at = {e: (pieces[e[0]].a, pieces[e[0]].b)[e[1]] for e in ends}
    joined = Groups()
    for (x, y), group in loose.items():
        for dx in (0, 1):
            for dy in (-1, 0, 1):
                for e in group:
                    for f in loose.get((x + dx, y + dy), ()):
                        if _gap(at[e], at[f]) < 0.1:
                            joined.join(e, f)
    return list(joined.groups(ends).values())  # type: ignore[arg-type]


def _touching(
    pieces: list[Stroke], loose: dict[tuple[int, int], list[tuple[int, int]]], number: int, found: list[Defect]
) -> None:
    """An end or a corner on another's line, with no dot: nobody can tell whether it joins."""
    ends = {(pieces[n].a, pieces[n].b)[side]: None for group in loose.values() for n, side in group}
    on_another = (at for at in ends if any(_on(p, at, 0.5) and min(_gap(at, p.a), _gap(at, p.b)) > 0.5 for p in pieces))
    found += (Defect("touch", "a conductor ends or turns on another's line without a dot", number, at) for at in on_another)


def _along(outer: Stroke, piece: Stroke, slack: float = 0.05) -> bool:
    """Whether a stroke lies on the axis of a piece for all of the piece's length."""
    if outer.level != piece.level:
        return False
    return outer.box.grown(slack + 0.5 * (piece.width + outer.width)).covers(piece.box) and (
        abs(outer.a[1] - piece.a[1]) < 0.05 if piece.level else abs(outer.a[0] - piece.a[0]) < 0.05
    )


def _dress(paths: list[Path], page: Page, number: int, found: list[Defect]) -> None:
    """Casing below and tracer on top of each path; a casing or a tracer of no conductor is a defect."""
    casings = [s for s in page.strokes if near(s.width, CASING, 0.03)]
    tracers = [
        s
        for s in page.strokes
        if s.dashed and s.width < CORE + 0.03 and any(_along(p, s) or _along(s, p) for path in paths for p in path.pieces)
    ]
    for path in paths:
        cased = [any(_along(c, p) and c.order <= p.order for c in casings) for p in path.pieces]
        path.cased = all(cased)
        if any(cased) and not all(cased):
            found.append(Defect("casing", "a conductor is cased in part only", number, path.pieces[0].a))
        light = sum(path.colour) / 3 > 0.75 or (path.colour[0] > 0.9 and path.colour[1] > 0.75)
        if light and not path.cased:
            found.append(Defect("casing", "a light conductor without a casing", number, path.pieces[0].a))
        over = [{t.colour for t in tracers if (_along(t, p) or _on_part(t, p)) and t.order > p.order} for p in path.pieces]
        if any(over):
            if not all(over) or len(set().union(*over)) > 1:
                found.append(Defect("tracer", "a tracer that does not run all along its conductor", number, path.pieces[0].a))
            path.tracer = min(set().union(*over))
    bare = (c for c in casings if c.length > 1 and not any(_on_part(c, p) or _on_part(p, c) for q in paths for p in q.pieces))
    found += (Defect("width", f"a stroke of {c.width:.2f} mm that cases no conductor", number, c.a) for c in bare)


def _on_part(stroke: Stroke, piece: Stroke) -> bool:
    """Whether a stroke lies on the axis of a piece and shares most of its length with it."""
    if stroke.level != piece.level or abs((stroke.a[1] - piece.a[1]) if piece.level else (stroke.a[0] - piece.a[0])) > 0.05:
        return False
    s, p = stroke.box, piece.box
    shared = min(s.x1, p.x1) - max(s.x0, p.x0) if piece.level else min(s.y1, p.y1) - max(s.y0, p.y0)
    return shared > 0.5 * piece.length


def label_gap(text: Box, piece: Stroke) -> float | None:
    """How far a text stands from the line that runs along it; None where the line does not run along it."""
    line = piece.box
    if piece.level:
        shared, whole = min(text.x1, line.x1) - max(text.x0, line.x0), min(text.w, line.w)
        gap = max(text.y0 - line.y1, line.y0 - text.y1)
    else:
        shared, whole = min(text.y1, line.y1) - max(text.y0, line.y0), min(text.h, line.h)
        gap = max(text.x0 - line.x1, line.x0 - text.x1)
    return gap if shared >= 0.5 * whole and whole > 0.5 else None


def _label(paths: list[Path], marks: Marks, number: int, found: list[Defect]) -> None:
    """Each label belongs to the one line that it stands on."""
    for label in marks.labels:
        at = label.text.box.middle
        near_: list[tuple[float, int]] = []
        for n, path in enumerate(paths):
            gaps = [g for p in path.pieces if (g := label_gap(label.text.box, p)) is not None and g <= LABEL_REACH]
            if gaps:
                near_.append((min(gaps), n))
        near_.sort()
        if not near_:
            found.append(Defect("label", f"{label.text.text!r} stands on no conductor", number, at))
            continue
        if len(near_) > 1 and near_[1][0] - near_[0][0] < 0.4:
            found.append(Defect("label", f"{label.text.text!r} may belong to two conductors", number, at))
        paths[near_[0][1]].labels.append(label)

"""Draws trees of boxes from left to right in pieces no taller than the page; a box that goes on overleaf is drawn again there.

Sizes are millimetres.  Each level of a tree has a column, as wide as its boxes want; lettering is never set smaller.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from functools import cached_property
from typing import Any

from reportlab.graphics.shapes import Drawing

from wiregen.drafting import symbols as sym
from wiregen.drafting.canvas import MM, Canvas, font_size
from wiregen.drafting.ink import JACK, LETTER, LINE, NARROW
from wiregen.drafting.metrics import width
from wiregen.drafting.metrics import wrap as words
from wiregen.drafting.model import Point, Rect
from wiregen.fonts import CAP
from wiregen.packet.flow import wrap
from wiregen.packet.one_line_tree import Branch, Node

PITCH = LETTER * LINE
INNER = 1.4  # between lettering and the edge of its box
GAP = 2.0  # between boxes below one another
STUB = 3.5  # from a box to the upright line that its branches leave
SYMBOL = 7.0  # length of a symbol that lies in a branch
LEAST, MOST = 20.0, 74.0  # width of the lettering of a box
LEVEL = INNER + LETTER / 2  # from the upper edge of a box to its line: the middle of its first line of lettering
OVER = 1.1  # from a line to the lettering over and under it
HEADROOM = OVER + LETTER - LEVEL + 0.8  # over the first box, for the lettering over its line


def drawings(roots: Sequence[Node], symbols: str, room: float, tall: float) -> Iterator[Drawing]:
    """The trees in drawings no wider than `room` and no taller than `tall` points, unless one box alone is taller."""
    for root in roots:
        sizes = _Sizes(root, room / MM)
        for piece in _pieces(root, sizes, tall / MM):
            yield _Pen(piece, sizes, symbols).drawing


class _Sizes:
    """Width of the lettering in each column, and of the branches behind it."""

    def __init__(self, root: Node, room: float) -> None:
        self._known: dict[tuple[int, int], tuple[Node, float]] = {}  # heights; a node is kept, so no other has its id
        levels = list(_levels([root]))
        self.branches = [max((_wide(b) for node in level for b in node.branches), default=0.0) for level in levels]
        left = room - sum(self.branches) - 2 * INNER * len(levels) - 1.0
        wanted = [min(MOST, max(_wanted(node) for node in level)) for level in levels]
        fair = max(LEAST, left / len(levels))
        spare = max(0.0, left - sum(min(fair, each) for each in wanted))  # what narrow columns leave to wide ones
        more = sum(max(0.0, each - fair) for each in wanted) or 1.0
        self.text = [min(each, fair + spare * max(0.0, each - fair) / more) for each in wanted]

    def x(self, depth: int) -> float:
        return 0.5 + sum(self.text[:depth]) + 2 * INNER * depth + sum(self.branches[:depth])

    def lines(self, node: Node, depth: int) -> tuple[tuple[str, bool], ...]:
        """Lettering of a box: line and whether it is bold."""
        wide = self.text[depth] + 0.01
        head = f"{node.ref}, continued" if node.again else node.ref
        told = [(line, True) for line in _wrapped(head, wide, bold=True)]
        texts = () if node.again else (node.name, f"at {node.place}" if node.place else "", *node.words)
        return (*told, *((line, False) for text in texts if text for line in _wrapped(text, wide)))

    def box(self, node: Node, depth: int) -> float:
        """Height."""
        return 2 * INNER + LETTER + PITCH * (len(self.lines(node, depth)) - 1) + 0.6

    def height(self, node: Node, depth: int = 0) -> float:
        """Of a box with all that hangs on it; asked for again and again as a tree is cut."""
        key = (id(node), depth)
        if key not in self._known:
            below = sum(self.height(b.to, depth + 1) + GAP for b in node.branches) - GAP
            self._known[key] = node, max(self.box(node, depth), below)
        return self._known[key][1]


def _levels(nodes: Sequence[Node]) -> Iterator[Sequence[Node]]:
    while nodes:
        yield nodes
        nodes = [branch.to for node in nodes for branch in node.branches]


def _wanted(node: Node) -> float:
    texts = (node.name, f"at {node.place}", *node.words)
    return max(width(f"{node.ref}, continued", LETTER, bold=True), *(width(text, LETTER) for text in texts))


def _wrapped(text: str, room: float, bold: bool = False) -> list[str]:
    """A number keeps its unit; what is longer than a line is broken anywhere."""
    return [part for line in words(text, room, LETTER) for part in wrap(line, room * MM, font_size(LETTER), bold)]


def _wide(branch: Branch) -> float:
    lettering = max(width(branch.label, LETTER), width(branch.word, LETTER))
    return STUB + 1.5 + max(lettering, 2.0) + 1.5 + (SYMBOL if branch.look in _SYMBOLS else 0.0) + 3.0


def _pieces(root: Node, sizes: _Sizes, tall: float) -> Iterator[Node]:
    """The tree in pieces that fit: each the next branches that there is room for, under the boxes that they hang on."""
    rest: Node | None = root
    while rest is not None:
        fits, rest = _fitting(rest, sizes, 0, tall - 1.0 - HEADROOM)
        yield fits


def _fitting(node: Node, sizes: _Sizes, depth: int, tall: float) -> tuple[Node, Node | None]:
    """So much of the tree as is no taller, and what is left of it; at least one box in each column of the first branch."""
    if sizes.height(node, depth) <= tall:
        return node, None
    taken: list[Branch] = []
    left = tall
    for n, branch in enumerate(node.branches):
        own = sizes.height(branch.to, depth + 1)
        if own <= left:
            taken.append(branch)
            left -= own + GAP
            continue
        rest = list(node.branches[n:])
        if not taken or (branch.to.branches and left > tall / 3):
            part, more = _fitting(branch.to, sizes, depth + 1, left)
            if not taken or sizes.height(part, depth + 1) <= left:
                taken.append(replace(branch, to=part))
                rest = [*([replace(branch, to=more)] if more else []), *node.branches[n + 1 :]]
        onward = replace(node, branches=tuple(rest), again=True) if rest else None
        return replace(node, branches=tuple(taken)), onward
    return node, None


_SYMBOLS = ("fuse", "battery", "contact")


@dataclass
class _Pen:
    root: Node
    sizes: _Sizes
    symbols: str

    @cached_property
    def canvas(self) -> Canvas:
        depth = len(list(_levels([self.root])))
        wide = self.sizes.x(depth - 1) + self.sizes.text[depth - 1] + 2 * INNER + 0.5
        return Canvas(wide, self.sizes.height(self.root) + 1.0 + HEADROOM)

    @property
    def drawing(self) -> Drawing:
        top = self.sizes.height(self.root) + 0.5
        self.node(self.root, 0, top)
        return self.canvas.drawing

    def node(self, node: Node, depth: int, top: float) -> None:
        x, lines = self.sizes.x(depth), self.sizes.lines(node, depth)
        wide, tall = self.sizes.text[depth] + 2 * INNER, self.sizes.box(node, depth)
        self.canvas.rect(Rect(x, top - tall, wide, tall), NARROW)
        for n, (line, bold) in enumerate(lines):
            self.canvas.write(line, (x + INNER, top - INNER - LETTER - n * PITCH), LETTER, bold=bold)
        at, levels = top, []
        for branch in node.branches:
            levels.append(at - LEVEL)
            self.branch(branch, x + wide, self.sizes.x(depth + 1), at - LEVEL)
            self.node(branch.to, depth + 1, at)
            at -= self.sizes.height(branch.to, depth + 1) + GAP
        if len(levels) > 1:
            self.canvas.line([(x + wide + STUB, levels[0]), (x + wide + STUB, levels[-1])])
        if levels:
            self.canvas.line([(x + wide, levels[0]), (x + wide + STUB, levels[0])])

    def branch(self, branch: Branch, left: float, right: float, y: float) -> None:
        """From the upright line to the next box: lettering at its left end, its symbol at its right."""
        start, symbol = left + STUB, right - 3.0
        if branch.look in _SYMBOLS:
            self.canvas.line([(start, y), (symbol - SYMBOL, y)])
            self.symbol(branch, (symbol - SYMBOL, y), (symbol, y))
            self.canvas.line([(symbol, y), (right, y)])
        else:
            self.canvas.line([(start, y), (right, y)])
        if branch.look == "link":
            self.canvas.rect(Rect(right - JACK, y - JACK / 2, JACK, JACK), NARROW, (1, 1, 1))
        if branch.inward:
            self.canvas.arrow((start, y), 180, 1.8, 2.2)
        self.canvas.write(branch.label, (start + 1.5, y + OVER), LETTER)
        self.canvas.write(branch.word, (start + 1.5, y - OVER - LETTER), LETTER)

    def symbol(self, branch: Branch, start: Point, end: Point) -> None:
        element: Any = sym.contact(False, "", self.symbols) if branch.look == "contact" else sym.two_terminal(
            branch.look, self.symbols
        )
        sym.between(element, start, end)._place(
            (0, 0), 0, lw=NARROW * MM, color="black", fontsize=LETTER * MM / CAP, bgcolor="white"
        )
        element._draw(self.canvas)

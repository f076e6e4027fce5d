"""The one-line: every feed of every door stands on it once, at any size of site, and no line runs through its lettering."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator

from hypothesis import given, settings
from hypothesis import strategies as st
from reportlab.graphics.shapes import Drawing, PolyLine, String

from tests.packet.mill import mill
from wiregen.drafting.ink import LETTER
from wiregen.fonts import CAP, width
from wiregen.packet.content import OneLine
from wiregen.packet.one_line import DEEP, cut, one_line
from wiregen.packet.one_line_drawing import drawings
from wiregen.packet.one_line_tree import Branch, Node

MM = 72 / 25.4
ROOM, TALL = 267 * MM, 160 * MM
EARLIER = ", continued"


def _nodes(*roots: Node) -> Iterator[Node]:
    for root in roots:
        yield root
        yield from _nodes(*(branch.to for branch in root.branches))


def _edges(*roots: Node) -> list[tuple[str, str, str]]:
    """Box, label of the line, box; a pair that feeds inwards the other way round."""
    lines = ((node, b) for node in _nodes(*roots) for b in node.branches)
    return [(b.to.ref, b.label, node.ref) if b.inward else (node.ref, b.label, b.to.ref) for node, b in lines]


def _trees() -> dict[str, OneLine]:
    known = mill()
    section = one_line(known.site, known.wirings, known.studies)
    return {block.caption.split(":")[0].split(",")[0]: block for block in section.blocks if isinstance(block, OneLine)}


def test_power_runs_from_mains_to_the_fuse_of_each_door() -> None:
    """By hand from the spec of the mill."""
    assert sorted(_edges(*_trees()["Power"].roots)) == sorted(
        [
            ("Mains", "", "N1"),
            ("Mains", "", "G1"),
            ("BT1", "battery", "G1"),
            ("G1", "out", "FB1"),
            ("G1", "aux", "FB2"),
            ("FB1", "f-2", "D1"),
            ("FB1", "f-2", "D2"),
            ("FB2", "f-1", "D3"),
        ]
    )


def test_places_network_and_fire_are_those_of_the_spec() -> None:
    trees = _trees()
    assert _edges(*trees["Places"].roots) == [("closet-1", "30 m", "closet-2")]
    assert sorted(_edges(*trees["Network"].roots)) == [("N1", "3", "D1"), ("N1", "4", "D2"), ("N1", "5", "D3")]
    assert sorted(_edges(*trees["Fire interfaces"].roots)) == [("FA1", "c-1", "G1"), ("FA1", "c-2", "D3")]
    words = " ".join(word for node in _nodes(*trees["Fire interfaces"].roots) for word in (node.name, *node.words))
    assert "doors: D1, D2" in words  # which hang on the output that the fire input drops


def _shapes(drawing: Drawing, kind: type) -> list[object]:
    return [shape for shape in drawing.contents if isinstance(shape, kind)]


def _crossed(drawing: Drawing) -> Iterator[str]:
    """Lettering that a line of the drawing runs through."""
    for text in _shapes(drawing, String):
        low, high = text.y + 0.2, text.y + text.fontSize * CAP - 0.2
        left, right = text.x, text.x + width(text.text, text.fontSize, "Bold" in text.fontName)
        for line in _shapes(drawing, PolyLine):
            xs, ys = line.points[::2], line.points[1::2]
            if min(xs) < right and max(xs) > left and min(ys) < high and max(ys) > low:
                yield text.text


_words = st.text("abcdefgh WO/-", min_size=1, max_size=60).map(str.strip).filter(bool)
_boxes = st.integers(0, 10**6).map(lambda n: f"D{n}")


@st.composite
def _tree(draw: st.DrawFn, deep: int = 5) -> Node:
    wide = draw(st.integers(0, 5)) if deep > 0 else 0
    looks = st.sampled_from(["", "fuse", "battery", "contact", "link"])
    branches = tuple(Branch(draw(_words)[:8], draw(looks), draw(_words)[:9], draw(_tree(deep - 2))) for _ in range(wide))
    return Node(draw(_boxes), draw(_words), draw(_words)[:20], tuple(draw(st.lists(_words, max_size=2))), branches)


@settings(deadline=None, max_examples=15)
@given(_tree(), st.sampled_from(["iec", "ieee"]))
def test_any_tree_is_drawn_whole_in_pieces_that_fit(root: Node, symbols: str) -> None:
    trees = cut([root], DEEP)
    made = list(drawings(trees, symbols, ROOM, TALL))
    told = Counter(text.text for drawing in made for text in _shapes(drawing, String) if "Bold" in text.fontName)
    wanted = Counter(node.ref for node in _nodes(*trees))
    assert {ref: n for ref, n in told.items() if not ref.endswith(EARLIER)} == wanted
    for drawing in made:
        assert drawing.height <= TALL + 0.01
        assert drawing.width <= ROOM + 0.01
        assert min(text.fontSize for text in _shapes(drawing, String)) * CAP / MM >= LETTER - 0.001
        assert list(_crossed(drawing)) == []


def test_forty_doors_go_on_overleaf_under_the_boxes_that_feed_them() -> None:
    boards = [
        Node(f"FB{b}", "Fuse board", "closet-1", (), tuple(
            Branch(f"f-{f}", "fuse", "1 A", Node(f"D{b}0{f}", "Store: Y1", "")) for f in range(1, 9)
        )) for b in range(1, 6)
    ]  # fmt: skip
    supply = Node("G1", "Supply", "closet-1", (), tuple(Branch(f"out-{n}", "", "8 A", b) for n, b in enumerate(boards, 1)))
    made = list(drawings([supply], "iec", ROOM, TALL))
    assert len(made) > 1
    doors = [text.text for drawing in made for text in _shapes(drawing, String) if text.text.startswith("D")]
    assert doors == [f"D{b}0{f}" for b in range(1, 6) for f in range(1, 9)]
    assert [drawing.contents[1].text for drawing in made] == ["G1", *["G1, continued"] * (len(made) - 1)]

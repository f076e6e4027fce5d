"""The proof on pages drawn by hand: it finds nothing on the right one, and each wrong one is caught for its own reason."""

from __future__ import annotations

import re
from collections.abc import Callable
from pathlib import Path

import pytest

from tests.proof.expect import Copper, Expected
from tests.proof.hand import HandPage
from tests.proof.ink import prove

# A1 outside with a flying lead, X1 with a strip of three, S1 and Y1 inside, N1 by a link
PARTS = ("a1", "x1", "s1", "y1", "n1", "a101a", "a101b", "a101c", "a102a", "jacket", "link", "chain", "note")


def _expected() -> Expected:
    return Expected(
        door="D1",
        conductors=(
            Copper("A101a", "WH-RD", (("A1", "1"), ("X1", "s1"))),
            Copper("A101b", "RD", (("X1", "s1"), ("S1", "11"))),
            Copper("A101c", "RD", (("X1", "s1"), ("Y1", "+"))),
            Copper("A102a", "BK", (("A1", "2"), ("Y1", "-"))),
        ),
        joints=frozenset({("X1", "s1")}),
        links=((("N1", "3"), ("A1", "J1")),),
        exposed={"A1": True, "S1": False, "Y1": False, "X1": False, "N1": False},
        unused=(("A1", "3", "GN"),),
        leads={("A1", "1"): "WH-RD", ("A1", "2"): "BK", ("A1", "3"): "GN"},
        cables={"A101b": "W2", "A101c": "W2", "A102a": "W3"},
    )


def _a1(p: HandPage) -> None:
    p.device("A1", 30, 60, 40, 60)
    p.terminal(70, 100, "1 WH-RD")
    p.terminal(70, 80, "2 BK")
    p.terminal(70, 70, "3 GN")
    p.jack(70, 115, "J1")


def _x1(p: HandPage) -> None:
    p.box("X1", 110, 65, 20, 60)
    p.text("s1", 121, 112, 1.8)
    p.wire((120, 90), (120, 110), colour="RD")
    for y in (90, 100, 110):
        p.dot(120, y)


def _s1(p: HandPage) -> None:
    p.device("S1", 180, 100, 30, 25)
    p.terminal(180, 110, "11", "left")


def _y1(p: HandPage) -> None:
    p.device("Y1", 180, 60, 30, 35)
    p.terminal(180, 90, "+", "left")
    p.terminal(180, 75, "-", "left")


def _n1(p: HandPage) -> None:
    p.device("N1", 100, 140, 30, 20)
    p.jack(100, 150, "3", "left")


def _a101a(p: HandPage) -> None:
    p.wire((70.9, 100), (120, 100), colour="WH-RD")
    p.label("WH-RD A101a", 72, 100)
    p.label("WH-RD A101a", 97, 100)


def _a101b(p: HandPage) -> None:
    p.wire((120, 110), (179.1, 110), colour="RD")
    p.label("RD A101b", 132, 110)
    p.label("RD A101b", 165, 110)


def _a101c(p: HandPage) -> None:
    p.wire((120, 90), (179.1, 90), colour="RD")
    p.label("RD A101c", 132, 90)
    p.label("RD A101c", 165, 90)


def _a102a(p: HandPage) -> None:
    p.wire((70.9, 80), (150, 80), (150, 75), (179.1, 75))
    p.label("BK A102a", 72, 80)
    p.label("BK A102a", 165, 75)


def _jacket(p: HandPage) -> None:
    p.jacket("W2 2 × 1.0 mm², 4 m", 157, 90, 110)
    p.jacket("W3 2 × 0.22 mm², 4 m", 140, 80, 80)


def _link(p: HandPage) -> None:
    p.narrow((70.9, 115), (85, 115), (85, 150), (99.1, 150))


def _chain(p: HandPage) -> None:
    p.chain((25, 130), (95, 130), (95, 40))


def _note(p: HandPage) -> None:
    p.text("Leads not used, insulate singly and fold back: A1: 3 GN.", 30, 30, 1.8)


def _page(**changed: Callable[[HandPage], None] | None) -> bytes:
    """The right page, with some of its parts drawn otherwise or left out, and `extra` drawn at the end."""
    page = HandPage()
    for part in PARTS:
        draw = changed.get(part, globals()[f"_{part}"])
        if draw:
            draw(page)
    if extra := changed.get("extra"):
        extra(page)
    return page.pdf()


def _kinds(pdf: bytes, expected: Expected | None = None) -> set[str]:
    return {d.kind for d in prove(pdf, expected or _expected())}


def test_right_page_has_no_defect() -> None:
    assert prove(_page(), _expected()) == []


def _shifted(p: HandPage) -> None:
    p.wire((70.9, 80), (150, 80), (150, 90), (179.1, 90))
    p.label("BK A102a", 72, 80)


def _one_dot_less(p: HandPage) -> None:
    p.box("X1", 110, 65, 20, 60)
    p.text("s1", 121, 112, 1.8)
    p.wire((120, 90), (120, 110), colour="RD")
    for y in (90, 110):
        p.dot(120, y)


def _crossing_dotted(p: HandPage) -> None:
    p.dot(150, 90)
    p.dot(150, 80)
    p.wire((150, 80), (150, 90))


def _to_neighbour(p: HandPage) -> None:
    p.wire((70.9, 80), (100, 80), (100, 70), (70.9, 70))
    p.label("BK A102a", 72, 80)
    p.label("BK A102a", 72, 70)


WRONG = {
    "a line shifted to the neighbour terminal": ({"a102a": _shifted}, {"ends", "partition"}),
    "a line led back to an unused terminal": ({"a102a": _to_neighbour}, {"ends", "partition"}),
    "a conductor left out": ({"a102a": None}, {"list", "partition"}),
    "a missing dot": ({"x1": _one_dot_less}, {"touch", "joint"}),
    "a bar left out": (
        {"x1": lambda p: [p.box("X1", 110, 65, 20, 60), p.text("s1", 121, 112, 1.8), *(p.dot(120, y) for y in (90, 100, 110))]},
        {"joint", "partition"},
    ),
    "a dot where lines only cross": ({"extra": _crossing_dotted}, {"partition", "joint"}),
    "two lines of one colour on one another": ({"extra": lambda p: p.wire((124, 90.3), (160, 90.3), colour="RD")}, {"shared"}),
    "two lines of two colours on one another": ({"extra": lambda p: p.wire((120, 90), (160, 90), colour="GN")}, {"shared"}),
    "swapped labels": (
        {
            "a101b": lambda p: [
                p.wire((120, 110), (179.1, 110), colour="RD"),
                p.label("RD A101c", 132, 110),
                p.label("RD A101c", 165, 110),
            ],
            "a101c": lambda p: [
                p.wire((120, 90), (179.1, 90), colour="RD"),
                p.label("RD A101b", 132, 90),
                p.label("RD A101b", 165, 90),
            ],
        },
        {"ends"},
    ),
    "another label at one end": (
        {
            "a101b": lambda p: [
                p.wire((120, 110), (179.1, 110), colour="RD"),
                p.label("RD A101b", 132, 110),
                p.label("RD A101c", 165, 110),
            ]
        },
        {"label"},
    ),
    "a label at one end only": (
        {"a101b": lambda p: [p.wire((120, 110), (179.1, 110), colour="RD"), p.label("RD A101b", 132, 110)]},
        {"label"},
    ),
    "a label between two lines": (
        {"extra": lambda p: [p.wire((127, 94), (140, 94), colour="BK"), p.label("RD A101c", 132, 90.3)]},
        {"label"},
    ),
    "letters of another colour": (
        {
            "a102a": lambda p: [
                p.wire((70.9, 80), (150, 80), (150, 75), (179.1, 75)),
                p.label("BU A102a", 72, 80),
                p.label("BU A102a", 165, 75),
            ]
        },
        {"colour"},
    ),
    "ink of another colour": (
        {
            "a102a": lambda p: [
                p.wire((70.9, 80), (150, 80), (150, 75), (179.1, 75), colour="BU"),
                p.label("BK A102a", 72, 80),
                p.label("BK A102a", 165, 75),
            ]
        },
        {"colour"},
    ),
    "another tracer": (
        {
            "a101a": lambda p: [
                p.wire((70.9, 100), (120, 100), colour="WH-GN"),
                p.label("WH-RD A101a", 72, 100),
                p.label("WH-RD A101a", 97, 100),
            ]
        },
        {"colour"},
    ),
    "base and tracer swapped": (
        {
            "a101a": lambda p: [
                p.wire((70.9, 100), (120, 100), colour="RD-WH"),
                p.label("WH-RD A101a", 72, 100),
                p.label("WH-RD A101a", 97, 100),
            ]
        },
        {"colour"},
    ),
    "no tracer": (
        {
            "a101a": lambda p: [
                p.wire((70.9, 100), (120, 100), colour="WH"),
                p.label("WH-RD A101a", 72, 100),
                p.label("WH-RD A101a", 97, 100),
            ]
        },
        {"colour"},
    ),
    "a light conductor without casing": (
        {
            "a101a": lambda p: [
                p.wire((70.9, 100), (120, 100), colour="WH-RD", cased=False),
                p.label("WH-RD A101a", 72, 100),
                p.label("WH-RD A101a", 97, 100),
            ]
        },
        {"casing"},
    ),
    "a line through a device": (
        {
            "a102a": lambda p: [
                p.wire((70.9, 80), (74, 80), (74, 45), (195, 45), (195, 75), (179.1, 75)),
                p.label("BK A102a", 72, 80),
                p.label("BK A102a", 181, 75),
            ]
        },
        {"through"},
    ),
    "a line along the edge of a device": (
        {
            "a102a": lambda p: [
                p.wire((70.9, 80), (74, 80), (74, 60.2), (150, 60.2), (150, 75), (179.1, 75)),
                p.wire((30, 120.3), (70, 120.3)),
                p.label("BK A102a", 165, 75),
            ]
        },
        {"through"},
    ),
    "a line over another terminal": (
        {
            "a102a": lambda p: [
                p.wire((70.9, 80), (71.1, 80), (71.1, 65), (150, 65), (150, 75), (179.1, 75)),
                p.label("BK A102a", 165, 75),
            ]
        },
        {"through"},
    ),
    "a line through a text": ({"extra": lambda p: p.text("box above the door", 152, 89.5, 1.8)}, {"struck"}),
    "a narrow line through a text": ({"extra": lambda p: p.narrow((180, 110), (190, 113))}, {"struck"}),
    "a slanted line": (
        {"a102a": lambda p: [p.wire((70.9, 80), (179.1, 75)), p.label("BK A102a", 72, 80), p.label("BK A102a", 165, 76)]},
        {"slanted"},
    ),
    "a line that stops short": (
        {
            "a102a": lambda p: [
                p.wire((70.9, 80), (150, 80), (150, 75), (176, 75)),
                p.label("BK A102a", 72, 80),
                p.label("BK A102a", 163, 75),
            ]
        },
        {"open end", "ends"},
    ),
    "ends of two colours that meet": (
        {
            "a102a": lambda p: [
                p.wire((70.9, 80), (150, 80)),
                p.wire((150, 80), (150, 75), (179.1, 75), colour="BU"),
                p.label("BK A102a", 72, 80),
                p.label("BK A102a", 165, 75),
            ]
        },
        {"meeting"},
    ),
    "a line that ends on another without a dot": (
        {"extra": lambda p: [p.wire((160, 40), (160, 75)), p.label("BK A102a", 162, 50)]},
        {"touch"},
    ),
    "a mark on the wrong side": (
        {"y1": lambda p: [p.device("Y1", 180, 60, 30, 35), p.terminal(180, 90, "-", "left"), p.terminal(180, 75, "+", "left")]},
        {"ends", "partition"},
    ),
    "another designation": (
        {"y1": lambda p: [p.device("Y2", 180, 60, 30, 35), p.terminal(180, 90, "+", "left"), p.terminal(180, 75, "-", "left")]},
        {"ends", "partition"},
    ),
    "a mark left out": ({"s1": lambda p: [p.device("S1", 180, 100, 30, 25), p.terminal(180, 110, " ", "left")]}, {"mark"}),
    "another lead colour": (
        {
            "a1": lambda p: [
                p.device("A1", 30, 60, 40, 60),
                p.terminal(70, 100, "1 WH-GN"),
                p.terminal(70, 80, "2 BK"),
                p.terminal(70, 70, "3 GN"),
                p.jack(70, 115, "J1"),
            ]
        },
        {"lead"},
    ),
    "a stroke too wide at a terminal": ({"extra": lambda p: p.narrow((70.9, 70), (80, 70), width=1.4)}, {"width"}),
    "a casing of no conductor": ({"extra": lambda p: p.narrow((71, 70), (80, 70), width=0.95)}, {"width"}),
    "a conductor too narrow": (
        {
            "a102a": lambda p: [
                p.wire((70.9, 80), (150, 80), (150, 75), (179.1, 75), width=0.35),
                p.label("BK A102a", 72, 80),
                p.label("BK A102a", 165, 75),
            ]
        },
        {"list"},
    ),
    "a cable without an oval": ({"jacket": lambda p: p.jacket("W2 2 × 1.0 mm², 4 m", 157, 90, 110)}, {"jacket"}),
    "an oval round cores of two cables": ({"jacket": lambda p: p.jacket("W2 2 × 1.0 mm², 4 m", 140, 80, 110)}, {"jacket"}),
    "titles of two ovals exchanged": (
        {"jacket": lambda p: [p.jacket("W3 2 × 0.22 mm², 4 m", 157, 90, 110), p.jacket("W2 2 × 1.0 mm², 4 m", 140, 80, 80)]},
        {"jacket"},
    ),
    "an oval without a title": (
        {"jacket": lambda p: [p.jacket("K2 so", 157, 90, 110), p.jacket("W3 2 × 0.22 mm², 4 m", 140, 80, 80)]},
        {"jacket"},
    ),
    "a link left out": ({"link": None}, {"link"}),
    "a link to nowhere": ({"link": lambda p: p.narrow((70.9, 115), (85, 115), (85, 148), (99.1, 148))}, {"link"}),
    "no chain line": ({"chain": None}, {"chain line"}),
    "a chain line with a gap": (
        {"chain": lambda p: [p.chain((25, 130), (95, 130), (95, 90)), p.chain((95, 80), (95, 40))]},
        {"chain line"},
    ),
    "an unused lead not listed": (
        {"note": lambda p: p.text("Leads not used, insulate singly and fold back: A1: 2 BK.", 30, 30, 1.8)},
        {"unused"},
    ),
    "no word on unused leads": ({"note": None}, {"unused"}),
    "small text": ({"extra": lambda p: p.text("tiny", 30, 20, 1.5)}, {"small"}),
    "small label": (
        {
            "a101c": lambda p: [
                p.wire((120, 90), (179.1, 90), colour="RD"),
                p.label("RD A101c", 132, 90, 2.0),
                p.label("RD A101c", 165, 90),
            ]
        },
        {"small"},
    ),
    "small mark": (
        {"s1": lambda p: [p.device("S1", 180, 100, 30, 25), p.terminal(180, 110, " ", "left"), p.text("11", 181.5, 109, 2)]},
        {"mark"},
    ),
    "another name of a joint": (
        {
            "x1": lambda p: [
                p.box("X1", 110, 65, 20, 60),
                p.text("s2", 121, 112, 1.8),
                p.wire((120, 90), (120, 110), colour="RD"),
                *(p.dot(120, y) for y in (90, 100, 110)),
            ]
        },
        {"joint"},
    ),
    "a joint without a name": (
        {
            "x1": lambda p: [
                p.box("X1", 110, 65, 20, 60),
                p.wire((120, 90), (120, 110), colour="RD"),
                *(p.dot(120, y) for y in (90, 100, 110)),
            ]
        },
        {"joint"},
    ),
    "a joint in no box": (
        {
            "x1": lambda p: [
                p.text("s1", 121, 112, 1.8),
                p.wire((120, 90), (120, 110), colour="RD"),
                *(p.dot(120, y) for y in (90, 100, 110)),
            ]
        },
        {"joint"},
    ),
    "ink under a fill": ({"extra": lambda p: p.cover(140, 85, 20, 10)}, {"hidden"}),
    "a terminal on no device": ({"extra": lambda p: p.terminal(150, 50, "7")}, {"terminal"}),
    "a ring that ends nowhere": ({"extra": lambda p: p.wire((140, 40), (160, 40), (160, 50), (140, 50), (140, 40))}, {"loop"}),
    "a tracer on a part only": (
        {
            "a101b": lambda p: [
                p.wire((120, 110), (150, 110), colour="RD"),
                p.wire((150, 110), (179.1, 110), colour="RD-WH", cased=False),
                p.label("RD A101b", 132, 110),
                p.label("RD A101b", 165, 110),
            ]
        },
        {"tracer"},
    ),
    "a font that is not embedded": ({"extra": lambda p: p.plain("Helvetica", 30, 20)}, {"font"}),
    "a raster picture": ({"extra": lambda p: p.picture(30, 15)}, {"picture"}),
    "texts over one another": ({"extra": lambda p: p.text("fold", 31, 30.2, 1.8)}, {"overlap"}),
}


@pytest.mark.parametrize("name", WRONG)
def test_wrong_page_is_caught(name: str) -> None:
    changed, kinds = WRONG[name]
    assert kinds <= _kinds(_page(**changed)), prove(_page(**changed), _expected())


def test_every_kind_of_defect_has_a_page_that_shows_it() -> None:
    source = "".join(
        (Path(__file__).parent / f"{name}.py").read_text()
        for name in ("ink", "jackets", "joints", "links", "marks", "rules", "trace")
    )
    kinds = set(re.findall(r'(?:Defect\(|yield )"([a-z ]+)", ', source))
    assert len(kinds) > 20
    assert kinds - {"reference"} == set().union(*(kinds for _, kinds in WRONG.values()))  # references: test_pages.py

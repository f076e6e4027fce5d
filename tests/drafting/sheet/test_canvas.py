"""The renderer between schemdraw and reportlab, and what it relies on."""

from __future__ import annotations

import subprocess
import sys
from itertools import pairwise

import pytest
from reportlab.graphics import shapes

from wiregen.drafting import symbols
from wiregen.drafting.canvas import MM, Canvas, font_size

elm = symbols.elm


def drawn(element: object) -> list[shapes.Shape]:
    canvas = Canvas(100, 100)
    symbols.draw(canvas, element)
    return list(canvas.drawing.contents)


def points(shape: shapes.Shape) -> list[tuple[float, float]]:
    return [(round(x / MM, 2), round(y / MM, 2)) for x, y in zip(shape.points[::2], shape.points[1::2], strict=True)]


def test_sheets_need_no_matplotlib() -> None:
    """Half a second that a sheet has no use for."""
    code = "import sys, wiregen.drafting.sheet; print(*(m in sys.modules for m in ('matplotlib', 'schemdraw.backends.mpl')))"
    out = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True).stdout
    assert out.split() == ["False", "False"]


def test_schemdraw_still_has_what_is_used_of_it() -> None:
    """Private calls of schemdraw 0.22 to 0.23 that placing one element by itself needs."""
    assert callable(elm.Element._place)
    assert callable(elm.Element._draw)
    assert hasattr(elm.elements, "gap")
    for name in ("Switch", "SwitchReed", "Ground", "ResistorIEC", "ResistorIEEE", "Diode", "DiodeTVS", "Zener", "Thermistor",
                 "Inductor2", "FuseIEEE", "FuseUS", "Motor", "Lamp", "Battery", "Capacitor"):  # fmt: skip
        assert hasattr(elm, name), name


def test_a_two_terminal_element_reaches_from_end_to_end() -> None:
    shapes_ = drawn(symbols.between(symbols.two_terminal("diode", "iec"), (10, 10), (10, 20)))
    ends = {p for s in shapes_ if isinstance(s, shapes.PolyLine) for p in points(s)}
    assert {(10, 10), (10, 20)} <= ends
    assert all(abs(s.strokeWidth / MM - 0.25) < 0.01 for s in shapes_)


def test_a_diode_has_its_band_at_the_cathode() -> None:
    """IEC 60617 05-03-01: the triangle points from anode to cathode, where the bar is."""
    shapes_ = drawn(symbols.between(symbols.two_terminal("diode", "iec"), (10, 10), (30, 10)))
    (triangle,) = [points(s) for s in shapes_ if isinstance(s, shapes.Polygon)]
    tip = max(triangle)
    bars = [points(s) for s in shapes_ if isinstance(s, shapes.PolyLine) and len({p[0] for p in points(s)}) == 1]
    assert tip[1] == 10
    assert any(bar[0][0] == tip[0] for bar in bars)


@pytest.mark.parametrize(
    ("kind", "iec", "ieee"),
    [("resistor", 5, 3), ("coil", 3, 0), ("fuse", 5, 0)],
)
def test_house_chooses_the_symbol(kind: str, iec: int, ieee: int) -> None:
    """A box (four sides and the leads) after IEC 60617, a zigzag, loops or a wave after IEEE 315."""

    def boxes(house: str) -> int:
        closed = 0
        for s in drawn(symbols.between(symbols.two_terminal(kind, house), (10, 10), (30, 10))):
            if isinstance(s, shapes.PolyLine) and len(points(s)) >= 5:
                line = points(s)
                right_angles = all(a[0] == b[0] or a[1] == b[1] for a, b in pairwise(line))
                closed += right_angles and len(line) < 8
        return closed

    assert boxes("iec") == 1
    assert boxes("ieee") == 0
    assert iec > ieee


def test_no_symbol_looks_like_a_terminal_a_joint_or_a_jack() -> None:
    kinds = ["coil", "ac coil", "diode", "tvs", "zener", "varistor", "limiter", "motor", "lamp", "sounder", "battery",
             "capacitor", "resistor", "fuse", "unheard of"]  # fmt: skip
    elements = [symbols.between(symbols.two_terminal(k, h), (10, 10), (10, 15)) for k in kinds for h in ("iec", "ieee")]
    elements += [symbols.between(symbols.contact(c, m, h), (10, 10), (10, 15)) for c in (False, True) for h in ("iec", "ieee")
                 for m in ("push", "latching push", "field", "cam", "relay", "reed")]  # fmt: skip
    seen = 0
    for element in elements:
        for shape in drawn(element):
            seen += 1
            if isinstance(shape, shapes.String):
                continue
            assert shape.strokeColor is None or shape.strokeWidth / MM < 0.3
            if isinstance(shape, shapes.Circle):
                assert abs(2 * shape.r / MM - 1.8) > 0.2
                assert abs(2 * shape.r / MM - 1.4) > 0.2 or shape.fillColor is None
            if isinstance(shape, shapes.Rect):
                assert abs(shape.width / MM - 1.8) > 0.2
    assert seen > 100


def test_letters_of_a_symbol_are_not_below_1_8_mm() -> None:
    motor = drawn(symbols.between(symbols.two_terminal("motor", "iec"), (10, 10), (10, 15)))
    texts = [s for s in motor if isinstance(s, shapes.String)]
    assert [t.text for t in texts] == ["M"]
    assert texts[0].fontSize >= font_size(1.8) - 0.01


def test_renderer_breaks_lines_and_draws_curves() -> None:
    canvas = Canvas(100, 100)
    nan = float("nan")
    canvas.plot([0, 10, nan, 20, 30], [0, 0, nan, 5, 5])
    assert [points(s) for s in canvas.drawing.contents] == [[(0, 0), (10, 0)], [(20, 5), (30, 5)]]
    canvas.plot([0, 10, 10, 0], [0, 0, 10, 0], fill="black")
    assert isinstance(canvas.drawing.contents[-1], shapes.Polygon)
    canvas.arc((50, 50), 20, 10, 0, 180, angle=90)
    path = canvas.drawing.contents[-1]
    first, last = path.points[:2], path.points[-2:]
    assert [round(v / MM, 2) for v in first] == [50, 60]
    assert [round(v / MM, 2) for v in last] == [50, 40]
    canvas.bezier([(0, 0), (10, 20), (20, 0)])
    curve = canvas.drawing.contents[-1]
    assert [round(v / MM, 2) for v in curve.points] == [0, 0, 6.67, 13.33, 13.33, 13.33, 20, 0]
    canvas.text("Ω", 10, 10, fontsize=font_size(2.5), halign="center", valign="center")
    assert canvas.drawing.contents[-1].text == "Ω"
    canvas.poly([(0, 0), (1, 0), (1, 1)], closed=False)
    assert isinstance(canvas.drawing.contents[-1], shapes.PolyLine)

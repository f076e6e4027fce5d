"""The SVG file of a sheet."""

from __future__ import annotations

from xml.etree import ElementTree

from reportlab.graphics import shapes

from tests.drafting.sheet.hand import example
from wiregen.drafting.canvas import MM, Canvas
from wiregen.drafting.model import Rect
from wiregen.drafting.sheet import draw_sheets
from wiregen.drafting.svg import svg_of

SVG = "{http://www.w3.org/2000/svg}"


def sheet() -> shapes.Drawing:
    site, wiring, layout = example()
    return draw_sheets(site, site.doors["D104"], wiring, [layout], (), "9f3c21ab")[0]


def test_svg_is_true_to_size_and_has_live_text() -> None:
    drawing = sheet()
    root = ElementTree.fromstring(svg_of(drawing, "D104 <Seed hall> & \"more\""))
    assert root.get("width") == "297mm"
    assert root.get("height") == "210mm"
    assert root.findtext(f"{SVG}title") == "D104 <Seed hall> & \"more\""
    texts = [t.text for t in root.iter(f"{SVG}text")]
    assert texts == [s.text for s in drawing.contents if isinstance(s, shapes.String)]
    assert "Ω" in "".join(t or "" for t in texts)


def test_every_shape_is_where_it_is_on_the_page() -> None:
    canvas = Canvas(100, 50)
    canvas.line([(10, 10), (10, 20.3)], 0.5)
    canvas.rect(Rect(20, 5, 30, 10), fill=(1, 0, 0), radius=2)
    canvas.disc((60, 30), 1.8)
    canvas.write("A & B", (70, 7), 2.5)
    root = ElementTree.fromstring(svg_of(canvas.drawing, "t"))
    line = root.find(f"{SVG}polyline")
    assert line is not None
    points = [tuple(map(float, p.split(","))) for p in str(line.get("points")).split()]
    assert [(round(x / MM, 2), round(y / MM, 2)) for x, y in points] == [(10, 40), (10, 29.7)]
    rect = root.findall(f"{SVG}rect")[1]
    assert [round(float(str(rect.get(k))) / MM, 2) for k in ("x", "y", "width", "height", "rx")] == [20, 35, 30, 10, 2]
    assert rect.get("fill") == "#ff0000"
    circle, text = root.find(f"{SVG}circle"), root.find(f"{SVG}text")
    assert circle is not None
    assert text is not None
    assert round(float(str(circle.get("cy"))) / MM, 2) == 20
    assert round(float(str(text.get("y"))) / MM, 2) == 43
    assert text.text == "A & B"


def test_same_bytes() -> None:
    assert svg_of(sheet(), "t") == svg_of(sheet(), "t")

"""The printed page of a door's sheet, read back from its PDF."""

from __future__ import annotations

import re
from collections import Counter
from dataclasses import replace
from functools import cache
from itertools import combinations
from typing import Any

import pytest
from reportlab.graphics import shapes

from tests.drafting.sheet.hand import example
from tests.drafting.sheet.paper import MM, enters, pages, pdf_of, strokes, words
from wiregen import fonts
from wiregen.drafting.frame import title_rect
from wiregen.drafting.ink import CASED, CONDUCTOR, DOT, NARROW, TERMINAL
from wiregen.drafting.model import Enclosure, Rect, Text
from wiregen.drafting.sheet import draw_sheets
from wiregen.reading.model import House, Where
from wiregen.review.model import Finding

STOP = Finding(code="c", level="stop", message="m", cure="c", where=Where("f", 1, 1), source="s")


def drawn(
    *findings: Finding, house: House | None = None, empty: bool = False, notes: tuple[str, ...] = ()
) -> list[shapes.Drawing]:
    site, wiring, layout = example()
    if house is not None:
        site = replace(site, house=house)
    if empty:
        layout = replace(layout, devices=(), bars=(), routes=(), jackets=(), regions=(), exposed_line=(), texts=())
    door = replace(site.doors["D104"], notes=(*site.doors["D104"].notes, *notes))
    return list(draw_sheets(site, door, wiring, [layout], findings, "9f3c21ab77e0"))


@cache
def page() -> Any:
    return pages(drawn())[0]


def test_letter_heights_are_those_of_iso_3098() -> None:
    """ISO 3098-1: nominal heights 1.8, 2.5, 3.5, 5 ... mm.  The face says how high its capitals are (OS/2, sCapHeight)."""
    heights = Counter(round(c["size"] * fonts.CAP / MM, 2) for c in page().chars)
    assert set(heights) <= {1.8, 2.5, 3.5, 5.0}
    assert min(heights) >= 1.8


def test_wire_numbers_marks_and_colour_letters_are_2_5_mm_high() -> None:
    layout = example()[2]
    printed = {(w["text"], round(w["size"] * fonts.CAP / MM, 2)) for w in words(page())}
    for text in layout.texts:
        for word in text.text.split():
            if re.fullmatch(r"[A-Z0-9]+\d\d[a-z]|[A-Z]{2}(-[A-Z]{2})?|bare", word):
                assert (word, 2.5) in printed
    for device in layout.devices:
        assert (device.ref, 3.5) in printed
        for pin in device.pins:
            assert (pin.mark, 2.5) in printed


def test_title_block_has_the_fields_of_iso_7200() -> None:
    """ISO 7200:2004: eight mandatory fields, and their greatest number of characters where it sets one."""
    site = example()[0]
    block = title_rect(site.house)
    top = page().height - (block.y + block.h) * MM
    part = page().crop((block.x * MM, top, (block.x + block.w) * MM, page().height))
    text = part.extract_words(x_tolerance=2, keep_blank_chars=True)
    by_row = sorted(text, key=lambda w: (round(w["top"]), w["x0"]))
    mandatory = {
        "Legal owner": (None, site.signed["owner"]),
        "Identification number": (16, "FERNHILL-D104-W"),
        "Date of issue": (10, None),
        "Sheet": (4, None),
        "Title": (25, None),
        "Approved by": (20, site.signed["approved"]),
        "Created by": (20, site.signed["drawn"]),
        "Document type": (30, "Wiring sheet"),
    }
    for caption, (most, value) in mandatory.items():
        at = next(w for w in by_row if w["text"].strip() == caption)
        under = next(w for w in by_row if 0 < w["top"] - at["top"] < 18 and abs(w["x0"] - at["x0"]) < 2 and w is not at)
        found = under["text"].strip()
        assert found, caption
        if value is not None:
            assert found == value, caption
        if most is not None:
            assert len(found) <= most, (caption, found)
    assert re.search(r"\b\d{4}-\d{2}-\d{2}\b", " ".join(w["text"] for w in text))  # ISO 8601


def test_only_the_shipped_faces_are_embedded() -> None:
    assert {c["fontname"].partition("+")[2] for c in page().chars} == {fonts.REGULAR, fonts.BOLD}
    data = pdf_of(drawn())
    assert b"Helvetica" not in data
    assert data.count(b"/FontFile2") >= 2


def test_no_text_lies_on_text_and_none_is_struck() -> None:
    found = words(page())
    for a, b in combinations(found, 2):
        wide = min(a["box"][2], b["box"][2]) - max(a["box"][0], b["box"][0])
        high = min(a["box"][3], b["box"][3]) - max(a["box"][1], b["box"][1])
        assert wide <= 0 or high <= 0, (a["text"], b["text"])
    drawn_strokes = strokes(page())
    for word in found:
        struck = [s for s in drawn_strokes if enters(s, word["box"])]
        assert not struck, (word["text"], struck)


def test_ink_says_what_it_is() -> None:
    """Only a terminal is a circle of 1.8 mm, only a joint is a dot of 1.4 mm, only a conductor is 0.5 mm wide."""
    layout = example()[2]
    drawing = drawn()[0]
    circles = Counter((round(2 * s.r / MM, 2), s.fillColor is not None and s.fillColor.rgb() == (0, 0, 0))
                      for s in drawing.contents if isinstance(s, shapes.Circle))  # fmt: skip
    pins = [p for d in layout.devices for p in d.pins]
    assert circles[TERMINAL, False] == sum(not p.jack for p in pins)
    assert circles[DOT, True] == sum(len(b.dots) for b in layout.bars)
    wide = [s for s in drawing.contents if isinstance(s, shapes.PolyLine) and abs(s.strokeWidth / MM - CONDUCTOR) < 0.01]
    solid = [s for s in wide if not s.strokeDashArray]
    assert len(solid) == sum(not r.link for r in layout.routes) + len(layout.bars)
    ends = {(round(p.at[0], 1), round(p.at[1], 1)) for p in pins}
    for shape in drawing.contents:
        if isinstance(shape, shapes.PolyLine) and NARROW + 0.01 < shape.strokeWidth / MM < CASED - 0.01 and shape not in wide:
            line = [(round(x / MM, 1), round(y / MM, 1)) for x, y in zip(shape.points[::2], shape.points[1::2], strict=True)]
            assert not {line[0], line[-1]} & ends


def test_light_conductors_are_drawn_before_dark_ones() -> None:
    """So that no dark line seems to have a gap where a light one crosses it."""
    lines = [s for s in drawn()[0].contents if isinstance(s, shapes.PolyLine) and not s.strokeDashArray]
    wide = [s for s in lines if s.strokeWidth / MM > 0.45]
    cased = [n for n, s in enumerate(wide) if abs(s.strokeWidth / MM - CASED) < 0.01]
    red = next(n for n, s in enumerate(wide) if s.strokeColor.red > 0.7 and s.strokeColor.green < 0.2)
    assert cased
    assert max(cased) < red


def test_a_stop_blackens_the_head_of_the_page_and_takes_the_sign_off() -> None:
    text = [p.extract_text() for p in pages(drawn(STOP, STOP))]
    assert all("NOT FOR INSTALLATION – 2 findings stop this door" in t for t in text)
    assert all("I. Rowan" not in t for t in text)
    assert all("Not for installation" in t for t in text)
    calm = [p.extract_text() for p in pages(drawn(replace(STOP, level="warn")))]
    assert all("NOT FOR INSTALLATION" not in t and "I. Rowan" in t for t in calm)
    assert "1 finding stops this door" in pages(drawn(STOP))[0].extract_text()


def test_notes_that_do_not_fit_go_on_on_a_sheet_of_notes() -> None:
    extra = tuple(f"Remark-{n} says something that takes room on paper and runs over the end of the line." for n in range(60))
    sheets = drawn(notes=extra)
    assert len(sheets) > 1
    text = [" ".join(p.extract_text().split()) for p in pages(sheets)]
    assert "Wiring notes" in text[-1]
    assert "Notes, continued" in text[-1]
    lines = [s.text for sheet in sheets for s in sheet.contents if isinstance(s, shapes.String)]
    printed = [int(m[1]) for m in (re.match(r"Remark-(\d+)", line) for line in lines) if m]
    assert sorted(printed) == list(range(60))
    assert len(drawn()) == 1


def test_letter_size_with_ieee_symbols() -> None:
    house = House(units="imperial", paper="letter", letters="ieee", symbols="ieee")
    sheets = pages(drawn(house=house, empty=True))
    assert (sheets[0].width, sheets[0].height) == pytest.approx((11 * 72, 8.5 * 72), abs=0.01)
    frame = max(sheets[0].rects, key=lambda r: r["width"] * r["height"])
    assert (frame["x0"] / MM, frame["top"] / MM) == pytest.approx((20, 10), abs=0.01)


def test_typed_code_names_door_revision_and_hash() -> None:
    assert "D104 B 9F3C21AB" in page().extract_text()


def test_same_bytes() -> None:
    assert pdf_of(drawn()) == pdf_of(drawn())


def test_a_name_on_the_outline_of_a_junction_box_is_kept_clear() -> None:
    """The outline is broken behind it, as leader lines and hatching are behind dimensions (ISO 128)."""
    site, wiring, layout = example()
    outline = Rect(58, 134, 6, 18)
    name = Text("s1", (56.8, 139.5), 1.8)
    layout = replace(layout, enclosures=(Enclosure("X1", outline),), texts=(*layout.texts, name))
    shapes_ = draw_sheets(site, site.doors["D104"], wiring, [layout], (), "9f3c21ab")[0].contents
    rects = [(n, s) for n, s in enumerate(shapes_) if isinstance(s, shapes.Rect)]
    box = next(n for n, s in rects if abs(s.x / MM - outline.x) < 0.01 and abs(s.width / MM - outline.w) < 0.01)
    plate = next(n for n, s in rects if abs(s.x / MM - 56.45) < 0.01)
    text = next(n for n, s in enumerate(shapes_) if isinstance(s, shapes.String) and s.text == "s1")
    lines = [(n, s) for n, s in enumerate(shapes_) if isinstance(s, shapes.PolyLine)]
    first_line = next(n for n, s in lines if abs(s.strokeWidth / MM - 0.5) < 0.01)
    assert box < plate < first_line < text

"""A door's printed pages, read back, against its wiring."""

from __future__ import annotations

from dataclasses import replace
from itertools import pairwise
from typing import Any

import pytest

from tests.packet.by_hand import DOOR, PIECES
from tests.packet.pages import MM, pdf_of_door, table_rows, texts
from tests.proof.reader import read_pages
from wiregen.reading.model import Site, Where
from wiregen.review.model import Finding
from wiregen.study.model import Study
from wiregen.wiring.model import Wiring

TITLES = ("Wire", "From", "landed", "To", "landed", "Colour", "Cable", "Size", "Function", "Expected")
STOP = Finding(
    code="X1", level="stop", message="a stop <made> & \"named\" for the test", cure="nothing", source="common practice",
    where=Where("doors/D101.yaml", 3, 1), door=DOOR,
)  # fmt: skip


@pytest.fixture(scope="module")
def landed(door_pages: list[Any], door_texts: list[str]) -> list[dict[str, str]]:
    """The rows of the termination sheet that carry a conductor."""
    pages = [page for page, text in zip(door_pages, door_texts, strict=True) if "Termination sheet" in text]
    return [row for page in pages for row in table_rows(page, TITLES) if row["Colour"]]


def test_every_conductor_stands_on_the_termination_sheet_once(landed: list[dict[str, str]]) -> None:
    wanted = sorted(tuple(line.split()[:4]) for line in PIECES.strip().splitlines())
    wires = {w for w, *_ in wanted}
    printed = [row for row in landed if row["Wire"] in wires]
    found = sorted((r["Wire"], r["From"].split()[0], r["To"].split()[0], r["Colour"]) for r in printed)
    assert found == wanted


def test_a_lead_stands_beside_its_terminal(landed: list[dict[str, str]]) -> None:
    row = next(r for r in landed if r["Wire"] == "A101a")
    assert row["From"] == "A1:1 lead RD-BK"
    assert row["To"] == "X1:s1 in box"
    assert (row["Cable"], row["Size"]) == ("W1", "0.22 mm²")


def test_places_come_in_the_order_of_work(door_texts: list[str]) -> None:
    text = "\n".join(door_texts)
    places = [text.index(f"\nAt {place}\n") for place in ("box", "frame", "inside", "outside")]
    assert places == sorted(places)


def test_each_end_has_boxes_for_landed_and_tugged(door_pages: list[Any], door_texts: list[str]) -> None:
    page = next(page for page, text in zip(door_pages, door_texts, strict=True) if "At box" in text)
    rows = [r for r in table_rows(page, TITLES) if r["Colour"]]
    boxes = [r for r in page.rects if abs(r["width"] - 3.6 * MM) < 0.1 and abs(r["height"] - 3.6 * MM) < 0.1]
    assert len(boxes) == 4 * len(rows)


def test_rows_filled_in_by_hand_leave_room_for_a_pencil(door_pages: list[Any], door_texts: list[str]) -> None:
    page = next(page for page, text in zip(door_pages, door_texts, strict=True) if "Lock power on, last" in text)
    edges = sorted({round(line["top"], 1) for line in page.lines if line["x0"] > 250 * MM and line["width"] < 30 * MM})
    steps = [b - a for a, b in pairwise(edges)]
    assert steps
    assert all(step >= 6 * MM for step in steps if step > 2)


def test_the_lock_is_powered_last(door_texts: list[str]) -> None:
    text = "\n".join(door_texts)
    order = [text.index(f"\n{stage}") for stage in ("1 Supply off", "2 Supply on", "3 Lock power on, last", "4 What the door")]
    assert order == sorted(order)


def test_expected_readings_stand_in_the_test_record(door_texts: list[str]) -> None:
    """40 ohm ±5 % and about 0.9 ohm of wire and contact at 12 V ±5 %: 264 to 325 mA, 11.1 to 12.4 V (worked by hand)."""
    text = "\n".join(door_texts)
    assert "264 to 325 mA" in text
    assert "11.1 to 12.4 V" in text
    assert "class 3" in text


def test_names_with_markup_print_as_they_are(site: Site, wiring: Wiring, study: Study) -> None:
    name = "<b>Lab</b> & \"store\" 'x' &amp; <para>"
    door = replace(site.doors[DOOR], name=name)
    pages = texts(pdf_of_door(site, door, wiring, study, (STOP,)))
    assert name in pages[0]
    assert 'a stop <made> & "named" for the test' in " ".join(pages[0].split())


def test_no_text_leaves_the_page_however_long(site: Site, wiring: Wiring, study: Study) -> None:
    long = "W" * 180
    door = replace(site.doors[DOOR], name=long, notes=(long, "many words " * 60))
    worded = replace(wiring, conductors=tuple(replace(c, function=long) for c in wiring.conductors))
    for page in read_pages(pdf_of_door(site, door, worded, study, (STOP,))):
        assert all(t.box.x0 > 5 and t.box.x1 < page.width - 5 for t in page.texts)
        assert all(t.box.y0 > 5 and t.box.y1 < page.height - 5 for t in page.texts)


def test_a_stopped_door_says_so_on_every_page_and_has_nothing_to_sign(site: Site, wiring: Wiring, study: Study) -> None:
    pdf = pdf_of_door(site, site.doors[DOOR], wiring, study, (STOP, replace(STOP, code="X2")))
    pages = texts(pdf)
    assert all(page.startswith("NOT FOR INSTALLATION – 2 findings stop this door") for page in pages)
    assert "Signature" not in "\n".join(pages)
    shapes = [shape for page in read_pages(pdf) for shape in page.shapes]
    assert shapes
    assert [shape for shape in shapes if shape.kind == "rect" and abs(shape.box.w - 3.6) < 0.04] == []


def test_a_finding_of_the_site_marks_the_door_that_it_names(site: Site, wiring: Wiring, study: Study) -> None:
    of_site = replace(STOP, door=None, doors=(DOOR,))
    elsewhere = replace(STOP, door="D104")
    pages = texts(pdf_of_door(site, site.doors[DOOR], wiring, study, (of_site, elsewhere)))
    assert pages[0].startswith("NOT FOR INSTALLATION – 1 finding stops this door")


def test_letters_are_high_enough_to_read(door_pages: list[Any]) -> None:
    """Capitals of 1.8 mm at the least (ISO 3098-1: nominal heights from 1.8 mm); the font's are 0.66 of its size."""
    sizes = {c["size"] for page in door_pages for c in page.chars}
    assert min(sizes) * 0.66 / MM >= 1.8


def test_fonts_are_our_own_and_embedded(door_pdf: bytes, door_pages: list[Any]) -> None:
    fonts = {c["fontname"] for page in door_pages for c in page.chars}
    assert {name.split("+")[1] for name in fonts} == {"SourceSansPro-Regular", "SourceSansPro-Bold"}
    assert b"Helvetica" not in door_pdf
    assert door_pdf.count(b"/FontFile2") >= 2


def test_the_data_sheet_says_which_side_is_secured(door_texts: list[str]) -> None:
    assert "Secured side only all places but: outside" in door_texts[0]

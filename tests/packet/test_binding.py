"""The bound packet: index, links, bookmarks, page numbers, metadata, and the same bytes anywhere."""

from __future__ import annotations

from pathlib import Path
from typing import Any

from pdfminer.pdftypes import resolve1

from tests.packet.by_hand import DOOR
from tests.packet.pages import opened

REPO = Path(__file__).parents[2]


def _page_numbers(document: Any) -> dict[int, int]:
    return {page.page_obj.pageid: page.page_number for page in document.pages}


def test_links_of_the_index_lead_to_the_page_that_they_name(packet_pdf: bytes, packet_texts: list[str]) -> None:
    heads = [text.splitlines()[0] for text in packet_texts]
    with opened(packet_pdf) as document:
        index = next(p for p, head in zip(document.pages, heads, strict=True) if head.endswith("Index"))
        numbers = _page_numbers(document)
        named = 0
        for annotation in index.annots:
            goes = numbers[resolve1(annotation["data"]["Dest"])[0].objid]
            box = (annotation["x0"], annotation["top"] - 1, annotation["x1"], annotation["bottom"] + 1)
            text = index.crop(box).extract_text().strip()
            title = heads[goes - 1]
            if text.isdigit():
                assert int(text) == goes
                named += 1
            else:
                assert text in title
        assert named >= 4 + 6  # data, termination, power, test of the door; the site's sheets


def test_bookmarks_name_doors_and_their_sheets(packet_pdf: bytes) -> None:
    with opened(packet_pdf) as document:
        outlines = [(level, title) for level, title, *_ in document.doc.get_outlines()]
    assert (1, "D101 Laboratory 1") in outlines
    at = outlines.index((1, "D101 Laboratory 1"))
    titles = ("Data sheet", "Termination sheet", "Power sheet", "Egress and release chain", "Test record")
    assert outlines[at + 1 : at + 6] == [(2, title) for title in titles]
    assert {title for level, title in outlines if level == 1} >= {"Index", "Materials", "Egress and fire release", "Sign-off"}


def test_each_page_says_which_of_how_many_it_is(packet_texts: list[str]) -> None:
    for number, page in enumerate(packet_texts, 1):
        assert page.rstrip().endswith(f"page {number} of {len(packet_texts)}")


def test_each_footer_has_revision_and_content_code(packet_texts: list[str]) -> None:
    for page in packet_texts:
        wanted = "revision B of 2026-11-20" if page.startswith(DOOR) else "revision A of 2026-11-02"
        assert wanted in page.splitlines()[-1]
    codes = {p.splitlines()[-1].split(" page ")[0].split()[-1] for p in packet_texts if p.startswith(DOOR)}
    assert len(codes) == 1
    assert len(codes.pop()) == 8


def test_metadata_comes_from_the_specs(packet_pdf: bytes) -> None:
    with opened(packet_pdf) as document:
        told = document.metadata
    assert told["Title"] == "Plough Yard: door wiring packet"
    assert told["Author"] == "M. Alder"
    assert told["Subject"].startswith("1 door, ")
    assert told["CreationDate"].startswith("D:20000101")  # no clock


def test_paper_is_the_house_s(packet_pdf: bytes) -> None:
    """ISO 216: A4 is 210 by 297 mm."""
    with opened(packet_pdf) as document:
        sizes = {(round(p.width / 72 * 25.4), round(p.height / 72 * 25.4)) for p in document.pages}
    assert sizes == {(297, 210)}


def test_streams_are_not_packed(packet_pdf: bytes) -> None:
    """Packed bytes would depend on the zlib that packed them."""
    assert b"FlateDecode" not in packet_pdf

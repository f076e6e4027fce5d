"""Reads printed pages back: words on lines, and tables by their column titles and rules."""

from __future__ import annotations

import io
from collections.abc import Iterator, Mapping, Sequence
from itertools import pairwise
from typing import Any

import pdfplumber

from tests.proof.page import Page, Text
from tests.proof.reader import read_pages
from wiregen.packet.bind import bind_door, door_hash, door_hashes, door_pages
from wiregen.packet.bind import opened as keys_opened
from wiregen.packet.book import bind_book, packet_outline, paged, site_sections
from wiregen.packet.egress import Rows, locks
from wiregen.reading.model import Door, Site
from wiregen.reading.shared import SITE, wired
from wiregen.review.model import Finding
from wiregen.study.model import Study
from wiregen.wiring.model import Wiring

MM = 72 / 25.4
ONE_LINE = 0.8  # mm between the base lines of words that one reads as one line


def opened(pdf: bytes) -> Any:
    return pdfplumber.open(io.BytesIO(pdf))


def texts(pdf: bytes) -> list[str]:
    """The text of each page, line by line."""
    return ["\n".join(_lines(page)) for page in read_pages(pdf, words_alone=True)]


def packet(
    site: Site, wirings: Mapping[str, Wiring], studies: Mapping[str, Study], findings: Sequence[Finding] = ()
) -> bytes:
    """What is wired bound as a packet, without wiring sheets."""
    digests, shared = door_hashes(site, wirings, studies, findings, wirings), wirings.get(SITE)
    pages = {
        of: door_pages(site, wired(site)[of], wiring, studies[of], findings, (), digests[of], shared)
        for of, wiring in wirings.items()
    }
    sheets = site_sections(site, wirings, studies, findings, locks_of(site, wirings))
    keys = {key for of in pages.values() for key in keys_opened(of)}
    return bind_book(paged(packet_outline(site, wirings, findings, sheets, digests, keys), pages))


def locks_of(site: Site, wirings: Mapping[str, Wiring]) -> dict[str, Rows]:
    """By door its rows of the egress list."""
    return {of: tuple(locks(site, wiring, wirings.get(SITE))) for of, wiring in wirings.items() if of != SITE}


def pdf_of_door(
    site: Site, door: Door, wiring: Wiring, study: Study, findings: Sequence[Finding] = (), shared: Wiring | None = None
) -> bytes:
    """The pages of one door, without wiring sheets."""
    digest = door_hash(site, door, wiring, study, findings, shared)
    return bind_door(site, door, door_pages(site, door, wiring, study, findings, (), digest, shared), digest)


def _lines(page: Page) -> Iterator[str]:
    """What stands on about one base line, from left to right."""
    line: list[Text] = []
    for text in sorted(page.texts, key=lambda t: -t.base):
        if line and line[0].base - text.base > ONE_LINE:
            yield " ".join(t.text for t in sorted(line, key=lambda t: t.box.x0))
            line = []
        line.append(text)
    if line:
        yield " ".join(t.text for t in sorted(line, key=lambda t: t.box.x0))


def _levels(page: Any) -> list[float]:
    """Heights of the level rules, top down (boxes to tick are rectangles, not rules)."""
    return sorted({round(line["top"], 1) for line in page.lines if abs(line["top"] - line["bottom"]) < 0.1})


def table_rows(page: Any, titles: Sequence[str]) -> Iterator[dict[str, str]]:
    """Rows below the line of these column titles: title → text.  A title with a blank stands on two lines.

    A row reaches from one rule to the next; a column from the left end of its title to the next one's.
    """
    words = page.extract_words(keep_blank_chars=False, x_tolerance=1.5)
    first = [title.split()[0] for title in titles]
    heads = [w for w in words if w["text"] == first[0]]
    for head in heads:
        level = [w for w in words if abs(w["top"] - head["top"]) < 8]
        found: list[float] = []
        for title in first:
            at = next((w["x0"] for w in level if w["text"] == title and (not found or w["x0"] > found[-1] + 1)), None)
            if at is None:
                break
            found.append(at)
        if len(found) < len(titles):
            continue
        starts = [x - 1 for x in found]
        ends = [*starts[1:], page.width]
        rules = [y for y in _levels(page) if y > head["top"] + 6]
        for top, bottom in pairwise(rules):
            inside = [w for w in words if top < (w["top"] + w["bottom"]) / 2 < bottom]
            cells = [" ".join(w["text"] for w in inside if a <= w["x0"] < b) for a, b in zip(starts, ends, strict=True)]
            if any(cells):
                yield dict(zip(titles, cells, strict=True))
        return

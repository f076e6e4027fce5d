"""Which sections in which order: the pages of a door, those of what doors share, and the content hashes on them.

`door_hash` comes first: it is printed on the wiring sheets, which are then handed in as drawings.
"""

from __future__ import annotations

from collections.abc import Collection, Mapping, Sequence
from dataclasses import replace

from reportlab.graphics.shapes import Drawing

from wiregen.drafting.svg import svg_of
from wiregen.keeping.canon import content_hash
from wiregen.packet.commissioning import test_record
from wiregen.packet.content import Block, Chains, Section, Table, Tick, Write
from wiregen.packet.datasheet import data_sheet
from wiregen.packet.doing import what_it_does
from wiregen.packet.fault_guide import fault_guide
from wiregen.packet.marking import code, findings_of, running, stops_of
from wiregen.packet.page import Page
from wiregen.packet.power import power_sheet
from wiregen.packet.press import press
from wiregen.packet.redline import redline_form
from wiregen.packet.release_page import release_page
from wiregen.packet.retest_sheet import retest_sheet
from wiregen.packet.termination import termination_sheet
from wiregen.packet.typeset import Part, typeset
from wiregen.reading.model import Door, Site
from wiregen.reading.shared import SITE, wired
from wiregen.review.model import Finding
from wiregen.study.model import Study
from wiregen.wiring.model import Wiring

AROUND, WIRING = "Head and foot", "Wiring sheet"  # what every page of a door has; the drawings


def bind_door(site: Site, door: Door, pages: Sequence[Page], digest: str) -> bytes:
    """The pages of one door as PDF."""
    return press(
        pages,
        site.house.paper,
        title=f"{door.id} {door.name}",
        author=site.signed.get("drawn", ""),
        subject=f"{site.name}, {code(site, door, digest)}",
    )


def door_hashes(
    site: Site,
    wirings: Mapping[str, Wiring],
    studies: Mapping[str, Study],
    findings: Sequence[Finding],
    doors: Collection[str],
) -> dict[str, str]:
    """`door_hash` of each of `doors`, among them, under `SITE`, what they share."""
    shared, known = wirings.get(SITE), wired(site).items()
    return {of: door_hash(site, door, wirings[of], studies[of], findings, shared) for of, door in known if of in doors}


def door_hash(
    site: Site,
    door: Door,
    wiring: Wiring,
    study: Study,
    findings: Sequence[Finding],
    shared: Wiring | None = None,
    sheets: Sequence[Drawing] = (),
) -> str:
    """SHA-256, in hexadecimal, over all that the door's pages print; not page numbers, nor where a finding stands in a file.

    `sheets` are its wiring sheets, drawn without a hash.
    """
    return content_hash(section_hashes(site, door, wiring, study, findings, shared, sheets))


def section_hashes(
    site: Site,
    door: Door,
    wiring: Wiring,
    study: Study,
    findings: Sequence[Finding],
    shared: Wiring | None = None,
    sheets: Sequence[Drawing] = (),
) -> dict[str, str]:
    """What `door_hash` is made of: by title the hash of each section; what stands around all of them under `AROUND`."""
    before, after = _door_sections(site, door, wiring, study, findings, shared)
    around = [site.house.paper, running(site, door, "", "")]
    drawn = [svg_of(sheet, "") for sheet in sheets]
    named = [(AROUND, around), *((s.title, s) for s in before), (WIRING, drawn), *((s.title, s) for s in after)]
    return {title: content_hash(what) for title, what in named}


def _door_sections(
    site: Site, door: Door, wiring: Wiring, study: Study, findings: Sequence[Finding], shared: Wiring | None
) -> tuple[tuple[Section, ...], tuple[Section, ...]]:
    """What stands before the wiring sheets and after them: data sheet; termination and power sheet, what the door does, its
    release, test record, fault guide, retest sheet, redline form.

    What is shared is told by the list of shared devices, and tested at the doors: it has neither data sheet nor record.  On
    a stopped door nothing can be ticked or signed.  A redacted set does not tell what frees a door, nor how it is tested.
    """
    own = findings_of(findings, door.id)
    stops = stops_of(own)
    before: tuple[Section, ...] = ()
    after: tuple[Section, ...] = (termination_sheet(site, door, wiring, study), power_sheet(site, door, study))
    if door.id != SITE:
        before = (data_sheet(site, door, wiring, own, study),)
    if door.id != SITE and not site.redacted:
        told = (what_it_does(site, door, wiring, study), release_page(site, door, wiring, shared))
        form = None if stops else redline_form(site, door, wiring)
        kept = (fault_guide(door, study), retest_sheet(door, wiring, study, stops), form)
        after = (*after, *filter(None, told), test_record(site, door, wiring, study, stops), *filter(None, kept))
    return (_unsignable(before), _unsignable(after)) if stops else (before, after)


def _unsignable(sections: tuple[Section, ...]) -> tuple[Section, ...]:
    return tuple(replace(s, blocks=tuple(map(_unsigned, s.blocks))) for s in sections)


def _unsigned(block: Block) -> Block:
    """The block without anything to tick or to write in."""
    if isinstance(block, Chains):
        return replace(block, signed=False)
    if not isinstance(block, Table):
        return block
    rows = tuple(tuple("" if isinstance(cell, (Tick, Write)) else cell for cell in row) for row in block.rows)
    return replace(block, rows=rows, by_hand=False)


def door_pages(
    site: Site,
    door: Door,
    wiring: Wiring,
    study: Study,
    findings: Sequence[Finding],
    sheets: Sequence[Drawing],
    digest: str,
    shared: Wiring | None = None,
) -> tuple[Page, ...]:
    """The pages of one door; `shared` is the wiring among shared devices, `sheets` are its wiring sheets."""
    stops = stops_of(findings_of(findings, door.id))
    before, after = _door_sections(site, door, wiring, study, findings, shared)
    parts = [
        Part(s, running(site, door, s.title, digest, stops), ((f"{door.id} {door.name}", 0), (s.title, 1))) for s in before
    ]
    for number, drawing in enumerate(sheets, 1):
        section = Section(key=f"{door.id}-wiring" + (f"-{number}" if number > 1 else ""), title=WIRING)
        bookmarks = ((section.title, 1),) if number == 1 else ()
        parts.append(Part(section, running(site, door, section.title, digest, stops), bookmarks, drawing))
    parts += [Part(s, running(site, door, s.title, digest, stops), ((s.title, 1),)) for s in after]
    return typeset(parts, site.house.paper)


def opened(pages: Sequence[Page]) -> tuple[str, ...]:
    """The keys of all sections that begin on these pages."""
    return tuple(opens.key for page in pages for opens in page.opens)

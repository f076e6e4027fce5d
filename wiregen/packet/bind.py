"""Which sections in which order: a door's pages, those of what doors share, the site's, and the content hashes on them.

`door_hash` comes first: it is printed on the wiring sheets, which are then handed in as drawings.
"""

from __future__ import annotations

from collections.abc import Callable, Collection, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace

from reportlab.graphics.shapes import Drawing

from wiregen.drafting.svg import svg_of
from wiregen.keeping.canon import content_hash
from wiregen.packet.commissioning import test_record
from wiregen.packet.content import Block, Chains, Section, Table, Tick, Write
from wiregen.packet.datasheet import data_sheet
from wiregen.packet.doing import what_it_does
from wiregen.packet.duties import responsibilities
from wiregen.packet.egress import Rows, egress_list
from wiregen.packet.fault_guide import fault_guide
from wiregen.packet.front import all_findings, cover, history, index, shared_devices, sign_off, volume_index
from wiregen.packet.loads import load_sheets
from wiregen.packet.marking import code, findings_of, running, stops_of
from wiregen.packet.materials import materials_list
from wiregen.packet.one_line import one_line
from wiregen.packet.page import Page
from wiregen.packet.power import power_sheet
from wiregen.packet.press import press
from wiregen.packet.redline import redline_form
from wiregen.packet.release_page import release_page
from wiregen.packet.retest_sheet import retest_sheet
from wiregen.packet.schedule import cable_schedule
from wiregen.packet.settings_list import settings_list
from wiregen.packet.termination import termination_sheet
from wiregen.packet.typeset import Part, typeset
from wiregen.packet.wording import plural
from wiregen.reading.model import Door, Site
from wiregen.reading.revisions import revisions_of
from wiregen.reading.shared import SITE, wired
from wiregen.review.model import Finding
from wiregen.study.model import Study
from wiregen.wiring.model import Wiring

AROUND, WIRING = "Head and foot", "Wiring sheet"  # what every page of a door has; the drawings


@dataclass(frozen=True)
class Bound:
    """A section as it is bound: of a door or, under `SITE`, of what doors share; `of` is empty for the site's own sheets.

    `hash` is the content hash that stands on its pages.
    """

    key: str
    of: str
    title: str
    pages: int
    hash: str


@dataclass(frozen=True)
class Book:
    """The pages of a packet in order, the sections that begin on them, and what the file says of itself."""

    pages: tuple[Page, ...]
    sections: tuple[Bound, ...]
    title: str
    author: str
    subject: str


Setter = Callable[[Part, str], tuple[Page, ...]]  # sets one part on paper of that name


def set_part(part: Part, paper: str) -> tuple[Page, ...]:
    """The pages of one part."""
    return typeset([part], paper)


def bind_book(site: Site, book: Book) -> bytes:
    """The whole of a packet, or of a volume, as PDF."""
    return press(book.pages, site.house.paper, title=book.title, author=book.author, subject=book.subject)


Sheets = tuple[tuple[Section, ...], tuple[Section, ...]]  # of a site: what stands before its doors, and what behind


def packet_book(
    site: Site,
    wirings: Mapping[str, Wiring],
    findings: Sequence[Finding],
    sheets: Sheets,
    pages: Mapping[str, Sequence[Page]],
    digests: Mapping[str, str],
    setter: Setter = set_part,
) -> Book:
    """The whole packet, by door and, under `SITE`, for what they share.

    `sheets` are what `site_sections` gives, `pages` what `door_pages` gives, `digests` what `door_hashes` gives.
    """
    before, behind = sheets
    first = cover(site, wirings, findings)
    opened = _opened(pages) | {section.key for section in before}
    contents = index(site, wirings, findings, digests, opened, (*before, *behind))
    digest = content_hash(site.name, digests, first, before, behind)
    doors = len(digests.keys() & site.doors.keys())
    return _book(site, _Gathered((first, contents), before, pages, digests, behind, digest, doors), setter)


def site_book(
    site: Site,
    wirings: Mapping[str, Wiring],
    findings: Sequence[Finding],
    sheets: Sheets,
    pages: Mapping[str, Sequence[Page]],
    digests: Mapping[str, str],
    volumes: Mapping[str, int],
    setter: Setter = set_part,
) -> Book:
    """The sheets of a site whose doors are bound in `volumes` of their own, and the pages of what they share."""
    before, behind = sheets
    first = cover(site, wirings, findings, f"of the site; its doors are in {plural(len(set(volumes.values())), 'volume')}")
    contents = volume_index(site, findings, volumes, (*before, *behind))
    digest = content_hash(site.name, first, contents, before, behind)
    return _book(site, _Gathered((first, contents), before, pages, digests, behind, digest, len(volumes)), setter)


def volume_book(
    site: Site,
    wirings: Mapping[str, Wiring],
    findings: Sequence[Finding],
    locks: Mapping[str, Rows],
    pages: Mapping[str, Sequence[Page]],
    digests: Mapping[str, str],
    volume: str,
    setter: Setter = set_part,
) -> Book:
    """The doors of one volume, with those sheets of the site that tell of doors one by one."""
    doors = {door: wirings[door] for door in pages}
    of_doors = {door: rows for door, rows in locks.items() if door in doors}
    behind = (cable_schedule(site, doors), egress_list(site, of_doors), sign_off(site, doors, findings))
    first = cover(site, doors, findings, volume)
    contents = index(site, doors, findings, digests, _opened(pages), behind)
    digest = content_hash(site.name, digests, first, behind)
    return _book(site, _Gathered((first, contents), (), pages, digests, behind, digest, len(doors)), setter)


@dataclass(frozen=True)
class _Gathered:
    """What is bound: cover and index, sheets of the site, the doors, sheets of the site behind them; the hash of it all."""

    first: tuple[Section, ...]
    before: tuple[Section, ...]
    pages: Mapping[str, Sequence[Page]]
    digests: Mapping[str, str]
    behind: tuple[Section, ...]
    digest: str
    doors: int


def _book(site: Site, gathered: _Gathered, setter: Setter) -> Book:
    own = {section.title: site_hash(site, section) for section in (*gathered.before, *gathered.behind)}
    own |= {section.title: gathered.digest for section in gathered.first}

    def of_site(sections: Sequence[Section]) -> Iterator[tuple[str, str, Sequence[Page]]]:
        for section in sections:
            digest = own[section.title]
            part = Part(section, running(site, None, section.title, digest), ((section.title, 0),))
            yield "", digest, setter(part, site.house.paper)

    units = [
        *of_site((*gathered.first, *gathered.before)),
        *((of, gathered.digests[of], gathered.pages[of]) for of in (SITE, *site.doors) if of in gathered.pages),
        *of_site(gathered.behind),
    ]
    return Book(
        tuple(page for *_, these in units for page in these),
        tuple(bound for of, unit, these in units for bound in _bound(of, unit, these)),
        title=f"{site.name}: door wiring packet",
        author=site.signed.get("drawn", ""),
        subject=f"{plural(gathered.doors, 'door')}, {code(site, None, gathered.digest)}",
    )


def _opened(pages: Mapping[str, Sequence[Page]]) -> set[str]:
    """The keys of all sections that begin on these pages."""
    return {opens.key for of in pages.values() for page in of for opens in page.opens}


def _bound(of: str, digest: str, pages: Sequence[Page]) -> Iterator[Bound]:
    starts = [(n, opens) for n, page in enumerate(pages) for opens in page.opens]
    for (start, opens), end in zip(starts, [*(n for n, _ in starts[1:]), len(pages)], strict=True):
        yield Bound(opens.key, of, opens.bookmarks[-1][0] if opens.bookmarks else WIRING, end - start, digest)


def site_sections(
    site: Site,
    wirings: Mapping[str, Wiring],
    studies: Mapping[str, Study],
    findings: Sequence[Finding],
    locks: Mapping[str, Rows],
) -> Sheets:
    """The site's sheets that stand before the doors, after cover and index, and those that stand behind them.

    `locks` are by door what `egress.locks` gives.
    """
    before = (
        all_findings(site, wirings, findings),
        history(site, wirings),
        one_line(site, wirings, studies),
        shared_devices(site, wirings),
    )
    behind = (
        load_sheets(site, wirings, studies),
        cable_schedule(site, wirings),
        materials_list(site, wirings),
        *(() if site.redacted else (responsibilities(site, wirings), settings_list(site, wirings, studies))),
        egress_list(site, locks),
        sign_off(site, wirings, findings),
    )
    return before, behind


def site_hash(site: Site, section: Section) -> str:
    """The content hash of a sheet of the site; cover and index carry that of the whole packet."""
    return content_hash(revisions_of(site, None, section.title), site_content(site, section))


def site_content(site: Site, section: Section) -> str:
    """The same without the revision on it."""
    return content_hash([site.name, site.house], section)


def site_sheets(
    site: Site, wirings: Mapping[str, Wiring], findings: Sequence[Finding], sheets: Sheets
) -> tuple[Section, ...]:
    """The site's own sheets (`site_sections`) with the cover, but for the index, which follows from the rest."""
    before, behind = sheets
    return (cover(site, wirings, findings), *before, *behind)


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

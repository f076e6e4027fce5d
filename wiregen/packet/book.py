"""Books: which sheets in which order, and the packet, a volume or the site's own book bound of them.

A book is outlined first, from sections and content hashes alone, and set only then: what was bound of the same outline and
the same pages need not be set again.
"""

from __future__ import annotations

from collections.abc import Callable, Collection, Iterator, Mapping, Sequence
from dataclasses import dataclass

from wiregen.keeping.canon import content_hash
from wiregen.packet.bind import WIRING
from wiregen.packet.content import Section
from wiregen.packet.duties import responsibilities
from wiregen.packet.egress import Rows, egress_list
from wiregen.packet.front import all_findings, cover, history, index, shared_devices, sign_off, volume_index
from wiregen.packet.loads import load_sheets
from wiregen.packet.marking import code, running
from wiregen.packet.materials import materials_list
from wiregen.packet.one_line import one_line
from wiregen.packet.page import Page
from wiregen.packet.press import press
from wiregen.packet.schedule import cable_schedule, cable_totals
from wiregen.packet.settings_list import device_settings, settings_list
from wiregen.packet.typeset import Part, typeset
from wiregen.packet.wording import plural
from wiregen.reading.model import Site
from wiregen.reading.revisions import revisions_of
from wiregen.reading.shared import SITE, wired
from wiregen.review.model import Finding
from wiregen.study.model import Study
from wiregen.wiring.model import Wiring


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
class Entry:
    """What goes into a book as a whole: a sheet of the site as the `part` to be set, or the pages of a door, or of what doors
    share, under its name in `of`.

    `hash` is the content hash that stands on its pages.
    """

    of: str
    hash: str
    part: Part | None = None


@dataclass(frozen=True)
class Outline:
    """A book before its pages are there: what it holds in order, and what the file says of itself."""

    entries: tuple[Entry, ...]
    paper: str
    title: str
    author: str
    subject: str


@dataclass(frozen=True)
class Book:
    """The pages of a packet in order, the sections that begin on them, and what the file says of itself."""

    pages: tuple[Page, ...]
    sections: tuple[Bound, ...]
    outline: Outline


Setter = Callable[[Part, str], tuple[Page, ...]]  # sets one part on paper of that name


def set_part(part: Part, paper: str) -> tuple[Page, ...]:
    """The pages of one part."""
    return typeset([part], paper)


def bind_book(book: Book) -> bytes:
    """The whole of a packet, or of a volume, as PDF."""
    of = book.outline
    return press(book.pages, of.paper, title=of.title, author=of.author, subject=of.subject)


def paged(outline: Outline, pages: Mapping[str, Sequence[Page]], setter: Setter = set_part) -> Book:
    """The book with its pages: `pages` are what `door_pages` gives, by door and, under `SITE`, for what they share."""
    bound = [(entry, setter(entry.part, outline.paper) if entry.part else pages[entry.of]) for entry in outline.entries]
    return Book(
        tuple(page for _, these in bound for page in these),
        tuple(section for entry, these in bound for section in _bound(entry, these)),
        outline,
    )


Sheets = tuple[tuple[Section, ...], tuple[Section, ...]]  # of a site: what stands before its doors, and what behind


def packet_outline(
    site: Site,
    wirings: Mapping[str, Wiring],
    findings: Sequence[Finding],
    sheets: Sheets,
    digests: Mapping[str, str],
    opened: Collection[str],
) -> Outline:
    """The whole packet.

    `sheets` are what `site_sections` gives; `digests` what `door_hashes` gives, by door and, under `SITE`, for what they share;
    `opened` the keys of the sections of all these.
    """
    before, behind = sheets
    first = cover(site, wirings, findings)
    contents = index(site, wirings, findings, digests, {*opened, *(s.key for s in before)}, (*before, *behind))
    digest = content_hash(site.name, digests, first, before, behind)
    doors = len(digests.keys() & site.doors.keys())
    return _outline(site, (first, contents), before, digests, behind, digest, doors)


def site_outline(
    site: Site,
    wirings: Mapping[str, Wiring],
    findings: Sequence[Finding],
    sheets: Sheets,
    digests: Mapping[str, str],
    volumes: Mapping[str, int],
) -> Outline:
    """The sheets of a site whose doors are bound in `volumes` of their own, and the pages of what they share.

    `sheets` are what `sections_beside_volumes` gives, `digests` the content hash of what doors share, if they share anything.
    """
    before, behind = sheets
    first = cover(site, wirings, findings, f"of the site; its doors are in {plural(len(set(volumes.values())), 'volume')}")
    contents = volume_index(site, findings, volumes, (*before, *behind))
    digest = content_hash(site.name, first, contents, before, behind)
    return _outline(site, (first, contents), before, digests, behind, digest, len(volumes))


def volume_outline(
    site: Site,
    wirings: Mapping[str, Wiring],
    findings: Sequence[Finding],
    locks: Mapping[str, Rows],
    digests: Mapping[str, str],
    opened: Collection[str],
    volume: str,
) -> Outline:
    """The doors of one volume, with those sheets of the site that tell of doors one by one.

    `wirings`, `findings` and `locks` are those of its doors, `opened` the keys of their sections.
    """
    before = (all_findings(site, wirings, findings), history(site, wirings))
    behind = (
        cable_schedule(site, wirings),
        *(() if site.redacted else (responsibilities(site, wirings, wirings), device_settings(site, wirings))),
        egress_list(site, locks),
        sign_off(site, wirings, findings),
    )
    first = cover(site, wirings, findings, volume)
    contents = index(site, wirings, findings, digests, {*opened, *(s.key for s in before)}, (*before, *behind))
    digest = content_hash(site.name, digests, first, before, behind)
    return _outline(site, (first, contents), before, digests, behind, digest, len(wirings))


def _outline(
    site: Site,
    first: Sequence[Section],
    before: Sequence[Section],
    digests: Mapping[str, str],
    behind: Sequence[Section],
    digest: str,
    doors: int,
) -> Outline:
    """Cover and index, which carry the hash of it all, sheets of the site, the doors, sheets of the site behind them."""
    own = {section.title: site_hash(site, section) for section in (*before, *behind)}
    own |= {section.title: digest for section in first}

    def of_site(sections: Sequence[Section]) -> Iterator[Entry]:
        for section in sections:
            told = own[section.title]
            yield Entry("", told, Part(section, running(site, None, section.title, told), ((section.title, 0),)))

    return Outline(
        (
            *of_site((*first, *before)),
            *(Entry(of, digests[of]) for of in (SITE, *site.doors) if of in digests),
            *of_site(behind),
        ),
        site.house.paper,
        title=f"{site.name}: door wiring packet",
        author=site.signed.get("drawn", ""),
        subject=f"{plural(doors, 'door')}, {code(site, None, digest)}",
    )


def _bound(entry: Entry, pages: Sequence[Page]) -> Iterator[Bound]:
    starts = [(n, opens) for n, page in enumerate(pages) for opens in page.opens]
    for (start, opens), end in zip(starts, [*(n for n, _ in starts[1:]), len(pages)], strict=True):
        yield Bound(opens.key, entry.of, opens.bookmarks[-1][0] if opens.bookmarks else WIRING, end - start, entry.hash)


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
    behind = (
        load_sheets(site, wirings, studies),
        cable_schedule(site, wirings),
        materials_list(site, wirings),
        *_by_device(site, wirings, studies, wired(site), wirings),
        egress_list(site, locks),
        sign_off(site, wirings, findings),
    )
    return _before(site, wirings, studies, findings, wirings), behind


def sections_beside_volumes(
    site: Site, wirings: Mapping[str, Wiring], studies: Mapping[str, Study], findings: Sequence[Finding]
) -> Sheets:
    """The same for a site whose doors are in volumes: what a volume tells of its doors one by one is left to it."""
    shared = {SITE: wirings[SITE]} if SITE in wirings else {}
    of_all = [f for f in findings if f.door is None or f.level == "stop"]
    behind = (
        load_sheets(site, wirings, studies),
        cable_totals(site, wirings),
        materials_list(site, wirings),
        *_by_device(site, wirings, studies, (SITE,), shared),
        sign_off(site, {}, ()),
    )
    return _before(site, wirings, studies, of_all, shared), behind


def _before(
    site: Site,
    wirings: Mapping[str, Wiring],
    studies: Mapping[str, Study],
    findings: Sequence[Finding],
    told: Mapping[str, Wiring],
) -> tuple[Section, ...]:
    """What stands before the doors; of those `told` the history."""
    return (
        all_findings(site, wirings, findings),
        history(site, told),
        one_line(site, wirings, studies),
        shared_devices(site, wirings),
    )


def _by_device(
    site: Site,
    wirings: Mapping[str, Wiring],
    studies: Mapping[str, Study],
    doors: Collection[str],
    own: Mapping[str, Wiring],
) -> tuple[Section, ...]:
    """What tells who works on the devices of `doors`, and how those of `own` are set; not for eyes outside."""
    if site.redacted:
        return ()
    return responsibilities(site, doors, own), settings_list(site, wirings, studies, own)


def site_hash(site: Site, section: Section) -> str:
    """The content hash of a sheet of the site; cover and index carry that of the whole packet."""
    return content_hash(revisions_of(site, None, section.title), site_content(site, section))


def site_content(site: Site, section: Section) -> str:
    """The same without the revision on it."""
    return content_hash([site.name, site.house], section)


def site_sheets(
    site: Site, wirings: Mapping[str, Wiring], findings: Sequence[Finding], sheets: Sheets
) -> tuple[Section, ...]:
    """The site's own `sheets` with the cover, but for the index, which follows from the rest."""
    before, behind = sheets
    return (cover(site, wirings, findings), *before, *behind)

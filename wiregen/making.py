"""Draft and bind: from what was examined to the files of the packet.  Doors go side by side, what was kept is not made anew."""

from __future__ import annotations

import json
from collections.abc import Callable, Collection, Iterator, Mapping, Sequence
from dataclasses import asdict, dataclass, replace
from functools import cache, cached_property, partial
from hashlib import sha256
from itertools import islice
from typing import Any, cast

import orjson

from wiregen.build import Examined, Task
from wiregen.changes.compare import doors_of
from wiregen.changes.revised import revised_from
from wiregen.crew import Crew, Hands, Progress, crew, silent
from wiregen.keeping.canon import content_hash
from wiregen.keeping.inputs import from_above
from wiregen.keeping.program import program
from wiregen.keeping.store import Store, once
from wiregen.made import BRIEF, MADE, Brief, Job, Made, Told, can_be_opened, make_door, sheet_names, tell_door
from wiregen.output import LABELS, MANIFEST, PACKET, RECORD, WORKBOOK, Product, manifest
from wiregen.packet.bind import bind_door
from wiregen.packet.book import (
    Book,
    Bound,
    Outline,
    Setter,
    Sheets,
    bind_book,
    packet_outline,
    paged,
    sections_beside_volumes,
    set_part,
    site_content,
    site_hash,
    site_outline,
    site_sections,
    site_sheets,
    volume_outline,
)
from wiregen.packet.change_packet import change_packet, differs
from wiregen.packet.egress import Rows
from wiregen.packet.grid import Grid, as_csv
from wiregen.packet.label_sheets import label_sheets
from wiregen.packet.labels import labels
from wiregen.packet.marking import by_door
from wiregen.packet.page import Page
from wiregen.packet.record import Json, record, unset, with_findings
from wiregen.packet.tables import door_table_names, door_tables, in_order, site_tables, table_names, tables
from wiregen.packet.typeset import Part
from wiregen.packet.workbook import workbook
from wiregen.reading.model import Site
from wiregen.reading.revisions import sheet_key
from wiregen.reading.shared import SITE, wired
from wiregen.review.model import Finding
from wiregen.study.model import Study
from wiregen.wiring.model import Wiring

SHEET, BOUND, FILES = "sheet", "bound", "files"  # kinds: a sheet of the site set, sections of a book, hashes of files
WHOLE, VOLUME = 200, 50  # doors that one packet holds at the most; doors of a volume
Files = dict[str, Callable[[], bytes]]  # by name, how each is made
Short = Told | Brief


@dataclass(frozen=True)
class Drawn:
    """A door that is drawn, and all that was made of it where that is at hand."""

    job: Job
    brief: Brief
    made: Made | None


@dataclass(frozen=True)
class Parcel:
    """A book of what is drawn, with the files `beside` it that come from nothing else, and those that are made `anew`.

    `key` stands for all that the book comes from.
    """

    name: str
    key: str | None
    sections: tuple[Bound, ...]
    book: Callable[[], Book]
    drawn: Mapping[str, Drawn]
    made: Callable[[str], Made]
    beside: Files
    anew: Files


def make(
    examined: Examined, doors: Sequence[str] = (), *, jobs: Hands = 1, tell: Progress = silent, to_issue: bool = False
) -> dict[str, bytes]:
    """`files_of` all at once."""
    return {file.name: file.make() for file in files_of(examined, doors, jobs=jobs, tell=tell, to_issue=to_issue)}


def files_of(
    examined: Examined, doors: Sequence[str] = (), *, jobs: Hands = 1, tell: Progress = silent, to_issue: bool = False
) -> Iterator[Product]:
    """The files of the packet, each to be made, or left if its hash is known, before the next is asked for; with `doors` the
    pages of those alone.

    Places of findings are given from the folder above the site's, so that the same specs give the same bytes anywhere.
    A site of more doors than one packet holds is bound in volumes, each with tables and labels of its own, and its record has a
    file for each door: so no more pages than those of one volume are in memory at a time.  `to_issue`: the record tells what
    `changes.issue` keeps.
    """
    with crew(jobs, examined.task, len(doors or examined.wirings)) as run:
        press = _Press(examined, run, tell, to_issue)
        if doors:
            known = wired(examined.site)
            for door, drawn in press.drawn(doors):
                pages, digest = press.made(drawn).pages, drawn.brief.digest
                yield Product(f"doors/{door}.pdf", None, partial(bind_door, examined.site, known[door], pages, digest))
        else:
            for parcel in press.parcels():
                yield from press.files(parcel)
                del parcel  # with its pages, before those of the next are read
            yield from press.record()


class _Press:
    """Makes one packet, and notes of its files what the manifest and the record tell of them."""

    def __init__(self, examined: Examined, run: Crew[Task], tell: Progress, to_issue: bool) -> None:
        self.examined, self._store = examined, examined.store
        self.findings = _from_above(examined)
        self._own = by_door(self.findings)
        self._run, self._tell, self._to_issue = run, tell, to_issue
        self._set = _setter(examined.store)
        self._briefs: dict[str, Brief] = {}
        self._products: dict[str, str] = {}
        self._sources: dict[str, set[str]] = {}
        self._records: dict[str, Json] = {}
        self._bound: list[Json] = []

    # ---- doors -------------------------------------------------------------------------------------------------------

    def drawn(self, doors: Collection[str]) -> Iterator[tuple[str, Drawn]]:
        """Those that were kept, and the others worked on side by side, in their order."""
        jobs = _work(self.examined, doors, self._own, self._to_issue, self._run.afar)
        kept = [self._kept(BRIEF, job.key) for job in jobs]
        missing = [job for job, brief in zip(jobs, kept, strict=True) if not isinstance(brief, Brief)]
        made = self._run("drawing", make_door, missing, self._tell)
        for job, brief in zip(jobs, kept, strict=True):
            drawn = Drawn(job, brief, None) if isinstance(brief, Brief) else Drawn(job, *next(made))
            self._briefs[job.door] = drawn.brief
            yield job.door, drawn

    def made(self, drawn: Drawn) -> Made:
        """All that was made of the door; made again where what was kept is gone."""
        kept = drawn.made or self._kept(MADE, drawn.job.key)
        if isinstance(kept, Made):
            return kept
        _, made = make_door(self.examined.task, replace(drawn.job, whole=True))
        return cast("Made", made)

    def _of_door(self, door: str, drawn: Drawn, made: Callable[[str], Made], told: bool) -> Iterator[Product]:
        """Its wiring sheets and, where it is to be `told` apart, its record."""
        findings = self._own.get(door, ())
        files: Files = {
            f"sheets/{name}.svg": partial(_svg, made, door, n) for n, name in enumerate(sheet_names(door, drawn.brief.sheets))
        }
        self._sources |= dict.fromkeys(files, self._read_for(door))
        if told:
            files[f"records/{door}.json"] = lambda: _json(with_findings(made(door).told.record, door, findings))
        places = [str(finding.where) for finding in findings]
        yield from self._files(drawn.job.key and content_hash(drawn.job.key, places), files)

    def _read_for(self, door: str) -> set[str]:
        source = self.examined.sources.get(door)
        return {self._above(file) for file in source.files} & self.examined.inputs.keys() if source else set()

    @cached_property
    def _above(self) -> Callable[[str], str]:
        return cache(lambda file: from_above(file, self.examined.folder))

    # ---- books -------------------------------------------------------------------------------------------------------

    def parcels(self) -> Iterator[Parcel]:
        """One packet of all doors; of many doors volumes, and behind them a packet of the site's sheets."""
        return self._volumes() if _in_volumes(self.examined.site) else self._packet()

    def _packet(self) -> Iterator[Parcel]:
        drawn = dict(self.drawn(self.examined.wirings))
        made = cache(lambda door: self.made(drawn[door]))
        for door in drawn:
            self._records[door] = made(door).told.record
        site, wirings = self.as_issued
        outline = packet_outline(site, wirings, self.findings, self.of_site, *_digests(drawn))
        grids = cache(lambda: tables(site, wirings, {door: self.examined.study(door) for door in wirings}))
        yield self._parcel(PACKET, outline, drawn, made, {}, self._of_site(grids, table_names(site), wirings))

    def _volumes(self) -> Iterator[Parcel]:
        doors = list(self.examined.site.doors)
        parts = [doors[n : n + VOLUME] for n in range(0, len(doors), VOLUME)]
        own = [SITE] if SITE in self.examined.wirings else []
        all_drawn = self.drawn([*own, *doors])
        shared = dict(islice(all_drawn, len(own)))
        made = cache(lambda door: self.made(shared[door]))
        for door in shared:
            self._records[door] = made(door).told.record
        for number, part in enumerate(parts, 1):
            yield self._volume(number, len(parts), dict(islice(all_drawn, len(part))))
        site, wirings = self.as_issued
        volumes = {door: n for n, of in enumerate(parts, 1) for door in of}
        outline = site_outline(site, wirings, self.findings, self.of_site, _digests(shared)[0], volumes)
        of_own, studies = {door: wirings[door] for door in own}, self.examined.studies
        grids = cache(lambda: in_order((*door_tables(site, of_own, studies, [SITE]), *site_tables(site, wirings, studies))))
        yield self._parcel(PACKET, outline, shared, made, {}, self._of_site(grids, table_names(site), of_own))

    def _of_site(self, grids: Callable[[], Sequence[Grid]], names: Sequence[str], wirings: Mapping[str, Wiring]) -> Files:
        return {**_tabled("tables/", WORKBOOK, grids, names), **self._labelled(LABELS, wirings, "")}

    def _volume(self, number: int, of: int, drawn: Mapping[str, Drawn]) -> Parcel:
        made = cache(lambda door: self.made(drawn[door]))
        if self._to_issue:
            self._records |= {door: made(door).told.record for door in drawn}
        briefs = {door: each.brief for door, each in drawn.items()}
        site, wirings = _standing(self.examined, briefs)
        findings = [f for f in self.findings if f.door in drawn or not drawn.keys().isdisjoint(f.doors)]
        name = f"{number} of {of}"
        outline = volume_outline(site, wirings, findings, _locks(briefs), *_digests(drawn), name)
        grids = cache(lambda: door_tables(site, wirings, {door: self.examined.study(door) for door in drawn}, drawn))
        beside = {
            **_tabled(f"volumes/{number}-", f"volumes/{number}-{WORKBOOK}", grids, door_table_names(site)),
            **self._labelled(f"volumes/{number}-{LABELS}", wirings, f", volume {name}"),
        }
        return self._parcel(f"volumes/{number}.pdf", outline, drawn, made, beside, {})

    def _parcel(
        self, name: str, outline: Outline, drawn: Mapping[str, Drawn], made: Callable[[str], Made], beside: Files, anew: Files
    ) -> Parcel:
        keys = [each.job.key for each in drawn.values()]
        key = None if None in keys else content_hash(program(), outline, keys, self.examined.site.labels)
        book = cache(lambda: paged(outline, {door: made(door).pages for door in drawn}, self._set))
        sections = once(self._store, BOUND, key, lambda: book().sections) if key else book().sections
        self._bound += ({**asdict(section), "book": name} for section in sections)
        return Parcel(name, key, sections, book, drawn, made, beside, anew)

    def files(self, parcel: Parcel) -> Iterator[Product]:
        """The files of a parcel, those of its doors first."""
        apart = _in_volumes(self.examined.site)
        for door, each in parcel.drawn.items():
            yield from self._of_door(door, each, parcel.made, apart and door != SITE)
        yield from self._files(parcel.key, {**parcel.beside, parcel.name: lambda: self._pressed(parcel.book())})
        yield from self._files(None, parcel.anew)

    def _pressed(self, book: Book) -> bytes:
        self._tell("binding", 0, 1)
        content = bind_book(book)
        self._tell("binding", 1, 1)
        return content

    def _labelled(self, name: str, wirings: Mapping[str, Wiring], of: str) -> Files:
        site = self.examined.site
        sheet = site.labels
        return {name: lambda: label_sheets(tuple(labels(wirings)), sheet, f"{site.name}: labels{of}")} if sheet else {}

    def record(self) -> Iterator[Product]:
        """The record, and the manifest last."""
        site, wirings = self.as_issued

        def told() -> bytes:
            return _json(_whole_record(site, wirings, self.findings, self.of_site, self._records, self._bound))

        yield from self._files(None, {RECORD: told})
        if site.redacted:  # a hash of a spec would tell whether a guess at what is left out is right
            yield Product(MANIFEST, None, lambda: manifest({}, self._products, {}))
        else:
            yield Product(MANIFEST, None, lambda: manifest(self.examined.inputs, self._products, self._sources))

    @cached_property
    def as_issued(self) -> tuple[Site, Mapping[str, Wiring]]:
        """The site and its wirings as their pages show them; once all doors are drawn."""
        return _as_issued(self.examined, self.findings, self._briefs)

    @cached_property
    def of_site(self) -> Sheets:
        """The sheets of the site, which are bound and whose hashes the record tells; once all doors are drawn."""
        return _sheets(self.examined, *self.as_issued, self.findings, self._briefs)

    # ---- what is known of files ----------------------------------------------------------------------------------------

    def _files(self, key: str | None, files: Files) -> Iterator[Product]:
        """Files that come from what `key` stands for: their hashes are known where they were made before."""
        kept: Mapping[str, str] = self._kept(FILES, key) or {}
        known = {name: kept[name] for name in files if name in kept}
        self._products |= known
        for name, make in files.items():
            yield Product(name, known.get(name), partial(self._noted, name, make))
        if len(known) < len(files) and files.keys() <= self._products.keys():
            self._keep(FILES, key, {name: self._products[name] for name in files})

    def _noted(self, name: str, make: Callable[[], bytes]) -> bytes:
        content = make()
        self._products[name] = sha256(content).hexdigest()
        return content

    def _kept(self, kind: str, key: str | None) -> Any:
        return self._store.get_alone(kind, key) if self._store and key else None

    def _keep(self, kind: str, key: str | None, value: object) -> None:
        if self._store and key:
            self._store.put_alone(kind, key, value)


def bound_record(examined: Examined, *, jobs: Hands = 1, tell: Progress = silent, to_issue: bool = False) -> Json:
    """What record.json holds; with `to_issue` what `changes.issue` keeps, of all doors.  Nothing else is made."""
    told: Json = {}
    for file in files_of(examined, jobs=jobs, tell=tell, to_issue=to_issue):
        if file.name == RECORD:
            told = json.loads(file.make())
    return told


def replaced(
    examined: Examined, held: Json, since: str, *, jobs: Hands = 1, tell: Progress = silent
) -> Iterator[tuple[str, bytes]]:
    """The change packets (`packet.change_packet`) for a packet that is held, by the book whose pages they replace.

    `held` is its record, `since` what it is called.  Of a volume of which all pages stay there is none.
    """
    with crew(jobs, examined.task, len(examined.wirings)) as run:
        press = _Press(examined, run, tell, False)
        for parcel in press.parcels():
            pages = [section for section in held["pages"] if section.get("book", PACKET) == parcel.name]
            if parcel.name == PACKET or differs(parcel.sections, pages):
                site = examined.site if parcel.name != PACKET else press.as_issued[0]
                yield parcel.name, change_packet(site, parcel.book(), pages, since)


def recorded(examined: Examined, *, jobs: Hands = 1, tell: Progress = silent) -> Json:
    """What record.json holds of a site but for how it is bound; its pages are not set for that."""
    findings = _from_above(examined)
    work = _work(examined, examined.wirings, by_door(findings), False, False)
    with crew(jobs, examined.task, len(work)) as run:
        told = dict(zip(examined.wirings, run("telling", tell_door, work, tell), strict=True))
    site, wirings = _as_issued(examined, findings, told)
    sheets = _sheets(examined, site, wirings, findings, told)
    return _whole_record(site, wirings, findings, sheets, {of: each.record for of, each in told.items()}, [])


def _work(
    examined: Examined, doors: Collection[str], own: Mapping[str, tuple[Finding, ...]], to_issue: bool, whole: bool
) -> list[Job]:
    """`own` are the findings by door."""
    issue = examined.issue
    before, since = (doors_of(issue.record), issue.rev) if issue else ({}, "")
    told = to_issue or issue is not None
    jobs = (
        Job(of, _solved(examined, of), own.get(of, ()), since, before.get(of), told, key=None, whole=whole) for of in doors
    )
    return [replace(job, key=_key(examined, job)) for job in jobs]


def _solved(examined: Examined, door: str) -> tuple[Wiring, Study] | None:
    """None where they are kept."""
    study = examined.studies[door]
    return (examined.wirings[door], study) if study.whole else None


def _key(examined: Examined, job: Job) -> str | None:
    """Of a door that can be opened nothing is kept: its cures come from data sheets that no door sees."""
    if examined.store is None or can_be_opened(examined.studies[job.door]):
        return None
    of_site = content_hash(job.solved) if job.door == SITE else ""  # which depend on all doors
    return content_hash(examined.sources[job.door].key, job.findings, of_site, job.since, job.before, job.to_issue)


def _digests(drawn: Mapping[str, Drawn]) -> tuple[dict[str, str], set[str]]:
    """Content hashes by door, and the keys of all sections."""
    return (
        {door: each.brief.digest for door, each in drawn.items()},
        {key for each in drawn.values() for key in each.brief.opened},
    )


def _setter(store: Store | None) -> Setter:
    """Sets the sheets of a site, those that were kept aside."""

    def keeping(part: Part, paper: str) -> tuple[Page, ...]:
        key = content_hash(program(), paper, part.section, part.running, part.bookmarks)
        return once(store, SHEET, key, lambda: set_part(part, paper))

    return keeping


def _svg(made: Callable[[str], Made], door: str, number: int) -> bytes:
    return made(door).sheets[number].encode()


def _tabled(folder: str, book: str, grids: Callable[[], Sequence[Grid]], names: Sequence[str]) -> Files:
    """Tables, of these `names`, each in a file and all in one workbook."""
    files: Files = {f"{folder}{name}.csv": partial(_csv, grids, n) for n, name in enumerate(names)}
    return {**files, book: lambda: workbook(grids())}


def _csv(grids: Callable[[], Sequence[Grid]], number: int) -> bytes:
    return as_csv(grids()[number]).encode()


def _json(value: Json) -> bytes:
    json.dumps(value, allow_nan=False)  # raises ValueError for what is no number: orjson would write null
    return orjson.dumps(value, option=orjson.OPT_INDENT_2 | orjson.OPT_APPEND_NEWLINE)


def _in_volumes(site: Site) -> bool:
    return len(site.doors) > WHOLE


def _locks(told: Mapping[str, Short]) -> dict[str, Rows]:
    return {door: each.locks for door, each in told.items()}


def _as_issued(
    examined: Examined, findings: Sequence[Finding], told: Mapping[str, Short]
) -> tuple[Site, Mapping[str, Wiring]]:
    """The site with the revision at which each page stands, and its wirings with what is revised of them."""
    if examined.issue is None:
        return examined.site, examined.wirings
    site, wirings = _standing(examined, told)
    before = examined.issue.record["site"]
    sheets = _sheets(examined, site, wirings, findings, told)
    same = [
        sheet.title
        for sheet in site_sheets(site, wirings, findings, sheets)
        if before["contents"].get(sheet.title) == site_content(site, sheet)
    ]
    return replace(site, standing={**site.standing, **{sheet_key(title): before["stands"][title] for title in same}}), wirings


def _standing(examined: Examined, told: Mapping[str, Short]) -> tuple[Site, Mapping[str, Wiring]]:
    """The same for the pages of those doors alone of which something is told."""
    known = {of: wiring for of, wiring in examined.wirings.items() if of in told}
    if examined.issue is None:
        return examined.site, known
    issued = {of: each.issued for of, each in told.items()}
    wirings = {of: replace(wiring, revised=revised_from(issued[of]["revised"])) for of, wiring in known.items()}
    return replace(examined.site, standing={of: each["stands"] for of, each in issued.items()}), wirings


def _sheets(
    examined: Examined, site: Site, wirings: Mapping[str, Wiring], findings: Sequence[Finding], told: Mapping[str, Short]
) -> Sheets:
    if _in_volumes(site):
        return sections_beside_volumes(site, wirings, examined.studies, findings)
    return site_sections(site, wirings, examined.studies, findings, _locks(told))


def _whole_record(
    site: Site, wirings: Mapping[str, Wiring], findings: Sequence[Finding], sheets: Sheets, told: Mapping[str, Json],
    pages: Sequence[Json],
) -> Json:  # fmt: skip
    own = site_sheets(site, wirings, findings, sheets)
    hashes, contents = ({sheet.title: of(site, sheet) for sheet in own} for of in (site_hash, site_content))
    whole = {**record(site, findings, told, hashes, contents), "pages": list(pages)}
    return unset(whole) if site.redacted else whole


def _from_above(examined: Examined) -> tuple[Finding, ...]:
    """Its findings, placed from the folder above the site's."""
    return tuple(replace(f, where=replace(f.where, file=from_above(f.where.file, examined.folder))) for f in examined.findings)

"""Draft and bind: from what was examined to the files of the packet.  Doors go side by side, what was kept is not made anew."""

from __future__ import annotations

import json
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import asdict, dataclass, replace
from functools import cached_property, partial
from hashlib import sha256
from typing import cast

import orjson

from wiregen.attacks.withheld import withheld
from wiregen.build import Examined, Seen, Task
from wiregen.changes.compare import doors_of
from wiregen.changes.revised import revised, revised_from
from wiregen.crew import Crew, Hands, Progress, crew, silent
from wiregen.drafting.frame import field_for
from wiregen.drafting.layout import lay_out
from wiregen.drafting.model import Layout
from wiregen.drafting.revised import marked
from wiregen.drafting.sheet import Uncoded, coded, draw_uncoded
from wiregen.drafting.svg import svg_of
from wiregen.faults.effects import Trials
from wiregen.faults.upkeep import upkeep
from wiregen.keeping.canon import content_hash
from wiregen.keeping.inputs import from_above
from wiregen.keeping.program import program
from wiregen.keeping.store import Store
from wiregen.output import LABELS, MANIFEST, PACKET, RECORD, WORKBOOK, manifest
from wiregen.packet.bind import (
    Book,
    Setter,
    Sheets,
    bind_book,
    bind_door,
    door_pages,
    packet_book,
    section_hashes,
    set_part,
    site_book,
    site_content,
    site_hash,
    site_sections,
    site_sheets,
    volume_book,
)
from wiregen.packet.change_packet import change_packet
from wiregen.packet.egress import Rows, locks
from wiregen.packet.grid import csv_files
from wiregen.packet.label_sheets import label_sheets
from wiregen.packet.labels import labels
from wiregen.packet.marking import findings_of
from wiregen.packet.page import Page
from wiregen.packet.record import Json, door_record, record, unset, with_findings
from wiregen.packet.tables import tables
from wiregen.packet.typeset import Part
from wiregen.packet.workbook import workbook
from wiregen.reading.model import Site
from wiregen.reading.revisions import revisions_of, sheet_key
from wiregen.reading.shared import SITE, wired
from wiregen.review.model import Finding
from wiregen.states.table import settler_of
from wiregen.study.model import Study
from wiregen.study.network import NotSolved
from wiregen.wiring.model import Wiring

MADE, LAID, SHEET = "made", "laid", "sheet"  # kinds under which a door's pages, its layouts, a sheet of the site are kept
WHOLE, VOLUME = 200, 100  # doors that one packet holds at the most; doors of a volume


@dataclass(frozen=True)
class Made:
    """What is made of a door: content hash, pages, wiring sheets as SVG, and what is told of it elsewhere."""

    digest: str
    pages: tuple[Page, ...]
    sheets: tuple[str, ...]
    told: Told


@dataclass(frozen=True)
class Told:
    """What of a door stands outside its pages: its record, findings apart, and its rows of the egress list."""

    record: Json
    locks: Rows


@dataclass(frozen=True)
class Job:
    """A door to be worked on, with the issue that it is held against and what that has of it.

    `to_issue`: its content is to be told, as what was not issued before may be then.
    """

    wiring: Wiring
    study: Study
    findings: tuple[Finding, ...]
    since: str
    before: Json | None
    to_issue: bool


def make(
    examined: Examined, doors: Sequence[str] = (), *, jobs: Hands = 1, tell: Progress = silent, to_issue: bool = False
) -> dict[str, bytes]:
    """`files_of` all at once."""
    return dict(files_of(examined, doors, jobs=jobs, tell=tell, to_issue=to_issue))


def files_of(
    examined: Examined, doors: Sequence[str] = (), *, jobs: Hands = 1, tell: Progress = silent, to_issue: bool = False
) -> Iterator[tuple[str, bytes]]:
    """The files of the packet (path within the output folder, content); with `doors` the pages of those alone.

    Places of findings are given from the folder above the site's, so that the same specs give the same bytes anywhere.
    A site of more doors than a volume holds is bound in volumes, and its record has a file for each door: so no more pages
    than those of one volume are in memory at a time.  `to_issue`: the record tells what `changes.issue` keeps.
    """
    with crew(jobs, _task(examined), len(doors or examined.wirings)) as run:
        press = _Press(examined, run, tell, to_issue)
        if doors:
            known = wired(examined.site)
            for door, made in press.drawn(doors):
                yield f"doors/{door}.pdf", bind_door(examined.site, known[door], made.pages, made.digest)
        else:
            yield from press.volumes() if len(examined.site.doors) > WHOLE else press.packet()
            yield from press.of_all()


class _Press:
    """Makes one packet, and notes of its files what the manifest and the record tell of them."""

    def __init__(self, examined: Examined, run: Crew[Task], tell: Progress, to_issue: bool) -> None:
        self.examined = examined
        self.findings = _from_above(examined)
        self._run, self._tell, self._to_issue = run, tell, to_issue
        self._set = _setter(examined.store)
        self._products: dict[str, str] = {}
        self._sources: dict[str, set[str]] = {}
        self._told: dict[str, Told] = {}  # of a record what it says of its issue, at the least
        self._records: dict[str, Json] = {}
        self._bound: list[Json] = []

    def drawn(self, doors: Sequence[str]) -> Iterator[tuple[str, Made]]:
        work = _work(self.examined, doors, self.findings, self._to_issue)
        for door, (made, files) in zip(doors, self._run("drawing", _make, work, self._tell), strict=True):
            self._told[door] = replace(made.told, record={key: made.told.record[key] for key in ("stands", "revised")})
            for name in _names(door, made.sheets):
                read = {from_above(file, self.examined.folder) for file in files}
                self._sources[f"sheets/{name}.svg"] = read & self.examined.inputs.keys()
            yield door, made

    def packet(self) -> Iterator[tuple[str, bytes]]:
        """One packet of all doors."""
        made = dict(self.drawn(tuple(self.examined.wirings)))
        for door, each in made.items():
            self._records[door] = each.told.record
            yield from self._sheets(door, each)
        yield self._bind(PACKET, self.book(made))

    def book(self, made: Mapping[str, Made]) -> Book:
        site, wirings = self.as_issued
        return packet_book(site, wirings, self.findings, self.of_site, *_pages(made), self._set)

    def volumes(self) -> Iterator[tuple[str, bytes]]:
        """The doors in volumes, each with a record of its own, and a packet of the site's sheets."""
        doors = list(self.examined.site.doors)
        parts = [doors[n : n + VOLUME] for n in range(0, len(doors), VOLUME)]
        shared = dict(self.drawn([SITE] if SITE in self.examined.wirings else []))
        for door, each in shared.items():
            self._records[door] = each.told.record
            yield from self._sheets(door, each)
        for number, part in enumerate(parts, 1):
            made: dict[str, Made] = {}
            for door, each in self.drawn(part):
                made[door] = each
                yield from self._sheets(door, each)
                yield self._noted(f"records/{door}.json", _json(with_findings(each.told.record, door, self.findings)))
            site, wirings = _standing(self.examined, self._told)
            name = f"{number} of {len(parts)}"
            book = volume_book(site, wirings, self.findings, _locks(self._told), *_pages(made), name, self._set)
            yield self._bind(f"volumes/{number}.pdf", book)
        volumes = {door: n for n, of in enumerate(parts, 1) for door in of}
        site, wirings = self.as_issued
        book = site_book(site, wirings, self.findings, self.of_site, *_pages(shared), volumes, self._set)
        yield self._bind(PACKET, book)

    def of_all(self) -> Iterator[tuple[str, bytes]]:
        """Tables, labels, record, and the manifest last."""
        site, wirings = self.as_issued
        grids = tables(site, wirings, self.examined.studies)
        for name, text in csv_files(grids).items():
            yield self._noted(f"tables/{name}", text.encode())
        yield self._noted(WORKBOOK, workbook(grids))
        if site.labels:
            yield self._noted(LABELS, label_sheets(tuple(labels(wirings)), site.labels, f"{site.name}: labels"))
        told = _whole_record(site, wirings, self.findings, self.of_site, self._records, self._bound)
        yield self._noted(RECORD, _json(told))
        if site.redacted:  # a hash of a spec would tell whether a guess at what is left out is right
            yield MANIFEST, manifest({}, self._products, {})
        else:
            yield MANIFEST, manifest(self.examined.inputs, self._products, self._sources)

    @cached_property
    def as_issued(self) -> tuple[Site, Mapping[str, Wiring]]:
        """The site and its wirings as their pages show them; once all doors are drawn."""
        return _as_issued(self.examined, self.findings, self._told)

    @cached_property
    def of_site(self) -> Sheets:
        """The sheets of the site, which are bound and whose hashes the record tells; once all doors are drawn."""
        return site_sections(*self.as_issued, self.examined.studies, self.findings, _locks(self._told))

    def _sheets(self, door: str, made: Made) -> Iterator[tuple[str, bytes]]:
        for name, svg in zip(_names(door, made.sheets), made.sheets, strict=True):
            yield self._noted(f"sheets/{name}.svg", svg.encode())

    def _bind(self, name: str, book: Book) -> tuple[str, bytes]:
        self._tell("binding", 0, 1)
        self._bound += [asdict(bound) for bound in book.sections]
        content = bind_book(self.examined.site, book)
        self._tell("binding", 1, 1)
        return self._noted(name, content)

    def _noted(self, name: str, content: bytes) -> tuple[str, bytes]:
        self._products[name] = sha256(content).hexdigest()
        return name, content


def replaced(examined: Examined, held: Json, since: str, *, jobs: Hands = 1, tell: Progress = silent) -> bytes:
    """The change packet (`packet.change_packet`) for a packet that is held; `held` is its record, `since` what it is called."""
    with crew(jobs, _task(examined), len(examined.wirings)) as run:
        press = _Press(examined, run, tell, False)
        book = press.book(dict(press.drawn(tuple(examined.wirings))))
    return change_packet(press.as_issued[0], book, held["pages"], since)


def _pages(made: Mapping[str, Made]) -> tuple[dict[str, tuple[Page, ...]], dict[str, str]]:
    """Pages and content hashes by door."""
    return {of: each.pages for of, each in made.items()}, {of: each.digest for of, each in made.items()}


def _setter(store: Store | None) -> Setter:
    """Sets the sheets of a site, those that were kept aside."""

    def keeping(part: Part, paper: str) -> tuple[Page, ...]:
        key = content_hash(program(), paper, part.section, part.running, part.bookmarks)
        kept = store.get_alone(SHEET, key) if store else None
        if kept is None:
            kept = set_part(part, paper)
            if store:
                store.put_alone(SHEET, key, kept)
        return cast("tuple[Page, ...]", kept)

    return keeping


def _json(value: Json) -> bytes:
    json.dumps(value, allow_nan=False)  # raises ValueError for what is no number: orjson would write null
    return orjson.dumps(value, option=orjson.OPT_INDENT_2 | orjson.OPT_APPEND_NEWLINE)


def recorded(examined: Examined, *, jobs: Hands = 1, tell: Progress = silent) -> Json:
    """What record.json holds of a site but for how it is bound; its pages are not set for that."""
    findings, doors = _from_above(examined), tuple(examined.wirings)
    with crew(jobs, _task(examined), len(doors)) as run:
        told = dict(zip(doors, run("telling", _tell, _work(examined, doors, findings, False), tell), strict=True))
    site, wirings = _as_issued(examined, findings, told)
    sheets = site_sections(site, wirings, examined.studies, findings, _locks(told))
    return _whole_record(site, wirings, findings, sheets, {of: each.record for of, each in told.items()}, [])


def _locks(told: Mapping[str, Told]) -> dict[str, Rows]:
    return {door: each.locks for door, each in told.items()}


def _task(examined: Examined) -> Task:
    return Task(examined.site, examined.shared, examined.store)


def _work(examined: Examined, doors: Sequence[str], findings: Sequence[Finding], to_issue: bool) -> list[Job]:
    issue = examined.issue
    before, since = (doors_of(issue.record), issue.rev) if issue else ({}, "")
    told = to_issue or issue is not None
    return [
        Job(examined.wirings[of], examined.studies[of], findings_of(findings, of), since, before.get(of), told) for of in doors
    ]


def _as_issued(
    examined: Examined, findings: Sequence[Finding], told: Mapping[str, Told]
) -> tuple[Site, Mapping[str, Wiring]]:
    """The site with the revision at which each page stands, and its wirings with what is revised of them."""
    if examined.issue is None:
        return examined.site, examined.wirings
    site, wirings = _standing(examined, told)
    before = examined.issue.record["site"]
    sheets = site_sections(site, wirings, examined.studies, findings, _locks(told))
    same = [
        sheet.title
        for sheet in site_sheets(site, wirings, findings, sheets)
        if before["contents"].get(sheet.title) == site_content(site, sheet)
    ]
    return replace(site, standing={**site.standing, **{sheet_key(title): before["stands"][title] for title in same}}), wirings


def _standing(examined: Examined, told: Mapping[str, Told]) -> tuple[Site, Mapping[str, Wiring]]:
    """The same for the pages of those doors alone of which something is told."""
    if examined.issue is None:
        return examined.site, examined.wirings
    records = {of: each.record for of, each in told.items()}
    known = {of: wiring for of, wiring in examined.wirings.items() if of in records}
    wirings = {of: replace(wiring, revised=revised_from(records[of]["revised"])) for of, wiring in known.items()}
    return replace(examined.site, standing={of: record["stands"] for of, record in records.items()}), wirings


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


def _names(door: str, sheets: Sequence[object]) -> list[str]:
    """Names of a door's sheets: no id has a plus."""
    return [f"{door}+{number}" for number in range(1, len(sheets) + 1)] if len(sheets) > 1 else [door] * len(sheets)


def _make(task: Task, job: Job) -> tuple[Made, frozenset[str]]:
    """With the files that it came from."""
    seen, key, store = _kept_under(task, job)
    files = frozenset(place.file for place in seen.canon.places)
    kept = store.get(MADE, key, seen.site, seen.canon) if store else None
    if isinstance(kept, Made):
        return kept, files
    made = _drawn(task, seen, job)
    if store:
        store.put(MADE, key, made, seen.site, seen.canon)
    return made, files


def _tell(task: Task, job: Job) -> Told:
    seen, key, store = _kept_under(task, job)
    kept = store.get(MADE, key, seen.site, seen.canon) if store else None
    return kept.told if isinstance(kept, Made) else _written(task, seen, job).told


def _kept_under(task: Task, job: Job) -> tuple[Seen, str, Store | None]:
    """The site as the door sees it, and where what is made of the door is kept."""
    seen = task.seen(job.wiring.door)
    of_site = content_hash(job.wiring, job.study) if job.wiring.door == SITE else ""  # which depend on all doors
    store = None if _opened(job.study) else task.store  # its cures come from data sheets that no door sees
    return seen, content_hash(seen.key, job.findings, of_site, job.since, job.before, job.to_issue), store


def _opened(study: Study) -> bool:
    """Whether somebody outside can open the door."""
    return study.tried is not None and bool(study.tried.successes)


@dataclass(frozen=True)
class _Written:
    """All that a door's pages say, but for the content hash of just that."""

    site: Site
    wiring: Wiring
    study: Study
    sheets: tuple[Uncoded, ...]
    told: Told


def _written(task: Task, seen: Seen, job: Job) -> _Written:
    site, wiring, study = seen.site, job.wiring, job.study
    if wiring.door != SITE and not site.redacted:
        study = _with_upkeep(seen, wiring, _with_ways(seen, study), _opened(study))
    layouts = _laid_out(site, wiring, task.store)
    content: str | None = None
    if job.to_issue:
        bare = replace(site, revisions=())
        unrevised = draw_uncoded(bare, wired(bare)[wiring.door], wiring, layouts, job.findings)
        content = content_hash(_sections(bare, wiring, study, job.findings, unrevised, seen.shared))
    if job.before and job.before["content"] == content:  # it stands as it was issued, with the marks that it had then
        site = replace(site, standing={wiring.door: job.before["stands"]})
        wiring = replace(wiring, revised=revised_from(job.before["revised"]))
    elif job.before:
        door = wired(site)[wiring.door]
        now = door_record(site, door, wiring, study, {}, content)
        wiring = replace(wiring, revised=revised(job.before, now, revisions_of(site, door)[-1].rev, job.since))
    if wiring.revised:
        layouts = _laid_out(site, wiring, task.store)
    door = wired(site)[wiring.door]
    sheets = draw_uncoded(site, door, wiring, layouts, job.findings)
    sections = _sections(site, wiring, study, job.findings, sheets, seen.shared)
    record = door_record(site, door, wiring, study, sections, content)
    rows = tuple(locks(site, wiring, seen.shared)) if wiring.door != SITE else ()
    return _Written(site, wiring, study, sheets, Told(unset(record) if site.redacted else record, rows))


def _laid_out(site: Site, wiring: Wiring, store: Store | None) -> tuple[Layout, ...]:
    """A wiring is laid out once, whatever else on the pages of a door is another."""
    if not (wiring.conductors or wiring.links):
        return ()
    key = content_hash(program(), site.house, wiring)
    kept = store.get_alone(LAID, key) if store else None
    if kept is not None:
        return cast("tuple[Layout, ...]", kept)
    draw = partial(lay_out, wiring, field_for(site.house), site.house)
    layouts = marked(draw, wiring.revised.wires, wiring.revised.rev) if wiring.revised else draw()
    if store:
        store.put_alone(LAID, key, layouts)
    return layouts


def _sections(
    site: Site, wiring: Wiring, study: Study, findings: Sequence[Finding], sheets: Sequence[Uncoded], shared: Wiring
) -> dict[str, str]:
    drawings = coded(sheets, site.house, "")
    return section_hashes(site, wired(site)[wiring.door], wiring, study, findings, shared, drawings)


def _drawn(task: Task, seen: Seen, job: Job) -> Made:
    written = _written(task, seen, job)
    site, wiring, digest = written.site, written.wiring, written.told.record["hash"]
    door = wired(site)[wiring.door]
    drawings = coded(written.sheets, site.house, digest)
    names = _names(door.id, drawings)
    return Made(
        digest,
        door_pages(site, door, wiring, written.study, job.findings, drawings, digest, seen.shared),
        tuple(svg_of(drawing, f"{name} {door.name}") for name, drawing in zip(names, drawings, strict=True)),
        written.told,
    )


def _with_ways(seen: Seen, study: Study) -> Study:
    """With the feeds that the spec names compared, for the data sheet; a door with one way to feed it says nothing of it."""
    door = seen.site.doors[study.door]
    if not door.otherwise:
        return study
    from wiregen.feeds.judge import written_ways
    from wiregen.feeds.table import rows

    return replace(study, ways=tuple(rows(written_ways(seen.site, door, seen.shared))))


def _with_upkeep(seen: Seen, wiring: Wiring, study: Study, opened: bool) -> Study:
    """With what the door's faults come to; not where somebody outside can open it: a guide would teach how."""
    if opened:
        wrong = "fault guide and retest sheet: first what stops the door is to be cured"
        return replace(study, missing=(*study.missing, wrong))
    site, door = seen.site, seen.site.doors[study.door]
    try:
        trials = Trials(door, wiring, settler_of(site, door, wiring, seen.shared))
        return replace(study, upkeep=upkeep(trials, withheld(site, trials)))
    except NotSolved:
        wrong = "fault guide and retest sheet: the network with one of its faults has no operating point that can be found"
        return replace(study, missing=(*study.missing, wrong))

"""Draft and bind: from what was examined to the files of the packet.  Doors go side by side, what was kept is not made anew."""

from __future__ import annotations

import json
from collections.abc import Mapping, Sequence
from dataclasses import asdict, dataclass, replace
from functools import partial

from wiregen.attacks.withheld import withheld
from wiregen.build import Examined, Seen, Task
from wiregen.changes.compare import doors_of
from wiregen.changes.revised import revised, revised_from
from wiregen.crew import Progress, crew, silent
from wiregen.drafting.frame import field_for
from wiregen.drafting.layout import lay_out
from wiregen.drafting.model import Layout
from wiregen.drafting.revised import marked
from wiregen.drafting.sheet import draw_sheets
from wiregen.drafting.svg import svg_of
from wiregen.faults.effects import Trials
from wiregen.faults.upkeep import upkeep
from wiregen.keeping.canon import content_hash
from wiregen.keeping.inputs import from_above
from wiregen.keeping.store import Store
from wiregen.output import MANIFEST, RECORD, digests, manifest
from wiregen.packet.bind import (
    Book,
    bind_book,
    bind_door,
    door_pages,
    packet_book,
    section_hashes,
    site_content,
    site_hash,
    site_sheets,
)
from wiregen.packet.change_packet import change_packet
from wiregen.packet.grid import csv_files
from wiregen.packet.marking import findings_of
from wiregen.packet.page import Page
from wiregen.packet.record import Json, door_record, record
from wiregen.packet.tables import tables
from wiregen.reading.model import Site
from wiregen.reading.revisions import revisions_of, sheet_key
from wiregen.reading.shared import SITE, wired
from wiregen.review.model import Finding
from wiregen.states.table import settler_of
from wiregen.study.model import Study
from wiregen.study.network import NotSolved
from wiregen.wiring.model import Wiring
from wiregen.wiring.wire import wire_site

MADE = "made"  # the kind under which a door's pages are kept


@dataclass(frozen=True)
class Made:
    """What is made of a door: content hash, pages, wiring sheets as SVG, and what its record says, its findings apart."""

    digest: str
    pages: tuple[Page, ...]
    sheets: tuple[str, ...]
    record: Json


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
    examined: Examined, doors: Sequence[str] = (), *, jobs: int = 1, tell: Progress = silent, to_issue: bool = False
) -> dict[str, bytes]:
    """The files of the packet (path within the output folder → content); with `doors` the pages of those alone.

    Places of findings are given from the folder above the site's, so that the same specs give the same bytes anywhere.
    `to_issue`: the record tells what `changes.issue` keeps.
    """
    drawn = _all_drawn(examined, tuple(doors) or tuple(examined.wirings), jobs, tell, to_issue)
    tell("binding", 0, 1)
    site, wirings, findings, made = drawn.site, drawn.wirings, drawn.findings, drawn.made
    if doors:
        known = wired(site)
        files = {f"doors/{door}.pdf": bind_door(site, known[door], made[door].pages, made[door].digest) for door in doors}
    else:
        book = _book(examined, drawn)
        files = {"packet.pdf": bind_book(site, book)}
        grids = tables(site, wirings, examined.studies)
        files |= {f"tables/{name}": text.encode() for name, text in csv_files(grids).items()}
        for door, each in made.items():
            named = zip(_names(door, each.sheets), each.sheets, strict=True)
            files |= {f"sheets/{name}.svg": svg.encode() for name, svg in named}
        told = {of: each.record for of, each in made.items()}
        everything = _whole_record(site, wirings, examined.studies, findings, told, [asdict(bound) for bound in book.sections])
        files[RECORD] = (json.dumps(everything, indent=1, ensure_ascii=False, allow_nan=False) + "\n").encode()
        sources = {
            f"sheets/{name}.svg": {from_above(file, examined.folder) for file in drawn.files[door]} & examined.inputs.keys()
            for door, each in made.items()
            for name in _names(door, each.sheets)
        }
        files[MANIFEST] = manifest(examined.inputs, digests(files), sources)
    tell("binding", 1, 1)
    return files


def replaced(examined: Examined, held: Json, since: str, *, jobs: int = 1, tell: Progress = silent) -> bytes:
    """The change packet (`packet.change_packet`) for a packet that is held; `held` is its record, `since` what it is called."""
    drawn = _all_drawn(examined, tuple(examined.wirings), jobs, tell, False)
    return change_packet(drawn.site, _book(examined, drawn), held["pages"], since)


@dataclass(frozen=True)
class _Drawn:
    """What is made of doors, the files that each came from, and the site and wirings as their pages show them."""

    site: Site
    wirings: Mapping[str, Wiring]
    findings: tuple[Finding, ...]
    made: Mapping[str, Made]
    files: Mapping[str, frozenset[str]]


def _all_drawn(examined: Examined, doors: Sequence[str], jobs: int, tell: Progress, to_issue: bool) -> _Drawn:
    findings = _from_above(examined)
    with crew(jobs, _task(examined), len(doors)) as run:
        drawn = dict(zip(doors, run("drawing", _make, _work(examined, doors, findings, to_issue), tell), strict=True))
    made = {door: each for door, (each, _) in drawn.items()}
    files = {door: of for door, (_, of) in drawn.items()}
    site, wirings = _as_issued(examined, findings, {of: each.record for of, each in made.items()})
    return _Drawn(site, wirings, findings, made, files)


def _book(examined: Examined, drawn: _Drawn) -> Book:
    pages = {of: each.pages for of, each in drawn.made.items()}
    hashes = {of: each.digest for of, each in drawn.made.items()}
    return packet_book(drawn.site, drawn.wirings, examined.studies, drawn.findings, pages, hashes)


def recorded(examined: Examined, *, jobs: int = 1, tell: Progress = silent) -> Json:
    """What record.json holds of a site but for how it is bound; its pages are not set for that."""
    findings, doors = _from_above(examined), tuple(examined.wirings)
    with crew(jobs, _task(examined), len(doors)) as run:
        told = dict(zip(doors, run("telling", _record, _work(examined, doors, findings, False), tell), strict=True))
    site, wirings = _as_issued(examined, findings, told)
    return _whole_record(site, wirings, examined.studies, findings, told, [])


def _task(examined: Examined) -> Task:
    return Task(examined.site, wire_site(examined.site), examined.store)


def _work(examined: Examined, doors: Sequence[str], findings: Sequence[Finding], to_issue: bool) -> list[Job]:
    issue = examined.issue
    before, since = (doors_of(issue.record), issue.rev) if issue else ({}, "")
    told = to_issue or issue is not None
    return [
        Job(examined.wirings[of], examined.studies[of], findings_of(findings, of), since, before.get(of), told) for of in doors
    ]


def _as_issued(
    examined: Examined, findings: Sequence[Finding], told: Mapping[str, Json]
) -> tuple[Site, Mapping[str, Wiring]]:
    """The site with the revision at which each page stands, and its wirings with what is revised of them."""
    if examined.issue is None:
        return examined.site, examined.wirings
    wirings = {of: replace(w, revised=revised_from(told[of]["revised"])) for of, w in examined.wirings.items() if of in told}
    site = replace(examined.site, standing={of: record["stands"] for of, record in told.items()})
    before = examined.issue.record["site"]
    same = [
        sheet.title
        for sheet in site_sheets(site, wirings, examined.studies, findings)
        if before["contents"].get(sheet.title) == site_content(site, sheet)
    ]
    return replace(site, standing={**site.standing, **{sheet_key(title): before["stands"][title] for title in same}}), wirings


def _whole_record(
    site: Site, wirings: Mapping[str, Wiring], studies: Mapping[str, Study], findings: Sequence[Finding],
    told: Mapping[str, Json], pages: Sequence[Json],
) -> Json:  # fmt: skip
    sheets = site_sheets(site, wirings, studies, findings)
    hashes, contents = ({sheet.title: of(site, sheet) for sheet in sheets} for of in (site_hash, site_content))
    return {**record(site, findings, told, hashes, contents), "pages": list(pages)}


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


def _record(task: Task, job: Job) -> Json:
    seen, key, store = _kept_under(task, job)
    kept = store.get(MADE, key, seen.site, seen.canon) if store else None
    return kept.record if isinstance(kept, Made) else _written(task, seen, job).record


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
    layouts: tuple[Layout, ...]
    record: Json


def _written(task: Task, seen: Seen, job: Job) -> _Written:
    site, wiring, study = seen.site, job.wiring, job.study
    assert isinstance(task.shared, Wiring)
    if wiring.door != SITE:
        study = _with_upkeep(seen, wiring, _with_ways(seen, study, task.shared), task.shared, _opened(study))
    layouts = _laid_out(site, wiring)
    content: str | None = None
    if job.to_issue:
        content = content_hash(_sections(replace(site, revisions=()), wiring, study, job.findings, layouts, task.shared))
    if job.before and job.before["content"] == content:  # it stands as it was issued, with the marks that it had then
        site = replace(site, standing={wiring.door: job.before["stands"]})
        wiring = replace(wiring, revised=revised_from(job.before["revised"]))
    elif job.before:
        door = wired(site)[wiring.door]
        now = door_record(site, door, wiring, study, {}, content)
        wiring = replace(wiring, revised=revised(job.before, now, revisions_of(site, door)[-1].rev, job.since))
    if wiring.revised:
        layouts = _laid_out(site, wiring)
    sections = _sections(site, wiring, study, job.findings, layouts, task.shared)
    told = door_record(site, wired(site)[wiring.door], wiring, study, sections, content)
    return _Written(site, wiring, study, layouts, told)


def _laid_out(site: Site, wiring: Wiring) -> tuple[Layout, ...]:
    if not (wiring.conductors or wiring.links):
        return ()
    draw = partial(lay_out, wiring, field_for(site.house), site.house)
    return marked(draw, wiring.revised.wires, wiring.revised.rev) if wiring.revised else draw()


def _sections(
    site: Site, wiring: Wiring, study: Study, findings: Sequence[Finding], layouts: Sequence[Layout], shared: Wiring
) -> dict[str, str]:
    door = wired(site)[wiring.door]
    sheets = draw_sheets(site, door, wiring, layouts, findings, "")
    return section_hashes(site, door, wiring, study, findings, shared, sheets)


def _drawn(task: Task, seen: Seen, job: Job) -> Made:
    written = _written(task, seen, job)
    site, wiring, digest = written.site, written.wiring, written.record["hash"]
    door = wired(site)[wiring.door]
    assert isinstance(task.shared, Wiring)
    drawings = draw_sheets(site, door, wiring, written.layouts, job.findings, digest)
    names = _names(door.id, drawings)
    return Made(
        digest,
        door_pages(site, door, wiring, written.study, job.findings, drawings, digest, task.shared),
        tuple(svg_of(drawing, f"{name} {door.name}") for name, drawing in zip(names, drawings, strict=True)),
        written.record,
    )


def _with_ways(seen: Seen, study: Study, shared: Wiring) -> Study:
    """With the feeds that the spec names compared, for the data sheet; a door with one way to feed it says nothing of it."""
    door = seen.site.doors[study.door]
    if not door.otherwise:
        return study
    from wiregen.feeds.judge import written_ways
    from wiregen.feeds.table import rows

    return replace(study, ways=tuple(rows(written_ways(seen.site, door, shared))))


def _with_upkeep(seen: Seen, wiring: Wiring, study: Study, shared: Wiring, opened: bool) -> Study:
    """With what the door's faults come to; not where somebody outside can open it: a guide would teach how."""
    if opened:
        wrong = "fault guide and retest sheet: first what stops the door is to be cured"
        return replace(study, missing=(*study.missing, wrong))
    site, door = seen.site, seen.site.doors[study.door]
    try:
        trials = Trials(door, wiring, settler_of(site, door, wiring, shared))
        return replace(study, upkeep=upkeep(trials, withheld(site, trials)))
    except NotSolved:
        wrong = "fault guide and retest sheet: the network with one of its faults has no operating point that can be found"
        return replace(study, missing=(*study.missing, wrong))

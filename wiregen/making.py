"""Draft and bind: from what was examined to the files of the packet.  Doors go side by side, what was kept is not made anew."""

from __future__ import annotations

import json
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from hashlib import sha256
from typing import cast

from wiregen.attacks.withheld import withheld
from wiregen.build import Examined, Seen, Task
from wiregen.crew import Crew, Progress, crew, silent
from wiregen.drafting.frame import field_for
from wiregen.drafting.layout import lay_out
from wiregen.drafting.model import Layout
from wiregen.drafting.sheet import draw_sheets
from wiregen.drafting.svg import svg_of
from wiregen.faults.effects import Trials
from wiregen.faults.upkeep import upkeep
from wiregen.keeping.canon import content_hash
from wiregen.keeping.inputs import from_above
from wiregen.keeping.program import program
from wiregen.keeping.store import Store
from wiregen.output import LABELS, MANIFEST, PACKET, RECORD, WORKBOOK, manifest
from wiregen.packet.bind import (
    Setter,
    bind_door,
    bind_packet,
    bind_site,
    bind_volume,
    door_pages,
    section_hashes,
    set_part,
    site_hashes,
)
from wiregen.packet.grid import csv_files
from wiregen.packet.label_sheets import label_sheets
from wiregen.packet.labels import labels
from wiregen.packet.marking import findings_of
from wiregen.packet.page import Page
from wiregen.packet.record import Json, door_record, record, with_findings
from wiregen.packet.tables import tables
from wiregen.packet.typeset import Part
from wiregen.packet.workbook import workbook
from wiregen.reading.shared import SITE, wired
from wiregen.review.model import Finding
from wiregen.states.table import settler_of
from wiregen.study.model import Study
from wiregen.study.network import NotSolved
from wiregen.wiring.model import Wiring
from wiregen.wiring.wire import wire_site

MADE, SHEET = "made", "sheet"  # the kinds under which a door's pages and those of a sheet of the site are kept
VOLUME = 200  # doors

Job = tuple[Wiring, Study, tuple[Finding, ...]]


@dataclass(frozen=True)
class Made:
    """What is made of a door: content hash, pages, wiring sheets as SVG, and what its record says, its findings apart."""

    digest: str
    pages: tuple[Page, ...]
    sheets: tuple[str, ...]
    record: Json


def make(examined: Examined, doors: Sequence[str] = (), *, jobs: int = 1, tell: Progress = silent) -> dict[str, bytes]:
    """`files_of` all at once."""
    return dict(files_of(examined, doors, jobs=jobs, tell=tell))


def files_of(
    examined: Examined, doors: Sequence[str] = (), *, jobs: int = 1, tell: Progress = silent
) -> Iterator[tuple[str, bytes]]:
    """The files of the packet (path within the output folder, content); with `doors` the pages of those alone.

    Places of findings are given from the folder above the site's, so that the same specs give the same bytes anywhere.
    A site of more doors than a volume holds is bound in volumes, and its record has a file for each door: so no more pages
    than those of one volume are in memory at a time.
    """
    shared = wire_site(examined.site)
    with crew(jobs, Task(examined.site, shared, examined.store), len(doors or examined.wirings)) as run:
        if doors:
            known = wired(examined.site)
            for door, (made, _) in zip(doors, run("drawing", _make, _jobs(examined, doors), tell), strict=True):
                yield f"doors/{door}.pdf", bind_door(examined.site, known[door], made.pages, made.digest)
        else:
            yield from _whole(examined, run, tell)


def _jobs(examined: Examined, doors: Sequence[str]) -> list[Job]:
    findings = _from_above(examined)
    return [(examined.wirings[door], examined.studies[door], findings_of(findings, door)) for door in doors]


def _whole(examined: Examined, run: Crew[Task], tell: Progress) -> Iterator[tuple[str, bytes]]:
    """The files of the whole packet, its manifest last."""
    site, wirings, studies, findings = examined.site, examined.wirings, examined.studies, _from_above(examined)
    products: dict[str, str] = {}
    sources: dict[str, set[str]] = {}
    told: dict[str, Json] = {}
    parted = len(site.doors) > VOLUME
    doors = list(site.doors)
    parts = [doors[n : n + VOLUME] for n in range(0, len(doors), VOLUME)]
    setter = _setter(examined.store)

    def noted(name: str, content: bytes) -> tuple[str, bytes]:
        products[name] = sha256(content).hexdigest()
        return name, content

    def drawn(of: Sequence[str]) -> Iterator[tuple[str, Made]]:
        for door, (made, files) in zip(of, run("drawing", _make, _jobs(examined, of), tell), strict=True):
            told[door] = {} if parted and door != SITE else made.record
            for name in _names(door, made.sheets):
                sources[f"sheets/{name}.svg"] = {from_above(f, examined.folder) for f in files} & examined.inputs.keys()
            yield door, made

    shared = [SITE] if SITE in wirings else []
    for number, part in enumerate([[*shared, *doors]] if not parted else [shared, *parts]):
        pages: dict[str, tuple[Page, ...]] = {}
        hashes: dict[str, str] = {}
        for door, made in drawn(part):
            pages[door], hashes[door] = made.pages, made.digest
            for name, svg in zip(_names(door, made.sheets), made.sheets, strict=True):
                yield noted(f"sheets/{name}.svg", svg.encode())
            if parted and door != SITE:
                yield noted(f"records/{door}.json", _json(with_findings(made.record, door, findings)))
        tell("binding", 0, 1)
        if not parted:
            yield noted(PACKET, bind_packet(site, wirings, studies, findings, pages, hashes, setter))
        elif number == 0:
            volumes = {door: n for n, of in enumerate(parts, 1) for door in of}
            yield noted(PACKET, bind_site(site, wirings, studies, findings, pages, volumes, setter))
        else:
            volume = f"{number} of {len(parts)}"
            yield noted(f"volumes/{number}.pdf", bind_volume(site, wirings, findings, pages, hashes, volume, setter))
        tell("binding", 1, 1)
    grids = tables(site, wirings, studies)
    for name, text in csv_files(grids).items():
        yield noted(f"tables/{name}", text.encode())
    yield noted(WORKBOOK, workbook(grids))
    if site.labels:
        yield noted(LABELS, label_sheets(tuple(labels(wirings)), site.labels, f"{site.name}: labels"))
    of_site = site_hashes(site, wirings, studies, findings)
    kept_here = {of: record for of, record in told.items() if record}
    yield noted(RECORD, _json(record(site, findings, kept_here, of_site)))
    yield MANIFEST, manifest(examined.inputs, products, sources)


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
    return (json.dumps(value, indent=1, ensure_ascii=False, allow_nan=False) + "\n").encode()


def recorded(examined: Examined, *, jobs: int = 1, tell: Progress = silent) -> Json:
    """What record.json holds of a site; its pages are not drawn for that."""
    site, wirings, findings = examined.site, examined.wirings, _from_above(examined)
    work = [(wirings[door], examined.studies[door], findings_of(findings, door)) for door in wirings]
    with crew(jobs, Task(site, wire_site(site), examined.store), len(work)) as run:
        told = dict(zip(wirings, run("telling", _record, work, tell), strict=True))
    return record(site, findings, told, site_hashes(site, wirings, examined.studies, findings))


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
    wiring, study, findings = job
    seen = task.seen(wiring.door)
    of_site = content_hash(wiring, study) if wiring.door == SITE else ""  # which depend on all doors
    store = None if _opened(study) else task.store  # its cures come from data sheets that no door sees
    return seen, content_hash(seen.key, findings, of_site), store


def _opened(study: Study) -> bool:
    """Whether somebody outside can open the door."""
    return study.tried is not None and bool(study.tried.successes)


@dataclass(frozen=True)
class _Written:
    """All that a door's pages say, but for the content hash of just that."""

    study: Study
    layouts: tuple[Layout, ...]
    record: Json


def _written(task: Task, seen: Seen, job: Job) -> _Written:
    wiring, study, findings = job
    site, door = seen.site, wired(seen.site)[wiring.door]
    assert isinstance(task.shared, Wiring)
    if door.id != SITE:
        study = _with_upkeep(seen, wiring, _with_ways(seen, study, task.shared), task.shared, _opened(study))
    layouts = lay_out(wiring, field_for(site.house), site.house) if wiring.conductors or wiring.links else ()
    sheets = draw_sheets(site, door, wiring, layouts, findings, "")
    sections = section_hashes(site, door, wiring, study, findings, task.shared, sheets)
    return _Written(study, tuple(layouts), door_record(door, wiring, study, sections))


def _drawn(task: Task, seen: Seen, job: Job) -> Made:
    wiring, _, findings = job
    site, door = seen.site, wired(seen.site)[wiring.door]
    assert isinstance(task.shared, Wiring)
    written = _written(task, seen, job)
    digest = written.record["hash"]
    drawings = draw_sheets(site, door, wiring, written.layouts, findings, digest)
    names = _names(door.id, drawings)
    return Made(
        digest,
        door_pages(site, door, wiring, written.study, findings, drawings, digest, task.shared),
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

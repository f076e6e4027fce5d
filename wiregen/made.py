"""What is made of one door: its pages, its wiring sheets, its record; alone, from what was examined of it."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from functools import partial

from wiregen.attacks.withheld import withheld
from wiregen.build import Seen, Task
from wiregen.changes.revised import revised, revised_from
from wiregen.drafting.frame import field_for
from wiregen.drafting.layout import lay_out
from wiregen.drafting.model import Layout
from wiregen.drafting.revised import marked
from wiregen.drafting.sheet import Uncoded, coded, draw_uncoded
from wiregen.drafting.svg import svg_of
from wiregen.faults.effects import Trials
from wiregen.faults.upkeep import upkeep
from wiregen.keeping.canon import content_hash
from wiregen.keeping.program import program
from wiregen.keeping.store import Store, once
from wiregen.packet.bind import door_pages, opened, section_hashes
from wiregen.packet.egress import Rows, locks
from wiregen.packet.page import Page
from wiregen.packet.record import Json, door_record, unset
from wiregen.reading.model import Site
from wiregen.reading.revisions import revisions_of
from wiregen.reading.shared import SITE, wired
from wiregen.review.model import Finding
from wiregen.states.table import settler_of
from wiregen.study.model import Study
from wiregen.study.network import NotSolved
from wiregen.wiring.model import Wiring

MADE, BRIEF, LAID = "made", "brief", "laid"  # kinds under which is kept what is made of a door, the short of it, its layouts


@dataclass(frozen=True)
class Told:
    """What of a door stands outside its pages: its record, findings apart, and its rows of the egress list."""

    record: Json
    locks: Rows

    @property
    def issued(self) -> Json:
        """What the record says of the issue before."""
        return {key: self.record[key] for key in ("stands", "revised")}


@dataclass(frozen=True)
class Made:
    """What is made of a door: pages, wiring sheets as SVG, and what is told of it elsewhere."""

    pages: tuple[Page, ...]
    sheets: tuple[str, ...]
    told: Told


@dataclass(frozen=True)
class Brief:
    """What the site has to know of a door that was made: the content hash on its pages, the keys of its sections, how many
    wiring sheets it has, and of what is `Told` the rows of the egress list and what is said of the issue before."""

    digest: str
    opened: tuple[str, ...]
    sheets: int
    locks: Rows
    issued: Json


@dataclass(frozen=True)
class Job:
    """A door to be worked on, with the issue that it is held against and what that has of it.

    `solved` are its wiring and study, None where they are kept.  `to_issue`: its content is to be told, as what was not issued
    before may be then.  `key` is that of all that the work depends on, None where nothing is to be kept of it.  `whole`: what
    is made is to be given back, as nobody else reads what is kept.
    """

    door: str
    solved: tuple[Wiring, Study] | None
    findings: tuple[Finding, ...]
    since: str
    before: Json | None
    to_issue: bool
    key: str | None
    whole: bool


def make_door(task: Task, job: Job) -> tuple[Brief, Made | None]:
    """Makes the door; all of it comes back where it is not kept, or is asked for."""
    made = _drawn(task, job)
    told = made.told
    brief = Brief(told.record["hash"], opened(made.pages), len(made.sheets), told.locks, told.issued)
    if task.store is None or job.key is None:
        return brief, made
    task.store.put_alone(MADE, job.key, made)
    task.store.put_alone(BRIEF, job.key, brief)
    return brief, made if job.whole else None


def tell_door(task: Task, job: Job) -> Told:
    """What is told of the door, without setting its pages."""
    kept = task.store.get_alone(MADE, job.key) if task.store and job.key else None
    return kept.told if isinstance(kept, Made) else _written(task, job).told


def can_be_opened(study: Study) -> bool:
    """Whether somebody outside can open the door."""
    return study.tried is not None and bool(study.tried.successes)


@dataclass(frozen=True)
class _Written:
    """All that a door's pages say, but for the content hash of just that."""

    site: Site
    wiring: Wiring
    study: Study
    shared: Wiring
    sheets: tuple[Uncoded, ...]
    told: Told


def _written(task: Task, job: Job) -> _Written:
    seen = task.seen(job.door)
    site, (wiring, study) = seen.site, job.solved or task.solved(seen)
    if site.redacted:
        study = replace(study, states=None)
    if wiring.door != SITE and not site.redacted:
        study = _with_upkeep(seen, wiring, _with_ways(seen, study))
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
    return _Written(site, wiring, study, seen.shared, sheets, Told(unset(record) if site.redacted else record, rows))


def _laid_out(site: Site, wiring: Wiring, store: Store | None) -> tuple[Layout, ...]:
    """A wiring is laid out once, whatever else on the pages of a door is another."""
    if not (wiring.conductors or wiring.links):
        return ()
    key = content_hash(program(), site.house, wiring)
    draw = partial(lay_out, wiring, field_for(site.house), site.house)
    said = wiring.revised
    return once(store, LAID, key, lambda: marked(draw, said.wires, said.rev) if said else draw())


def _sections(
    site: Site, wiring: Wiring, study: Study, findings: Sequence[Finding], sheets: Sequence[Uncoded], shared: Wiring
) -> dict[str, str]:
    drawings = coded(sheets, site.house, "")
    return section_hashes(site, wired(site)[wiring.door], wiring, study, findings, shared, drawings)


def _drawn(task: Task, job: Job) -> Made:
    written = _written(task, job)
    site, wiring, digest = written.site, written.wiring, written.told.record["hash"]
    door = wired(site)[wiring.door]
    drawings = coded(written.sheets, site.house, digest)
    return Made(
        door_pages(site, door, wiring, written.study, job.findings, drawings, digest, written.shared),
        tuple(
            svg_of(drawing, f"{name} {door.name}")
            for name, drawing in zip(sheet_names(door.id, len(drawings)), drawings, strict=True)
        ),
        written.told,
    )


def sheet_names(door: str, sheets: int) -> list[str]:
    """Names of a door's wiring sheets: no id has a plus."""
    return [f"{door}+{number}" for number in range(1, sheets + 1)] if sheets > 1 else [door] * sheets


def _with_ways(seen: Seen, study: Study) -> Study:
    """With the feeds that the spec names compared, for the data sheet; a door with one way to feed it says nothing of it."""
    door = seen.site.doors[study.door]
    if not door.otherwise:
        return study
    from wiregen.feeds.judge import written_ways
    from wiregen.feeds.table import rows

    return replace(study, ways=tuple(rows(written_ways(seen.site, door, seen.shared))))


def _with_upkeep(seen: Seen, wiring: Wiring, study: Study) -> Study:
    """With what the door's faults come to; not where somebody outside can open it: a guide would teach how."""
    if can_be_opened(study):
        wrong = "fault guide and retest sheet: first what stops the door is to be cured"
        return replace(study, missing=(*study.missing, wrong))
    site, door = seen.site, seen.site.doors[study.door]
    try:
        trials = Trials(door, wiring, settler_of(site, door, wiring, seen.shared))
        return replace(study, upkeep=upkeep(trials, withheld(site, trials)))
    except NotSolved:
        wrong = "fault guide and retest sheet: the network with one of its faults has no operating point that can be found"
        return replace(study, missing=(*study.missing, wrong))

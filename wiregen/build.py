"""Read, wire, study, review: all that is computed of a site before any page.  `wiregen.making` goes on from there.

Files are read at the start; what lies behind is pure, so doors go side by side in `jobs` processes and come back in the
site's order whichever ends first, and what was kept of a door whose inputs are the same is as good as worked out anew.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, fields, replace
from functools import cached_property
from pathlib import Path
from typing import TYPE_CHECKING, Any

from wiregen.changes.issue import Issue, issued
from wiregen.crew import Crew, Hands, Progress, crew, silent
from wiregen.keeping.canon import Canon, Memo, content_hash
from wiregen.keeping.inputs import inputs_of
from wiregen.keeping.program import program
from wiregen.keeping.store import Store, packed, unpacked
from wiregen.reading.load import load_catalogue, load_site
from wiregen.reading.model import DataSheet, Problem, Site, SpecError, Where
from wiregen.reading.redacted import redacted
from wiregen.reading.shared import SITE
from wiregen.reading.view import Views
from wiregen.review.model import Finding
from wiregen.review.review import review_door, review_site, unworded
from wiregen.review.rule import Case, Job
from wiregen.solved import mended, solve
from wiregen.study.model import Study
from wiregen.study.network import NotSolved
from wiregen.study.site import short, study_site
from wiregen.wiring.model import Wiring
from wiregen.wiring.wire import among, less_used, wire_door, wire_site

if TYPE_CHECKING:
    from wiregen.feeds.model import Judged

SOLVED, FOUND = "solved", "found"  # kinds under which a door's wiring and study are kept, and what rules find in them


@dataclass(frozen=True)
class Source:
    """What the work on a door depends on: the key of all of it, and the files that it was read from."""

    key: str
    files: frozenset[str]


@dataclass(frozen=True)
class Examined:
    """A site with everything that was computed about it, before any page.

    `wirings` and `studies` are by door; what is shared has its own under `SITE`, unless nothing is wired or worked out of it.
    Of doors that are kept the studies hold no more than what the site needs of them.
    """

    task: Task
    wirings: Mapping[str, Wiring]
    studies: Mapping[str, Study]
    findings: tuple[Finding, ...]
    inputs: Mapping[str, str]  # as `keeping.inputs.inputs_of` gives them
    sources: Mapping[str, Source]  # by door and, under `SITE`, of what is shared
    issue: Issue | None = None  # what was issued last

    @property
    def folder(self) -> Path:
        return self.task.folder

    @property
    def site(self) -> Site:
        return self.task.site

    @property
    def store(self) -> Store | None:
        return self.task.store

    def study(self, door: str) -> Study:
        """The whole study of a door, where `studies` has no more than the site needs."""
        study = self.studies[door]
        return study if study.whole else self.task.solved(self.task.seen(door))[1]

    def of(self, doors: Sequence[str]) -> tuple[Finding, ...]:
        """The findings that mark one of these doors, those of the site under `SITE`; all of them where none is named."""
        return tuple(f for f in self.findings if not doors or (f.door or SITE) in doors or set(doors) & set(f.doors))


@dataclass(frozen=True)
class Seen:
    """A site as one door sees it, and what is wired of what it shares."""

    door: str
    site: Site
    shared: Wiring
    digest: str  # of `shared` and the program, where anything is kept
    memo: Memo

    @cached_property
    def canon(self) -> Canon:
        return Canon(self.site, self.memo)

    @cached_property
    def source(self) -> Source:
        key = content_hash(self.digest, self.door, self.canon.digest)
        return Source(key, frozenset(place.file for place in self.canon.places))


@dataclass(frozen=True)
class Solved:
    """A door as it was wired, solved and reviewed by itself."""

    wiring: Wiring
    study: Study
    findings: tuple[Finding, ...]  # not answered for yet
    source: Source


@dataclass(frozen=True)
class Task:
    """What the work on any door of a site is given; `shared` is what the site wires for all, before its doors are known."""

    folder: Path
    site: Site
    shared: Wiring | list[Problem]
    store: Store | None

    def __getstate__(self) -> dict[str, Any]:
        """What was worked out on the way is not sent along: it goes by the identity of values."""
        return {field.name: getattr(self, field.name) for field in fields(self)}

    @cached_property
    def views(self) -> Views:
        return Views(self.site)

    @cached_property
    def _memo(self) -> Memo:
        return {}

    @cached_property
    def _shared(self) -> dict[frozenset[str], tuple[Wiring, str]]:
        return {}

    @cached_property
    def of_all(self) -> str:
        """The digest of all but the doors."""
        return Canon(replace(self.site, doors={}), self._memo).digest

    def seen(self, door: str) -> Seen:
        """As that door sees the site, or `SITE`.  Raises SpecError where what is shared cannot be wired."""
        if not isinstance(self.shared, Wiring):
            raise SpecError(tuple(self.shared))
        site = self.views.of(door)
        refs = frozenset(site.shared)
        if refs not in self._shared:
            shared = among(self.shared, refs)
            self._shared[refs] = shared, content_hash(program(), shared) if self.store else ""
        return Seen(door, site, *self._shared[refs], self._memo)

    def solved(self, seen: Seen) -> tuple[Wiring, Study]:
        """The door's wiring and study.  Raises SpecError."""
        kept = self.store.get(SOLVED, seen.source.key, seen.site, seen.canon) if self.store else None
        if isinstance(kept, tuple):
            return kept
        door = seen.site.doors[seen.door]
        wiring = wire_door(seen.site, door)
        try:
            study = solve(seen.site, door, wiring, seen.shared)
        except NotSolved as error:
            wrong = "the network of the door has no operating point that can be found, so nothing could be told of its volts"
            cure = "look for ranges, limits and loads in the data sheets of its devices that contradict one another"
            raise SpecError((Problem(door.where, f"door {door.id}", wrong, cure),)) from error
        if self.store:
            self.store.put(SOLVED, seen.source.key, (wiring, study), seen.site, seen.canon)
        return wiring, study


def examine(
    folder: Path, *, jobs: Hands = 1, tell: Progress = silent, store: Store | None = None, redact: bool = False
) -> Examined:
    """Reads a site and computes everything but its pages.  Raises SpecError with the problems of all doors.

    With `redact` nothing is computed from what an outsider must not have, and findings say no more than what their rule asks.
    """
    tell("reading", 0, 1)
    site, inputs = _read(folder)
    site = redacted(site) if redact else site
    tell("reading", 1, 1)
    shared = _wired_shared(site)
    task = Task(folder, site, shared, store)
    with crew(jobs, task, len(site.doors)) as run:
        solved = list(_all_solved(run, site, tell))
    problems = [problem for result in (shared, *solved) if isinstance(result, list) for problem in result]
    if isinstance(shared, list) or problems:
        raise SpecError(tuple(sorted(set(problems), key=lambda p: (p.where, p.path, p.wrong))))
    doors = {each.wiring.door: each for each in solved if isinstance(each, Solved)}
    wirings = {door: each.wiring for door, each in doors.items()}
    studies = {door: each.study for door, each in doors.items()}
    sources = {door: each.source for door, each in doors.items()}
    of_site = study_site(site, shared, wirings, studies)
    cases = {door: Case(site, site.doors[door], each.wiring, each.study, task.views) for door, each in doors.items()}
    findings = review_site(Job(site, cases, of_site), {door: each.findings for door, each in doors.items()})
    if shared.conductors or shared.links or of_site.figures:
        wirings = {SITE: less_used(shared, wirings.values()), **wirings}
        studies = {SITE: of_site, **studies}
        sources = {SITE: task.seen(SITE).source, **sources}
    if redact:
        findings = tuple(unworded(finding) for finding in findings)
    held = None if redact else issued(folder, site)  # which tells what is left out here
    return Examined(task, wirings, studies, findings, inputs, sources, held)


def _read(folder: Path) -> tuple[Site, dict[str, str]]:
    """The site with the hashes of the files that it was read from, though somebody writes to them meanwhile."""
    while True:
        inputs = inputs_of(folder)
        site = load_site(folder)
        if inputs == inputs_of(folder):
            return site, inputs


def _wired_shared(site: Site) -> Wiring | list[Problem]:
    try:
        return wire_site(site)
    except SpecError as error:
        return list(error.problems)


# ---- door by door ----------------------------------------------------------------------------------------------------------


def _all_solved(run: Crew[Task], site: Site, tell: Progress) -> Iterator[Solved | list[Problem]]:
    """Every door; from other processes without its data sheets, which are here already."""
    if not run.apart:
        yield from run("wiring", _solve, list(site.doors), tell)
        return
    for result in run("wiring", _solve_there, list(site.doors), tell):
        yield result if isinstance(result, list) else unpacked(*result, site)


def _solve_there(task: Task, door: str) -> tuple[bytes, tuple[Where, ...]] | list[Problem]:
    """The door as bytes, with the places that they name by number."""
    if isinstance(task.shared, list):
        return _problems(task, door)
    seen = task.seen(door)
    solved = _solve_seen(task, seen)
    return solved if isinstance(solved, list) else packed(solved, seen.site)


def _solve(task: Task, door: str) -> Solved | list[Problem]:
    return _problems(task, door) if isinstance(task.shared, list) else _solve_seen(task, task.seen(door))


def _problems(task: Task, door: str) -> list[Problem]:
    """Of a door of a site whose shared wiring has problems, which are told once."""
    try:
        wire_door(task.site, task.site.doors[door])
    except SpecError as error:
        return list(error.problems)
    return []


def _solve_seen(task: Task, seen: Seen) -> Solved | list[Problem]:
    try:
        wiring, study = task.solved(seen)
    except SpecError as error:
        return list(error.problems)
    if study.tried and study.tried.successes:
        assert isinstance(task.shared, Wiring)
        boards = load_catalogue(task.folder, "board")
        study = mended(task.site, task.site.doors[seen.door], wiring, study, boards, task.shared)
        findings = review_door(_case(task, seen, wiring, study))
    else:
        findings = _found(task, seen, wiring, study)
        study = short(study, task.site) if task.store else study
    return Solved(wiring, study, findings, seen.source)


def _found(task: Task, seen: Seen, wiring: Wiring, study: Study) -> tuple[Finding, ...]:
    """What the rules of doors find; kept under all but the other doors, as cures name what the site has."""
    if task.store is None:
        return review_door(_case(task, seen, wiring, study))
    key = content_hash(task.of_all, seen.source.key)
    kept = task.store.get(FOUND, key, seen.site, seen.canon)
    if isinstance(kept, tuple):
        return kept
    findings = review_door(_case(task, seen, wiring, study))
    if all(finding.where in seen.canon.places for finding in findings):
        task.store.put(FOUND, key, findings, seen.site, seen.canon)
    return findings


def _case(task: Task, seen: Seen, wiring: Wiring, study: Study) -> Case:
    return Case(task.site, task.site.doors[seen.door], wiring, study, task.views)


# ---- ways to feed -----------------------------------------------------------------------------------------------------


def ways_to_feed(
    folder: Path, site: Site, doors: Sequence[str], *, jobs: Hands = 1, tell: Progress = silent
) -> dict[str, tuple[Judged, ...]]:
    """Every way to feed each of these doors, judged.  Raises SpecError where what they share cannot be wired."""
    catalogue, shared = load_catalogue(folder, "supply"), wire_site(site)
    with crew(jobs, (site, catalogue, shared), len(doors)) as run:
        return dict(zip(doors, run("comparing", _compare, list(doors), tell), strict=True))


def _compare(context: tuple[Site, tuple[DataSheet, ...], Wiring], door: str) -> tuple[Judged, ...]:
    from wiregen.feeds.judge import compare

    site, catalogue, shared = context
    return compare(site, site.doors[door], catalogue, shared)

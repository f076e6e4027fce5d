"""Read, wire, study, review: all that is computed of a site before any page.  `wiregen.making` goes on from there.

Files are read at the start; what lies behind is pure, so doors go side by side in `jobs` processes and come back in the
site's order whichever ends first, and what was kept of a door whose inputs are the same is as good as worked out anew.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from functools import cached_property
from pathlib import Path
from typing import TYPE_CHECKING

from wiregen.changes.issue import Issue, issued
from wiregen.crew import Hands, Progress, crew, silent
from wiregen.keeping.canon import Canon, Memo, content_hash
from wiregen.keeping.inputs import inputs_of
from wiregen.keeping.program import program
from wiregen.keeping.store import Store
from wiregen.reading.load import load_catalogue, load_site
from wiregen.reading.model import DataSheet, Problem, Site, SpecError
from wiregen.reading.redacted import redacted
from wiregen.reading.shared import SITE
from wiregen.reading.view import Views
from wiregen.review.model import Finding
from wiregen.review.review import review, unworded
from wiregen.solved import mended, solve
from wiregen.study.model import Study
from wiregen.study.network import NotSolved
from wiregen.study.site import study_site
from wiregen.wiring.model import Wiring
from wiregen.wiring.wire import among, less_used, wire_door, wire_site

if TYPE_CHECKING:
    from wiregen.feeds.model import Judged

SOLVED = "solved"  # the kind under which a door's wiring and study are kept


@dataclass(frozen=True)
class Source:
    """What the work on a door depends on: the key of all of it, and the files that it was read from."""

    key: str
    files: frozenset[str]


@dataclass(frozen=True)
class Examined:
    """A site with everything that was computed about it, before any page.

    `wirings` and `studies` are by door; what is shared has its own under `SITE`, unless nothing is wired or worked out of it.
    """

    folder: Path
    site: Site
    wirings: Mapping[str, Wiring]
    studies: Mapping[str, Study]
    findings: tuple[Finding, ...]
    inputs: Mapping[str, str]  # as `keeping.inputs.inputs_of` gives them
    shared: Wiring  # what the site wires for all, before its doors are known
    sources: Mapping[str, Source]  # by door and, under `SITE`, of what is shared
    store: Store | None = None
    issue: Issue | None = None  # what was issued last

    def of(self, doors: Sequence[str]) -> tuple[Finding, ...]:
        """The findings that mark one of these doors, those of the site under `SITE`; all of them where none is named."""
        return tuple(f for f in self.findings if not doors or (f.door or SITE) in doors or set(doors) & set(f.doors))


@dataclass(frozen=True)
class Seen:
    """A site as one door sees it, and what is wired of what it shares."""

    door: str
    site: Site
    shared: Wiring
    digest: str  # of `shared`, and of the program
    memo: Memo

    @cached_property
    def canon(self) -> Canon:
        return Canon(self.site, self.memo)

    @cached_property
    def source(self) -> Source:
        key = content_hash(self.digest, self.door, self.canon.digest)
        return Source(key, frozenset(place.file for place in self.canon.places))


@dataclass(frozen=True)
class Task:
    """What the work on any door of a site is given; `shared` is what the site wires for all, before its doors are known."""

    site: Site
    shared: Wiring | list[Problem]
    store: Store | None

    @cached_property
    def _views(self) -> Views:
        return Views(self.site)

    @cached_property
    def _memo(self) -> Memo:
        return {}

    @cached_property
    def _shared(self) -> dict[frozenset[str], tuple[Wiring, str]]:
        return {}

    def seen(self, door: str) -> Seen:
        """As that door sees the site, or `SITE`.  Raises SpecError where what is shared cannot be wired."""
        if not isinstance(self.shared, Wiring):
            raise SpecError(tuple(self.shared))
        site = self._views.of(door)
        refs = frozenset(site.shared)
        if refs not in self._shared:
            shared = among(self.shared, refs)
            self._shared[refs] = shared, content_hash(program(), shared)
        return Seen(door, site, *self._shared[refs], self._memo)


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
    shared = _wired(site, SITE)
    task = Task(site, shared, store)
    with crew(jobs, task, len(site.doors)) as run:
        solved = list(run("wiring", _solve, list(site.doors), tell))
    problems = [problem for result in (shared, *solved) if isinstance(result, list) for problem in result]
    if isinstance(shared, list) or problems:
        raise SpecError(tuple(sorted(set(problems), key=lambda p: (p.where, p.path, p.wrong))))
    doors = [result for result in solved if isinstance(result, tuple)]
    wirings = {wiring.door: wiring for wiring, _, _ in doors}
    studies = {study.door: study for _, study, _ in doors}
    sources = {wiring.door: source for wiring, _, source in doors}
    studies |= _cured(folder, site, wirings, studies, shared)
    of_site = study_site(site, shared, wirings, studies)
    findings = review(site, wirings, studies, of_site)
    if shared.conductors or shared.links or of_site.figures:
        wirings = {SITE: less_used(shared, wirings.values()), **wirings}
        studies = {SITE: of_site, **studies}
        sources = {SITE: task.seen(SITE).source, **sources}
    if redact:
        findings = tuple(unworded(finding) for finding in findings)
        studies = {of: replace(study, states=None) for of, study in studies.items()}
    held = None if redact else issued(folder, site)  # which tells what is left out here
    return Examined(folder, site, wirings, studies, findings, inputs, shared, sources, store, held)


def _read(folder: Path) -> tuple[Site, dict[str, str]]:
    """The site with the hashes of the files that it was read from, though somebody writes to them meanwhile."""
    while True:
        inputs = inputs_of(folder)
        site = load_site(folder)
        if inputs == inputs_of(folder):
            return site, inputs


def _wired(site: Site, of: str) -> Wiring | list[Problem]:
    try:
        return wire_site(site) if of == SITE else wire_door(site, site.doors[of])
    except SpecError as error:
        return list(error.problems)


def _solve(task: Task, door: str) -> tuple[Wiring, Study, Source] | list[Problem]:
    if isinstance(task.shared, list):  # its problems are told once
        wiring = _wired(task.site, door)
        return wiring if isinstance(wiring, list) else []
    seen = task.seen(door)
    key = seen.source.key
    kept = task.store.get(SOLVED, key, seen.site, seen.canon) if task.store else None
    if isinstance(kept, tuple):
        return *kept, seen.source
    site, wiring = seen.site, _wired(seen.site, door)
    if isinstance(wiring, list):
        return wiring
    try:
        solved = wiring, solve(site, site.doors[door], wiring, seen.shared)
    except NotSolved:
        wrong = "the network of the door has no operating point that can be found, so nothing could be told of its volts"
        cure = "look for ranges, limits and loads in the data sheets of its devices that contradict one another"
        return [Problem(site.doors[door].where, f"door {door}", wrong, cure)]
    if task.store:
        task.store.put(SOLVED, key, solved, site, seen.canon)
    return *solved, seen.source


def _cured(
    folder: Path, site: Site, wirings: Mapping[str, Wiring], studies: Mapping[str, Study], shared: Wiring
) -> dict[str, Study]:
    """The studies of doors that open from outside, with what would cure them."""
    opened = [door for door, study in studies.items() if study.tried and study.tried.successes]
    boards = load_catalogue(folder, "board") if opened else ()
    return {door: mended(site, site.doors[door], wirings[door], studies[door], boards, shared) for door in opened}


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

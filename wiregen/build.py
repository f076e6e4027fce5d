"""All stages in their turn: read → wire → study → review → draft → bind.

Files are read at the start (`examine`) and written at the end (`wiregen.output`); what lies between is pure, so doors go
side by side in `jobs` processes and come back in the site's order whichever ends first.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path

from wiregen.crew import Progress, crew, silent
from wiregen.reading.load import load_site
from wiregen.reading.model import Problem, Site, SpecError
from wiregen.review.model import Finding
from wiregen.review.review import review
from wiregen.study.model import Study
from wiregen.study.study import study_door
from wiregen.wiring.model import Wiring
from wiregen.wiring.wire import wire_door


@dataclass(frozen=True)
class Examined:
    """A site with everything that was computed about it, before any page."""

    site: Site
    wirings: Mapping[str, Wiring]
    studies: Mapping[str, Study]
    findings: tuple[Finding, ...]

    def of(self, doors: Sequence[str]) -> tuple[Finding, ...]:
        """The findings that mark one of these doors; all of them where none is named."""
        return tuple(f for f in self.findings if not doors or f.door in doors or set(doors) & set(f.doors))


def examine(folder: Path, *, jobs: int = 1, tell: Progress = silent) -> Examined:
    """Reads a site and computes everything but its pages.  Raises SpecError with the problems of all doors."""
    tell("reading", 0, 1)
    site = load_site(folder)
    tell("reading", 1, 1)
    with crew(jobs, site, len(site.doors)) as run:
        solved = list(run("wiring", _solve, list(site.doors), tell))
    problems = [problem for result in solved if isinstance(result, list) for problem in result]
    if problems:
        raise SpecError(tuple(sorted(set(problems), key=lambda p: (p.where, p.path, p.wrong))))
    pairs = [result for result in solved if isinstance(result, tuple)]
    wirings = {wiring.door: wiring for wiring, _ in pairs}
    studies = {study.door: study for _, study in pairs}
    return Examined(site, wirings, studies, review(site, wirings, studies))


def _solve(site: Site, door: str) -> tuple[Wiring, Study] | list[Problem]:
    try:
        wiring = wire_door(site, site.doors[door])
        return wiring, study_door(site, site.doors[door], wiring)
    except SpecError as error:
        return list(error.problems)

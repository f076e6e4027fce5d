"""All stages in their turn: read → wire → study → review → draft → bind.

Files are read at the start (`examine`) and written at the end (`wiregen.output`); what lies between is pure, so doors go
side by side in `jobs` processes and come back in the site's order whichever ends first.
"""

from __future__ import annotations

import json
import os
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from pathlib import Path
from typing import TYPE_CHECKING, Any

from wiregen.crew import Progress, crew, silent
from wiregen.output import RECORD
from wiregen.reading.load import load_catalogue, load_site
from wiregen.reading.model import DataSheet, Problem, Site, SpecError, Where
from wiregen.reading.shared import SITE, wired
from wiregen.review.model import Finding
from wiregen.review.review import review
from wiregen.solved import mended, solve
from wiregen.states.table import settler_of
from wiregen.study.model import Study
from wiregen.study.network import NotSolved
from wiregen.study.site import study_site
from wiregen.wiring.model import Wiring
from wiregen.wiring.wire import less_used, wire_door, wire_site

if TYPE_CHECKING:
    from wiregen.feeds.model import Judged


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

    def of(self, doors: Sequence[str]) -> tuple[Finding, ...]:
        """The findings that mark one of these doors, those of the site under `SITE`; all of them where none is named."""
        return tuple(f for f in self.findings if not doors or (f.door or SITE) in doors or set(doors) & set(f.doors))


def examine(folder: Path, *, jobs: int = 1, tell: Progress = silent) -> Examined:
    """Reads a site and computes everything but its pages.  Raises SpecError with the problems of all doors."""
    tell("reading", 0, 1)
    site = load_site(folder)
    tell("reading", 1, 1)
    shared = _wired(site, SITE)
    with crew(jobs, (site, shared), len(site.doors)) as run:
        solved = list(run("wiring", _solve, list(site.doors), tell))
    problems = [problem for result in (shared, *solved) if isinstance(result, list) for problem in result]
    if isinstance(shared, list) or problems:
        raise SpecError(tuple(sorted(set(problems), key=lambda p: (p.where, p.path, p.wrong))))
    doors = [result for result in solved if isinstance(result, tuple)]
    wirings = {wiring.door: wiring for wiring, _ in doors}
    studies = {study.door: study for _, study in doors}
    studies |= _cured(folder, site, wirings, studies, shared)
    of_site = study_site(site, shared, wirings, studies)
    findings = review(site, wirings, studies, of_site)
    if shared.conductors or shared.links or of_site.figures:
        wirings = {SITE: less_used(shared, wirings.values()), **wirings}
        studies = {SITE: of_site, **studies}
    return Examined(folder, site, wirings, studies, findings)


def _wired(site: Site, of: str) -> Wiring | list[Problem]:
    try:
        return wire_site(site) if of == SITE else wire_door(site, site.doors[of])
    except SpecError as error:
        return list(error.problems)


def _solve(context: tuple[Site, Wiring | list[Problem]], door: str) -> tuple[Wiring, Study] | list[Problem]:
    site, shared = context
    wiring = _wired(site, door)
    if isinstance(wiring, list):
        return wiring
    if isinstance(shared, list):  # its problems are told once
        return []
    try:
        return wiring, solve(site, site.doors[door], wiring, shared)
    except NotSolved:
        wrong = "the network of the door has no operating point that can be found, so nothing could be told of its volts"
        cure = "look for ranges, limits and loads in the data sheets of its devices that contradict one another"
        return [Problem(site.doors[door].where, f"door {door}", wrong, cure)]


def _cured(
    folder: Path, site: Site, wirings: Mapping[str, Wiring], studies: Mapping[str, Study], shared: Wiring
) -> dict[str, Study]:
    """The studies of doors that open from outside, with what would cure them."""
    opened = [door for door, study in studies.items() if study.tried and study.tried.successes]
    boards = load_catalogue(folder, "board") if opened else ()
    return {door: mended(site, site.doors[door], wirings[door], studies[door], boards, shared) for door in opened}


# ---- ways to feed -----------------------------------------------------------------------------------------------------


def ways_to_feed(
    folder: Path, site: Site, doors: Sequence[str], *, jobs: int = 1, tell: Progress = silent
) -> dict[str, tuple[Judged, ...]]:
    """Every way to feed each of these doors, judged.  Raises SpecError where what they share cannot be wired."""
    catalogue, shared = load_catalogue(folder, "supply"), wire_site(site)
    with crew(jobs, (site, catalogue, shared), len(doors)) as run:
        return dict(zip(doors, run("comparing", _compare, list(doors), tell), strict=True))


def _compare(context: tuple[Site, tuple[DataSheet, ...], Wiring], door: str) -> tuple[Judged, ...]:
    from wiregen.feeds.judge import compare

    site, catalogue, shared = context
    return compare(site, site.doors[door], catalogue, shared)


def _with_ways(examined: Examined, chosen: Sequence[str]) -> Examined:
    """With the feeds that each spec names compared, for the data sheets; a door with one way to feed it says nothing of it."""
    site = examined.site
    several = [door for door in site.doors.values() if door.otherwise and door.id in chosen]
    if not several:
        return examined
    from wiregen.feeds.judge import written_ways
    from wiregen.feeds.table import rows

    shared = wire_site(site)
    told = {d.id: replace(examined.studies[d.id], ways=tuple(rows(written_ways(site, d, shared)))) for d in several}
    return replace(examined, studies={**examined.studies, **told})


# ---- pages -----------------------------------------------------------------------------------------------------------

Sheets = tuple[Any, ...]  # reportlab drawings


def make(examined: Examined, doors: Sequence[str] = (), *, jobs: int = 1, tell: Progress = silent) -> dict[str, bytes]:
    """The files of the packet (path within the output folder → content); with `doors` the pages of those alone.

    Places of findings are given from the folder above the site's, so that the same specs give the same bytes anywhere.
    """
    from wiregen.packet.bind import bind_door, bind_packet, door_hashes
    from wiregen.packet.marking import findings_of

    chosen = tuple(doors) or tuple(examined.wirings)
    examined = _with_ways(examined, chosen)
    site, wirings = examined.site, examined.wirings
    findings = tuple(replace(f, where=_from_above(f.where, examined.folder)) for f in examined.findings)
    with crew(jobs, (site, wirings.get(SITE)), len(chosen)) as run:
        tried = [(wirings[door], examined.studies[door]) for door in chosen if door in site.doors]
        kept = {study.door: study for study in run("trying", _keep, tried, tell)}
        examined = replace(examined, studies={**examined.studies, **kept})
        studies = examined.studies
        digests = door_hashes(site, wirings, studies, findings, chosen)
        work = [(wirings[door], digests[door], findings_of(findings, door)) for door in chosen]
        drawn: dict[str, Sheets] = dict(zip(chosen, run("drawing", _draw, work, tell), strict=True))
    tell("binding", 0, 1)
    if doors:
        made = {
            f"doors/{door}.pdf": bind_door(
                site, site.doors[door], wirings[door], studies[door], findings, drawn[door], wirings.get(SITE)
            )
            for door in chosen
        }
    else:
        packet = bind_packet(site, wirings, studies, findings, drawn, digests)
        made = {"packet.pdf": packet, **_files(examined, findings, drawn, digests)}
    tell("binding", 1, 1)
    return made


def _from_above(where: Where, folder: Path) -> Where:
    above = os.path.dirname(os.path.abspath(folder))
    return replace(where, file=Path(os.path.relpath(os.path.abspath(where.file), above)).as_posix())


def _keep(context: tuple[Site, Wiring | None], job: tuple[Wiring, Study]) -> Study:
    """The study of a door with what its faults come to; not where somebody outside can open it: a guide would teach how."""
    from wiregen.attacks.withheld import withheld
    from wiregen.faults.effects import Trials
    from wiregen.faults.upkeep import upkeep

    site, shared = context
    wiring, study = job
    if study.tried and study.tried.successes:
        wrong = "fault guide and retest sheet: first what stops the door is to be cured"
        return replace(study, missing=(*study.missing, wrong))
    door = site.doors[wiring.door]
    try:
        trials = Trials(door, wiring, settler_of(site, door, wiring, shared or wire_site(site)))
        return replace(study, upkeep=upkeep(trials, withheld(site, trials)))
    except NotSolved:
        wrong = "fault guide and retest sheet: the network with one of its faults has no operating point that can be found"
        return replace(study, missing=(*study.missing, wrong))


def _draw(context: tuple[Site, Wiring | None], job: tuple[Wiring, str, tuple[Finding, ...]]) -> Sheets:
    from wiregen.drafting.frame import field_for
    from wiregen.drafting.layout import lay_out
    from wiregen.drafting.sheet import draw_sheets

    site, _ = context
    wiring, digest, findings = job
    layouts = lay_out(wiring, field_for(site.house), site.house) if wiring.conductors or wiring.links else ()
    return draw_sheets(site, wired(site)[wiring.door], wiring, layouts, findings, digest)


def _files(
    examined: Examined, findings: tuple[Finding, ...], drawn: Mapping[str, Sheets], digests: Mapping[str, str]
) -> dict[str, bytes]:
    """Sheets, tables and the record, which names them all."""
    from wiregen.drafting.svg import svg_of
    from wiregen.packet.record import record
    from wiregen.packet.tables import tables

    site, wirings, studies = examined.site, examined.wirings, examined.studies
    made = {f"tables/{name}": text.encode() for name, text in tables(site, wirings, studies).items()}
    names = {of: door.name for of, door in wired(site).items()}
    for door, sheets in drawn.items():
        for number, sheet in enumerate(sheets, 1):
            page = f"{door}+{number}" if len(sheets) > 1 else door  # no id has a plus
            made[f"sheets/{page}.svg"] = svg_of(sheet, f"{page} {names[door]}").encode()
    everything = {**record(site, wirings, studies, findings, digests), "files": sorted((*made, "packet.pdf", RECORD))}
    made[RECORD] = (json.dumps(everything, indent=1, ensure_ascii=False, allow_nan=False) + "\n").encode()
    return made

"""All rules over a site."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace

from wiregen.reading.model import Site
from wiregen.reading.view import Views
from wiregen.review import (
    accept,
    acting,
    addresses,
    as_built,
    boot,
    bounds,
    calming,
    duty,
    fire,
    jackets,
    landing,
    leaving,
    letters,
    poles,
    remarks,
    reporting,
    scope,
    secured,
    sensing,
    sharing,
    supply,
    want,
)
from wiregen.review.model import Finding
from wiregen.review.rule import Case, Found, Job, Rule
from wiregen.study.model import Study
from wiregen.wiring.model import Wiring

MODULES = (
    want, acting, leaving, fire, calming, supply, duty, sensing, reporting, secured, boot, addresses, poles, landing, jackets,
    sharing, letters, scope, remarks, bounds, as_built, accept,
)  # fmt: skip
RULES: Mapping[str, Rule] = {rule.code: rule for module in MODULES for rule in module.RULES}


def review(
    site: Site, wirings: Mapping[str, Wiring], studies: Mapping[str, Study], of_site: Study | None = None
) -> tuple[Finding, ...]:
    """The findings of every rule, answered for where the specs say so, in the order of their places; `of_site` is the study of
    what the doors share.  Pure."""
    views = Views(site)
    cases = {door: Case(site, site.doors[door], wirings[door], studies[door], views) for door in wirings}
    return review_site(Job(site, cases, of_site), {door: review_door(case) for door, case in cases.items()})


def review_door(case: Case) -> tuple[Finding, ...]:
    """What the rules of doors find, before it is answered for."""
    door = case.door.id
    return tuple(_finding(rule, found, door) for rule in RULES.values() if rule.of_door for found in rule.of_door(case))


def review_site(job: Job, of_doors: Mapping[str, tuple[Finding, ...]]) -> tuple[Finding, ...]:
    """All findings, with what `review_door` gave; of the studies of its cases no more is asked than those hold that are not
    whole."""
    shared = [_finding(rule, found, None) for rule in RULES.values() if rule.of_site for found in rule.of_site(job)]
    alone: dict[str, list[Finding]] = {}
    for finding in shared:
        if len(finding.doors) == 1:
            alone.setdefault(finding.doors[0], []).append(_alone(finding))
    findings = [finding for finding in shared if len(finding.doors) != 1]
    for door, found in of_doors.items():
        findings += accept.answered((*found, *alone.get(door, ())), job.site.doors[door], RULES)
    return tuple(sorted(findings, key=lambda f: (f.where, f.code, f.door or "", f.message)))


def unworded(finding: Finding) -> Finding:
    """For eyes outside: what its rule asks, not what was found at the door, which may name settings."""
    rule, said = RULES[finding.code], "told to those who work at the door"
    return replace(finding, message=rule.words, cure=said, source=rule.source, approved=_stated(finding.approved),
                   accepted=_stated(finding.accepted))  # fmt: skip


def _stated(text: str) -> str:
    return "answered for" if text else ""


def _finding(rule: Rule, found: Found, door: str | None) -> Finding:
    return Finding(
        code=rule.code,
        level=found.level or rule.level,
        message=found.message,
        cure=found.cure,
        where=found.where,
        source=found.source or rule.source,
        door=door,
        doors=found.doors,
        approvable=rule.approvable and found.approvable,
    )


def _alone(finding: Finding) -> Finding:
    """A finding of the site that marks one door is that door's."""
    return Finding(**{**vars(finding), "door": finding.doors[0], "doors": ()})

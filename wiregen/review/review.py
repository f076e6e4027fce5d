"""All rules over a site."""

from __future__ import annotations

from collections.abc import Mapping

from wiregen.reading.model import Site
from wiregen.review.model import Finding
from wiregen.review.rule import Case, Job, Rule
from wiregen.study.model import Study
from wiregen.wiring.model import Wiring

RULES: Mapping[str, Rule] = {}


def review(site: Site, wirings: Mapping[str, Wiring], studies: Mapping[str, Study]) -> tuple[Finding, ...]:
    """The findings of every rule, in the order of their places.  Pure."""
    cases = {door: Case(site, site.doors[door], wirings[door], studies[door]) for door in wirings}
    job = Job(site, cases)
    findings = []
    for rule in RULES.values():
        if rule.of_door:
            for door, case in cases.items():
                for found in rule.of_door(case):
                    findings.append(_finding(rule, found, door))
        if rule.of_site:
            findings += [_finding(rule, found, None) for found in rule.of_site(job)]
    return tuple(sorted(findings, key=lambda f: (f.where, f.code, f.door or "", f.message)))

"""Findings and problems as SARIF 2.1.0 (OASIS standard, 27 March 2020), so that a CI service shows them at their line.

Written from memory of the standard: sections 3.13 (log), 3.14 (run), 3.18-3.19 (tool), 3.20 (invocation), 3.27 (result),
3.28-3.30 (location), 3.35 (suppression) and 3.49 (rule).
"""

from __future__ import annotations

import json
from collections.abc import Mapping, Sequence
from pathlib import Path
from typing import Any
from urllib.parse import quote

from wiregen import __version__
from wiregen.reading.model import Problem, Where
from wiregen.results import marked
from wiregen.review.explain import explained, explained_markdown, explained_text
from wiregen.review.model import Finding
from wiregen.review.rule import Rule

LEVELS = {"stop": "error", "warn": "warning", "note": "note"}
UNUSABLE = "unusable-input"


def sarif(findings: Sequence[Finding], problems: Sequence[Problem], rules: Mapping[str, Rule]) -> str:
    """A SARIF log with one run.  `rules` gives the words of each code; a code that it lacks is listed with its id alone."""
    codes = sorted({f.code for f in findings} | ({UNUSABLE} if problems else set()))
    index = {code: number for number, code in enumerate(codes)}
    results = [_finding(finding, index[finding.code]) for finding in findings]
    results += [_problem(problem, index[UNUSABLE]) for problem in problems]
    driver = {"name": "wiregen", "version": __version__, "rules": [_rule(code, rules) for code in codes]}
    log = {
        "$schema": "https://docs.oasis-open.org/sarif/sarif/v2.1.0/errata01/os/schemas/sarif-schema-2.1.0.json",
        "version": "2.1.0",
        "runs": [
            {
                "tool": {"driver": driver},
                "invocations": [{"executionSuccessful": not problems}],
                "columnKind": "unicodeCodePoints",
                "results": results,
            }
        ],
    }
    return json.dumps(log, indent=2, ensure_ascii=False)


def _rule(code: str, rules: Mapping[str, Rule]) -> dict[str, Any]:
    if code not in rules:
        return {"id": code}
    rule = rules[code]
    told = explained(rule)
    return {
        "id": code,
        "shortDescription": {"text": rule.words},
        "fullDescription": {"text": f"{told['symptom']}  {told['cause']}"},
        "help": {"text": explained_text(rule), "markdown": explained_markdown(rule)},
        "defaultConfiguration": {"level": LEVELS[rule.level]},
    }


def _finding(finding: Finding, index: int) -> dict[str, Any]:
    doors = marked(finding)
    text = (f"{', '.join(doors)}: " if doors else "") + finding.message + (f"\nCure: {finding.cure}" if finding.cure else "")
    result = _result(finding.code, index, LEVELS[finding.level], text, finding.where)
    answer = finding.approved or finding.accepted
    if answer:  # in the spec itself, beside what it is about
        result["suppressions"] = [{"kind": "inSource", "status": "accepted", "justification": answer}]
    return result


def _problem(problem: Problem, index: int) -> dict[str, Any]:
    text = (f"{problem.path}: " if problem.path else "") + problem.wrong + (f"\n{problem.instead}" if problem.instead else "")
    return _result(UNUSABLE, index, "error", text, problem.where)


def _result(code: str, index: int, level: str, text: str, where: Where) -> dict[str, Any]:
    return {
        "ruleId": code,
        "ruleIndex": index,
        "level": level,
        "message": {"text": text},
        "locations": [
            {
                "physicalLocation": {
                    "artifactLocation": {"uri": _uri(where.file)},
                    "region": {"startLine": max(where.line, 1), "startColumn": max(where.column, 1)},
                }
            }
        ],
    }


def _uri(file: str) -> str:
    """RFC 3986 reference: a file: URI of an absolute path, else the path as it was given, escaped."""
    path = Path(file)
    return path.as_uri() if path.is_absolute() else quote(path.as_posix())

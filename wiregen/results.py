"""What a command prints on standard output, as text for a person and as JSON; `sarif` does the same for CI services."""

from __future__ import annotations

import json
from collections import Counter
from collections.abc import Iterable, Iterator, Mapping, Sequence
from math import isinf
from textwrap import indent
from typing import Any

from wiregen.packet.wording import TOPICS, by_topic, expected
from wiregen.quantities import bound, percent, quantity, spread
from wiregen.reading.model import Problem, Where
from wiregen.review.model import Finding
from wiregen.study.model import Figure, Reading, Study


def place(where: Where) -> dict[str, Any]:
    return {"file": where.file, "line": where.line, "column": where.column}


def finding_data(finding: Finding) -> dict[str, Any]:
    """A finding as plain data, the keys in the order in which they are read."""
    return {
        "code": finding.code,
        "level": finding.level,
        "doors": list(marked(finding)),
        **place(finding.where),
        "message": finding.message,
        "cure": finding.cure,
        "source": finding.source,
        "approved": finding.approved,
    }


def problem_data(problem: Problem) -> dict[str, Any]:
    return {**place(problem.where), "path": problem.path, "wrong": problem.wrong, "instead": problem.instead}


def marked(finding: Finding) -> tuple[str, ...]:
    """The doors that a finding marks."""
    return (finding.door,) if finding.door is not None else finding.doors


def findings_text(findings: Iterable[Finding], doors: int) -> str:
    """The findings, worst first within a file's order, and their number."""
    findings = tuple(findings)
    blocks = [_finding_text(finding) for finding in findings]
    count = Counter(finding.level for finding in findings)
    blocks.append(f"{doors} door{'' if doors == 1 else 's'}: {count['stop']} stop, {count['warn']} warn, {count['note']} note")
    return "\n".join(blocks)


def _finding_text(finding: Finding) -> str:
    doors = ", ".join(marked(finding))
    head = f"{finding.where}: {finding.level} {finding.code}" + (f" ({doors})" if doors else "")
    lines = [head, indent(finding.message, "    ")]
    if finding.approved:
        lines.append(f"    approved: {finding.approved}")
    if finding.cure:
        lines.append(indent("cure: " + finding.cure, "    "))
    return "\n".join(lines)


def study_text(study: Study) -> str:
    """Every figure of a door by topic, with all that it is worked out from; then what a meter should show."""
    lines = [f"Door {study.door}", ""]
    for topic, figures in by_topic(study.figures).items():
        lines += [TOPICS[topic], ""]
        lines += [line for figure in figures for line in _figure_text(figure)]
    if study.readings:
        lines += ["Readings", ""]
        lines += [line for reading in study.readings for line in _reading_text(reading)]
    lines += [f"not computed: {what}" for what in study.missing]
    return "\n".join(lines).rstrip()


def _figure_text(figure: Figure) -> Iterator[str]:
    about = f" ({figure.about})" if figure.about else ""
    band = "" if figure.least == figure.value == figure.most else f" ({spread(figure.least, figure.most, figure.unit)})"
    yield f"{figure.name}{about}: {quantity(figure.value, figure.unit)}{band}"
    yield f"    = {figure.formula}"
    if figure.inputs:
        named = (f"{name} = {value:.9g} {figure.units.get(name, '')}".rstrip() for name, value in figure.inputs.items())
        yield "    with " + ", ".join(named)
    if figure.hand is not None:
        yield f"    by hand: {quantity(figure.hand, figure.unit)} (the formula; the value is the network's)"
    if figure.margin is not None:
        verdict = "FAILS: " if figure.margin < 0 else ""
        yield f"    {verdict}must be {bound(figure)}; margin {percent(figure.margin)}" + (
            f"; {figure.bound}" if figure.bound else "")  # fmt: skip
    if figure.cure and (figure.margin or 0) < 0:
        yield f"    cure: {figure.cure}"
    if figure.note:
        yield f"    note: {figure.note}"
    yield f"    source: {figure.source}"
    yield ""


def _reading_text(reading: Reading) -> Iterator[str]:
    ends = " to ".join(map(str, reading.between))
    yield f"{ends}, {reading.state}: {expected(reading)} ({reading.what})"
    yield f"    {reading.how + '; ' if reading.how else ''}{reading.basis}"
    yield ""


def study_data(study: Study) -> dict[str, Any]:
    return {
        "door": study.door,
        "figures": [
            {
                "topic": f.topic, "name": f.name, "about": f.about, "value": _limit(f.value), "unit": f.unit,
                "least": _limit(f.least), "most": _limit(f.most), "formula": f.formula,
                "inputs": {name: _limit(value) for name, value in f.inputs.items()}, "units": dict(f.units), "hand": f.hand,
                "source": f.source, "note": f.note, "floor": f.floor, "ceiling": f.ceiling, "bound": f.bound,
                "margin": f.margin, "cure": f.cure,
            }
            for f in study.figures
        ],
        "readings": [
            {
                "between": [str(end) for end in r.between], "state": r.state, "nominal": _limit(r.nominal), "least": r.least,
                "most": _limit(r.most), "unit": r.unit, "what": r.what, "how": r.how, "basis": r.basis,
            }
            for r in study.readings
        ],
        "missing": list(study.missing),
    }  # fmt: skip


def _limit(value: float) -> float | None:
    """None where there is no limit: JSON has no infinity."""
    return None if isinf(value) else value


def as_json(data: Mapping[str, Any] | Sequence[Any]) -> str:
    return json.dumps(data, indent=2, ensure_ascii=False, allow_nan=False)

"""What somebody has answered for: a warning accepted with a reason becomes a note, a stop approved becomes a warning."""

from __future__ import annotations

import difflib
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import replace

from wiregen.reading.model import Acceptance, Door
from wiregen.review.model import Finding
from wiregen.review.rule import COMMON, Rule

nothing_accepted = Rule("accepted-nothing", "warn", "what is accepted is found at the door", COMMON, approvable=False)


def answered(findings: Iterable[Finding], door: Door, rules: Mapping[str, Rule]) -> Iterator[Finding]:
    """A door's findings with its `accept` applied, and a warning for each that accepts nothing."""
    accepted = {acceptance.code: acceptance for acceptance in door.accept}
    met = set()
    for finding in findings:
        acceptance = accepted.get(finding.code)
        if acceptance is None or finding.level == "note":
            yield finding
            continue
        met.add(finding.code)
        yield _answered(finding, acceptance)
    for code in sorted(accepted.keys() - met):
        yield _nothing(accepted[code], door, rules)


def _answered(finding: Finding, acceptance: Acceptance) -> Finding:
    if finding.level == "warn":
        accepted = ", ".join(filter(None, (acceptance.reason, acceptance.by)))
        return replace(finding, level="note", message=f"{finding.message} (accepted: {accepted})", accepted=accepted)
    if not finding.approvable:
        return replace(finding, message=f"{finding.message} (no approval can stand in for this)")
    missing = [word for word in ("who", "date", "clause") if not getattr(acceptance, word)]
    if missing:
        return replace(finding, message=f"{finding.message} (an approval of a stop needs {', '.join(missing)})")
    approval = f"{acceptance.who}, {acceptance.date}, {acceptance.clause}: {acceptance.reason}"
    return replace(finding, level="warn", approved=approval)


def _nothing(acceptance: Acceptance, door: Door, rules: Mapping[str, Rule]) -> Finding:
    known = acceptance.code in rules
    near = difflib.get_close_matches(acceptance.code, rules, n=1)
    message = f"{acceptance.code} is accepted, and nothing of that code is found" if known else f"no rule {acceptance.code}"
    return Finding(
        code=nothing_accepted.code,
        level=nothing_accepted.level,
        message=message,
        cure="take it out" if known or not near else f"did you mean {near[0]}?",
        where=acceptance.where,
        source=nothing_accepted.source,
        door=door.id,
    )


RULES = (nothing_accepted,)

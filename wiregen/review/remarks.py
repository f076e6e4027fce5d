"""What wiring had to choose or could not help seeing, told under its code."""

from __future__ import annotations

from collections.abc import Iterator

from wiregen.review.model import Level
from wiregen.review.rule import Case, Found, Rule, door_rule

ELSEWHERE = ("calmer-missing",)  # a rule of its own looks at the copper
OTHER = "wiring"


def _remarks(code: str, level: Level, words: str, cure: str = "") -> Rule:
    def told(case: Case) -> Iterator[Found]:
        for remark in case.wiring.remarks:
            if remark.code == code or (code == OTHER and remark.code not in KNOWN):
                yield Found(remark.where or case.door.where, remark.text, cure)

    return door_rule(code, level, words)(told)


RULES = (
    _remarks("contacts-in-parallel", "warn", "contacts that open to tell are in series on an input, never side by side",
             "let each tell the one before it"),
    _remarks("contact-at-rest", "note", "of two contacts that do alike the one at rest in idle is taken",
             "nothing to do, or write the side"),
    _remarks("line-cable-small", "note", "a data line and what goes with it fit into one cable",
             "a cable with more cores in `stock: line`"),
    _remarks("line-end", "warn", "a data line of two wires has its resistors at its two ends and nowhere else",
             "set: {line-end: in} at the two ends, out between"),
    _remarks("line-star", "warn", "a data line of two wires goes from device to device, with no branches",
             "let each device speak to the one before it: speaks: U1.line"),
    _remarks("other-door", "note", "what another door lands here is said", "nothing to do: both sheets show it"),
    _remarks(OTHER, "note", "what the wiring had to choose is said", "nothing to do"),
)  # fmt: skip
KNOWN = {rule.code for rule in RULES} | set(ELSEWHERE)

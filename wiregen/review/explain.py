"""The whole story of a rule, as text for a person, as plain data, and as SARIF shows it beside a finding."""

from __future__ import annotations

from collections.abc import Iterator
from textwrap import fill, indent
from typing import Any

from wiregen.review.rule import Rule
from wiregen.review.stories import stories
from wiregen.review.thirty import thirty

WIDTH = 100  # of the text
APPROVED = "{reason: why, who: name, date: 2026-11-12, clause: code and clause}"


def explained(rule: Rule) -> dict[str, Any]:
    """The story with what the rule says of itself, the keys in the order in which they are read."""
    story = stories()[rule.code]
    return {
        "code": rule.code,
        "level": rule.level,
        "asks": rule.words,
        "symptom": story.symptom,
        "cause": story.cause,
        "found": story.found,
        "cure": story.cure,
        "example": story.example,
        "prints": story.prints,
        "approval": " ".join(filter(None, (approval(rule), story.approval))),
        "accept": accept(rule),
        "source": rule.source,
        "answers": "; ".join(f"no. {one.number}: {one.mistake}" for one in thirty() if rule.code in one.rules),
    }


def accept(rule: Rule) -> str:
    """The key of a door that answers for a finding of the rule; empty where none can."""
    if rule.level == "note" or not rule.approvable:
        return ""
    return f"accept: {{{rule.code}: {APPROVED if rule.level == 'stop' else 'reason'}}}"


def approval(rule: Rule) -> str:
    """What becomes of the finding with that key."""
    match rule.level, rule.approvable:
        case "note", _:
            return "There is nothing to answer for: a note stops and warns of nothing."
        case "warn", True:
            return f"In the door's spec `{accept(rule)}` makes it a note that carries the reason."
        case "stop", True:
            return (
                f"In the door's spec `{accept(rule)}` makes it a warning, printed on the data sheet with room for the "
                "approver to sign."
            )
    return "None can stand in for the cure" + (": the door stays stopped until then." if rule.level == "stop" else ".")


TITLES = {
    "symptom": "What people meet",
    "cause": "Why",
    "found": "How it is found",
    "cure": "Cure",
    "example": "For example",
    "prints": "In the packet",
    "approval": "Approval",
    "source": "Source",
    "answers": "Of the trade's thirty (wiregen/review/thirty.yaml)",
}


def explained_text(rule: Rule) -> str:
    told = explained(rule)
    return "\n\n".join((f"{rule.code} ({rule.level}): {rule.words}", *_paragraphs(told)))


def _paragraphs(told: dict[str, Any]) -> Iterator[str]:
    for key, title in _said(told):
        text = told[key] if key == "example" else fill(told[key], WIDTH - 4, break_long_words=False, break_on_hyphens=False)
        yield f"{title}\n{indent(text, ' ' * 4)}"


def _said(told: dict[str, Any]) -> Iterator[tuple[str, str]]:
    return ((key, title) for key, title in TITLES.items() if told[key])


def explained_markdown(rule: Rule) -> str:
    """The same for a service that shows Markdown."""
    told = explained(rule)
    parts = (
        f"**{title}.** " + (f"\n\n```yaml\n{told[key]}\n```" if key == "example" else told[key])
        for key, title in _said(told)
    )
    return "\n\n".join((f"**{rule.code}** ({rule.level}): {rule.words}", *parts))

"""Conditions of contacts in words: what has to be so for a contact to be closed or moved, and its opposite."""

from __future__ import annotations

from collections.abc import Sequence

from wiregen.reading.model import Condition

# condition word of a data sheet → (it holds, it does not)
SAID = {
    "powered": ("powered", "unpowered"),
    "mains": ("mains on", "mains off"),
    "grant": ("granted", "not granted"),
    "call": ("called", "not called"),
    "pressed": ("pressed", "not pressed"),
    "motion": ("motion seen", "no motion"),
    "vehicle": ("vehicle there", "no vehicle"),
    "shut": ("door shut", "door open"),
    "latched": ("latched", "not latched"),
    "bonded": ("armature on the magnet", "armature off the magnet"),
    "thrown": ("bolt thrown", "bolt drawn back"),
    "open": ("open", "not open"),
    "fire": ("fire", "no fire"),
    "tampered": ("off its wall", "on its wall"),
    "alarm": ("alarm", "no alarm"),
    "passed": ("passed", "not passed"),
    "chosen": ("chosen", "not chosen"),
}


def _said(word: str, holds: bool) -> str:
    return SAID.get(word, (f"{word} active", f"{word} not active"))[0 if holds else 1]


def when(conditions: Sequence[Condition]) -> str:
    """All of the conditions hold."""
    return ", ".join(" or ".join(_said(w, not c.negated) for w in c.any_of) for c in conditions)


def otherwise(conditions: Sequence[Condition]) -> str:
    """At least one of them does not: each with "or" between."""
    return " or ".join(" and ".join(_said(w, c.negated) for w in c.any_of) for c in conditions)

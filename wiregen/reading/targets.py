"""What a relation points at: `A1`, `A1.relay`, `A1.relay.break`, `A1:3`, `D117/A1.door`, `A1.relay or A2.relay`, `mains`."""

from __future__ import annotations

import re
from collections.abc import Callable
from typing import TypeVar

from wiregen.reading.model import Target

RESERVED = frozenset({"none", "make", "break", "plus", "minus"})  # as names of groups; `mains` as a target only

Made = TypeVar("Made")

TARGET = re.compile(
    r"(?:(?P<door>[^\s/:]+)/)?(?P<device>[^\s/:.]+)(?::(?P<terminal>\S+)|(?:\.(?P<group>[^\s/:.]+))?(?:\.(?P<side>make|break))?)"
)


def target(word: str) -> Target:
    """ValueError if the word points at nothing."""
    if word in ("mains", "none"):
        return Target("", word=word)
    found = TARGET.fullmatch(word)
    if found is None:
        raise ValueError(f"{word} is no device, group or terminal")
    side = found["side"]
    return Target(
        found["device"],
        group=found["group"],
        side="make" if side == "make" else "break" if side == "break" else None,
        terminal=found["terminal"],
        door=found["door"],
    )


def alternatives(word: str, make: Callable[[str], Made]) -> tuple[Made, ...]:
    """`A or B` as two targets side by side; one word as one."""
    return tuple(make(part) for part in re.split(r"\s+or\s+", word))

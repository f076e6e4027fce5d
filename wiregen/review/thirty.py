"""Thirty mistakes that are made most at doors, and what answers each: rules, keys, printed steps (thirty.yaml)."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache

from wiregen.review.stories import packaged


@dataclass(frozen=True, kw_only=True)
class Mistake:
    """One of the thirty: `rules` find it, `keys` of the language ask for it, `prints` shows it on paper.

    A key is a path through a schema ("door.use.longest"); of `prints` each is the title of a page and words of one row of it.
    """

    number: int
    mistake: str
    rules: tuple[str, ...] = ()
    keys: tuple[str, ...] = ()
    prints: tuple[tuple[str, str], ...] = ()


@cache
def thirty() -> tuple[Mistake, ...]:
    """The trade's thirty, in their order."""
    return tuple(
        Mistake(
            number=number,
            mistake=told["mistake"],
            rules=tuple(told.get("rules", ())),
            keys=tuple(told.get("keys", ())),
            prints=tuple(told.get("prints", {}).items()),
        )
        for number, told in packaged("thirty").items()
    )

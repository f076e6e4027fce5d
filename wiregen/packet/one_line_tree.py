"""A tree of boxes joined by single lines, as it is drawn from left to right."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True)
class Node:
    """A box: designation, what it is, where it stands, and words below; `again` where it was drawn before and goes on here."""

    ref: str
    name: str
    place: str
    words: tuple[str, ...] = ()
    branches: tuple[Branch, ...] = ()
    again: bool = False


@dataclass(frozen=True)
class Branch:
    """A line that leaves a box: by what it leaves, the symbol on it, a word below; `inward` where it feeds the box."""

    label: str
    look: str  # fuse, battery, contact, link, or empty
    word: str
    to: Node
    inward: bool = False

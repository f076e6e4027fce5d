"""A page as it is set: its ink, and what can be filled in only when it is bound with others."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True)
class Number:
    """Words with a page number in them, at a place in points from the left and from below.

    `{page}` stands for the page itself or, with `of`, for the one on which that section begins; `{pages}` for how many there
    are.  Set to end at the place; or, `upwards`, to begin there and read upwards.
    """

    words: str
    x: float
    y: float
    size: float
    of: str = ""
    upwards: bool = False


@dataclass(frozen=True)
class Link:
    """Leads to the section with that key from between two corners: left, low, right, high, in points."""

    key: str
    corners: tuple[float, float, float, float]


@dataclass(frozen=True)
class Opens:
    """Here begins the section with that key, under bookmarks of title and level."""

    key: str
    bookmarks: tuple[tuple[str, int], ...]


@dataclass(frozen=True)
class Page:
    """`ink` is a PDF content stream (ISO 32000-1, 7.8.2) in the encoding that `wiregen.fonts.fix_encoding` fixes."""

    ink: str
    numbers: tuple[Number, ...] = ()
    links: tuple[Link, ...] = ()
    opens: tuple[Opens, ...] = ()

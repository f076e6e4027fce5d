"""What a page says before it has a size: plain values that can be printed, hashed and tested alike.

Every text is taken literally: there is no mark-up in it, so that `<`, `&` and quotes print as they are written.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from wiregen.packet.one_line_tree import Node
from wiregen.packet.release_chain import Run


@dataclass(frozen=True)
class Strong:
    """Bold text."""

    text: str


@dataclass(frozen=True)
class Fails:
    """What does not hold, white on black: it stands out in a black-and-white print too."""

    text: str


@dataclass(frozen=True)
class Gauge:
    """A band, its nominal value and its limits as they are printed beside it, as a picture: how far the band keeps from what
    it must keep to.
    """

    least: float
    nominal: float
    most: float
    floor: float | None
    ceiling: float | None


@dataclass(frozen=True)
class Revision:
    """A revision mark: a triangle with the letter of the revision, as on the wiring sheets."""

    letter: str


@dataclass(frozen=True)
class Tick:
    """Boxes to be ticked by hand, drawn, not typed."""

    boxes: int = 1


@dataclass(frozen=True)
class Write:
    """A box to write a reading, a name or initials in; `unit` stands at its right."""

    unit: str = ""


@dataclass(frozen=True)
class GoTo:
    """Text that leads to the section of that key."""

    text: str
    key: str


@dataclass(frozen=True)
class PageOf:
    """The number of the page on which the section of that key begins; leads there."""

    key: str


Cell = str | Strong | Fails | Gauge | Revision | Tick | Write | GoTo | PageOf


@dataclass(frozen=True)
class Column:
    """`share` of the width of the page, against the other columns of the table."""

    title: str
    share: float
    align: Literal["left", "right", "middle"] = "left"


@dataclass(frozen=True)
class Table:
    """Rows under column titles; `caption` and titles come again where the table goes on overleaf.

    A row of one cell is a heading across all columns, which stays with the row below it and comes again overleaf.  The last
    cell of any other row that is too short reaches over the columns that are left.
    `by_hand` leaves room for a pencil in each row.
    """

    caption: str
    columns: tuple[Column, ...]
    rows: tuple[tuple[Cell, ...], ...]
    by_hand: bool = False


@dataclass(frozen=True)
class Facts:
    """Names and values, read down each of `across` columns."""

    rows: tuple[tuple[str, str], ...]
    across: int = 2
    caption: str = ""


@dataclass(frozen=True)
class Notes:
    """Sentences, one below the other, read down each of `across` columns; `caution` puts them into a heavy frame."""

    items: tuple[str, ...]
    across: int = 2
    caption: str = ""
    numbered: bool = False
    caution: bool = False


@dataclass(frozen=True)
class Trace:
    """A line of a graph through points, equally many of both."""

    label: str
    x: tuple[float, ...]
    y: tuple[float, ...]


@dataclass(frozen=True)
class Graph:
    """Lines over common axes, told apart by their strokes; units stand in the titles.  `level` is a height of y to be seen."""

    title: str
    x_title: str
    y_title: str
    traces: tuple[Trace, ...]
    level: tuple[str, float] | None = None


@dataclass(frozen=True)
class Graphs:
    """Graphs side by side, `across` of them in a row."""

    items: tuple[Graph, ...]
    across: int = 3
    caption: str = ""


@dataclass(frozen=True)
class Chains:
    """Release chains, drawn in rows with the symbols of the house; `signed` gives each contact fields to sign in."""

    runs: tuple[Run, ...]
    symbols: str
    signed: bool = True


@dataclass(frozen=True)
class OneLine:
    """Trees of boxes, drawn with the symbols of the house in pieces no taller than `tall` points."""

    caption: str
    roots: tuple[Node, ...]
    symbols: str
    tall: float


@dataclass(frozen=True)
class Room:
    """An empty frame to draw in by hand, `height` mm high."""

    caption: str
    height: float


Block = Table | Facts | Notes | Graphs | Chains | OneLine | Room


@dataclass(frozen=True)
class Section:
    """Pages that hang together under one title.  `key` is unique in the packet.  A wiring sheet has no blocks."""

    key: str
    title: str
    blocks: tuple[Block, ...] = ()


def blocks(*given: Block | None) -> tuple[Block, ...]:
    """The blocks that say something: an empty table or list is left out with its caption."""
    return tuple(b for b in given if b is not None and _told(b))


def _told(block: Block) -> tuple[object, ...]:
    match block:
        case Notes() | Graphs():
            return block.items
        case Chains():
            return block.runs
        case OneLine():
            return block.roots
        case Room():
            return (block.caption,)
    return block.rows

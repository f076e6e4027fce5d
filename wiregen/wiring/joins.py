"""Joins: two terminals that copper is to lead to one another, and the stock parts that stand between."""

from __future__ import annotations

from dataclasses import dataclass

from wiregen.reading.model import DataSheet, Gives, Group, Takes, Where
from wiregen.wiring.model import End


@dataclass(frozen=True)
class Join:
    """Two terminals to be joined, `a` the upstream one.

    `heavy` marks a lock circuit (stock.power), `line` a data line that wants a screened pair (stock.line).  `ref` joins are
    left out where both ends are one potential already.
    """

    a: End
    b: End
    row: str
    circuit: str
    function: str
    order: tuple[int, ...]
    where: Where | None
    heavy: bool = False
    line: bool = False
    ref: bool = False
    pole: str = ""  # plus, minus or earth, where it is one
    colour: str | None = None


@dataclass(frozen=True)
class Added:
    """A device added from stock beside another one."""

    ref: str
    sheet: DataSheet
    place: str
    beside: str


def poles(group: Group) -> tuple[str, str]:
    """The terminals at plus and minus, or the two poles, of what takes or gives direct or alternating current."""
    if not isinstance(group, (Gives, Takes)) or group.first is None or group.second is None:
        raise TypeError(f"{group.name} has no two poles")
    return group.first, group.second


def between(group: Group) -> tuple[str, str]:
    """The two terminals of a contact or pass."""
    pair: tuple[str, str] | None = getattr(group, "between", None)
    if pair is None:
        raise TypeError(f"{group.name} has no two terminals")
    return pair

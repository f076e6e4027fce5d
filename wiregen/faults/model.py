"""A single fault of a door."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from wiregen.states.struck import WHOLE, Strike
from wiregen.study.elements import Element
from wiregen.study.network import Link
from wiregen.wiring.model import End

Kind = Literal["open", "short", "frame", "dead", "fuse", "welded", "stuck", "calmer", "swapped"]


@dataclass(frozen=True, kw_only=True)
class Fault:
    """`key` is unique within the door and stays from build to build; `words` say it to a technician.

    What it does: `links` and `strike` to the network and the logic, `instead` to elements of the network (of one kind of change
    each, so that few networks are made).  `bonded`: it is only one while the supply's 0 V is bonded to earth.
    """

    key: str
    kind: Kind
    words: str
    at: tuple[End, ...]  # terminals between which it lies
    links: tuple[Link, ...] = ()
    strike: Strike = WHOLE
    instead: tuple[Element, ...] = ()
    bonded: bool = False
    wires: tuple[str, ...] = ()  # wire numbers

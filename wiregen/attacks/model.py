"""An attack, and what comes of it."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from wiregen.reading.model import RelationKind
from wiregen.states.model import LockIs
from wiregen.states.settle import Point
from wiregen.wiring.model import End

Kind = Literal["joined", "cut", "fed", "pulled off"]


@dataclass(frozen=True)
class Attack:
    """One step.  `volts` of a foreign source stand at the first of `at` against the second; `wires` are what is cut."""

    kind: Kind
    point: Point
    at: tuple[End, ...] = ()
    wires: tuple[str, ...] = ()
    volts: float = 0.0


@dataclass(frozen=True)
class Success:
    """`lets_go` are locks that are held at rest and then are not; `moves` inputs that free or open something, then worked."""

    attack: Attack
    lets_go: tuple[tuple[str, LockIs], ...]
    moves: tuple[str, ...]
    swings: tuple[str, ...]


@dataclass(frozen=True)
class Tried:
    """All attacks on a door: how many of each kind, and those that succeed."""

    counts: tuple[tuple[Kind, int], ...]
    successes: tuple[Success, ...]


@dataclass(frozen=True)
class Mend:
    """A change of the spec: at which device (its first relation of `kind`, where one is named), and what to write."""

    ref: str
    kind: RelationKind | None
    cure: str


@dataclass(frozen=True)
class Cured:
    """Changes after which, tried again, no attack succeeds; where `proved` is false some still do, or none was found."""

    mends: tuple[Mend, ...]
    proved: bool

"""What a door does in its states, as it is told and printed."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Literal

from wiregen.reading.model import Band

LockIs = Literal["held", "free", "not certain"]
Leave = Literal["free", "barred"]
Enter = Literal["free", "credential", "barred"]


@dataclass(frozen=True)
class LockDoes:
    """A lock in a state; volts and amps at its load, None where the network does not hold it (a machine on mains)."""

    does: LockIs
    volts: Band | None = None
    amps: Band | None = None


@dataclass(frozen=True)
class Doing:
    """A state of the door.  `leave` and `enter` count the mechanics in: whether somebody who then tries surely gets through.

    `contacts` are those that stand otherwise than at rest, with whether they are closed; `told` the inputs that read otherwise,
    with whether they are worked.  `off` outputs give nothing and `dark` loads have no power that do at rest.  `swings` names
    what does not come to rest.
    """

    state: str
    locks: Mapping[str, LockDoes]
    leave: Leave
    enter: Enter
    contacts: tuple[tuple[str, bool], ...] = ()
    told: tuple[tuple[str, bool], ...] = ()
    off: tuple[str, ...] = ()
    dark: tuple[str, ...] = ()
    swings: tuple[str, ...] = ()


@dataclass(frozen=True)
class DoorStates:
    door: str
    rows: tuple[Doing, ...]

    def row(self, state: str) -> Doing:
        """KeyError where the door does not know that state."""
        for row in self.rows:
            if row.state == state:
                return row
        raise KeyError(state)

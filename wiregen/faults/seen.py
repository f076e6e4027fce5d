"""What shows of a fault without a meter, state by state: what locks do, which devices are dark, what the inputs tell."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property

import numpy as np
from numpy.typing import NDArray

from wiregen.faults.effects import Trials, Tried
from wiregen.reading.model import Jack, Takes

Flags = NDArray[np.bool_]


@dataclass(frozen=True)
class Sign:
    """One thing to be seen: of `what` ("Y1", "U1", "A1.door") that it `is` "free", "dark" or "active", or is not."""

    what: str
    is_: str
    state: str


class Seen:
    """`is_so` and `certain`, both (the whole door and its faults, signs): a lock between its volts is neither held nor free."""

    def __init__(self, trials: Trials) -> None:
        self.trials = trials
        wiring = trials.wiring
        self.locks = tuple(lock.device for lock in trials.locks)
        self.devices = tuple(
            ref
            for ref, device in wiring.devices.items()
            if ref not in self.locks
            and any(isinstance(g, Takes) or (isinstance(g, Jack) and g.poe == "in") for g in device.sheet.groups.values())
        )
        self.inputs = tuple(at for at in trials.settler.gauge.inputs if at.device in wiring.devices)
        states = [state.name for state in trials.states]
        things = [*((lock, "free") for lock in self.locks), *((ref, "dark") for ref in self.devices),
                  *((str(at), "active") for at in self.inputs)]  # fmt: skip
        self.signs = tuple(Sign(what, is_, state) for state in states for what, is_ in things)
        self.column = {sign: n for n, sign in enumerate(self.signs)}

    @cached_property
    def _told(self) -> tuple[Flags, Flags]:
        told = [self._of(tried) for tried in self.trials.tried]
        is_so, certain = (np.array(of, dtype=bool).reshape(len(told), len(self.signs)) for of in zip(*told, strict=True))
        return is_so, certain

    @property
    def is_so(self) -> Flags:
        return self._told[0]

    @property
    def certain(self) -> Flags:
        return self._told[1]

    def unlike_whole(self, sign: Sign, is_so: bool) -> bool:
        """Whether a whole door surely shows something else."""
        n = self.column[sign]
        return bool(self.certain[0, n]) and bool(self.is_so[0, n]) != is_so

    def _of(self, tried: Tried) -> tuple[list[bool], list[bool]]:
        is_so: list[bool] = []
        certain: list[bool] = []
        settled = tried.settled
        at = [settled.gauge.inputs.index(one) for one in self.inputs]
        for state in self.trials.states:
            _, row = tried.rows[state.name][0]
            does = [tried.does[state.name][lock] for lock in self.trials.locks]
            logic, case = settled.logics[row], settled.points[row].case
            is_so += [
                *(one == "free" for one in does),
                *(not logic.alive(case, ref) for ref in self.devices),
                *(bool(settled.active[row, n]) for n in at),
            ]
            certain += [*(one != "not certain" for one in does), *(True for _ in (*self.devices, *self.inputs))]
        return is_so, certain

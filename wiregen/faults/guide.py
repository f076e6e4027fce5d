"""A door's fault guide: from what somebody complains of to what to push and see, to what to measure, to what it most likely is.

For each complaint the faults that give it are halved by one measurement after the other: what shows other than the good value
names the likeliest classes, what shows the good value is left for the next.  All is read off the faults as they were worked
out; only what a page holds is kept.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from wiregen.faults.classes import Classes, classes
from wiregen.faults.effects import Trials
from wiregen.faults.look import look
from wiregen.faults.model import Fault
from wiregen.faults.readings import BEFORE, Between, Moment, Readings, error
from wiregen.faults.seen import Seen, Sign
from wiregen.faults.suspects import TIE, WORTH
from wiregen.reading.model import Band
from wiregen.states.happenings import Happening
from wiregen.study.worst import Volts as Asked
from wiregen.study.worst import bands

CHECKS = 3  # of a complaint
ROWS = 24  # checks that a page holds
NAMED = 4  # classes named at a check


@dataclass(frozen=True)
class Likely:
    """Faults that no meter can tell apart, and V that then show (of the first of them)."""

    faults: tuple[Fault, ...]
    volts: float


@dataclass(frozen=True)
class Check:
    """The first terminal of `between` takes the red lead.  `good` is what the whole door shows, least to most by its data
    sheets; `likely` what it is where something else shows, of which `more` classes are not named."""

    between: Between
    moment: Moment
    before: str  # what must be done first
    good: Band
    likely: tuple[Likely, ...]
    more: int


@dataclass(frozen=True)
class Complaint:
    """`faults` single faults give it.  `left`: what it most likely is where every check is good, `more` classes unnamed."""

    sign: Sign
    is_so: bool
    words: str
    faults: int
    looks: tuple[str, ...]
    checks: tuple[Check, ...]
    left: tuple[tuple[Fault, ...], ...]
    more: int


@dataclass(frozen=True)
class Guide:
    """The commonest complaints first; `left_out` are those for which the page has no room, in words."""

    door: str
    complaints: tuple[Complaint, ...]
    left_out: tuple[str, ...]


def guide(trials: Trials) -> Guide:
    """Raises NotSolved where a fault has no operating point that can be found."""
    readings, seen = Readings(trials), Seen(trials)
    writer = _Writer(readings, seen, classes(readings, seen))
    found: list[Complaint] = []
    left_out: list[str] = []
    room = ROWS
    for sign, is_so, words, rows in writer.complaints():
        complaint = writer.write(sign, is_so, words, rows)
        if len(complaint.checks) > room or left_out:
            left_out.append(words)
        else:
            found.append(complaint)
            room -= max(len(complaint.checks), 1)
    return Guide(trials.door.id, writer.with_bands(found), tuple(left_out))


class _Writer:
    def __init__(self, readings: Readings, seen: Seen, of: Classes) -> None:
        self.readings, self.seen, self.classes, self.trials = readings, seen, of, readings.trials
        self.home = {row: k for k, one in enumerate(of.of) for row in one}
        self.volts = readings.volts[:, readings.distinct[:, 0], readings.distinct[:, 1]]
        off = error(self.volts)
        self.bad = np.abs(self.volts - self.volts[0]) > off + off[0]  # (rows, distinct readings)
        self.fire = np.array([readings.moments[m].fire for m, _ in readings.distinct], dtype=bool)

    # ---- complaints

    def complaints(self) -> Iterator[tuple[Sign, bool, str, list[int]]]:
        """What is otherwise than at the whole door in daily use, with the faults that give it, in the order of `_rank`."""
        found = []
        for n, sign in enumerate(self.seen.signs):
            due = bool(self.seen.is_so[0, n])
            if not self._counts(sign, n, due):
                continue
            other = (self.seen.is_so[:, n] != due) & self.seen.certain[:, n]
            rows = [int(row) for row in np.flatnonzero(other) if row in self.home]
            if rows:
                found.append((sign, not due, self._words(sign, not due), rows))
        yield from sorted(found, key=lambda one: (self._rank(one[0], one[1]), -len(one[3])))

    def _counts(self, sign: Sign, n: int, due: bool) -> bool:
        """A device is looked at once, a bank by one of its locks, an input at rest and where it ought to be otherwise."""
        state = self._state(sign)
        daily = state.case.state != "fire" and state.strike.mains
        idle = sign.state == self.trials.states[0].name
        if not daily or not self.seen.certain[0, n]:
            return False
        if sign.is_ == "dark":
            return idle and not due
        if sign.is_ == "active":
            return idle or due != bool(self.seen.is_so[0, self.seen.column[replace(sign, state=self.trials.states[0].name)]])
        return sign.what not in self._likewise()[1:] and (idle or due)

    def _likewise(self) -> list[str]:
        """The locks of a bank that take turns."""
        return list(dict.fromkeys(moment.lock for moment in self.readings.moments if moment.lock))

    def _state(self, sign: Sign) -> Happening:
        return next(state for state in self.trials.states if state.name == sign.state)

    def _rank(self, sign: Sign, is_so: bool) -> int:
        """How common it is: common practice, no source."""
        if sign.is_ == "free":
            way = self._state(sign).way
            return 1 if is_so else 2 if way else 0
        return 3 if sign.is_ == "dark" else 4

    def _words(self, sign: Sign, is_so: bool) -> str:
        when = self._when(sign)
        if sign.is_ == "free":
            others = self._likewise()[1:] if sign.what in self._likewise()[:1] else []
            alike = f" (likewise {', '.join(others)})" if others else ""
            return f"{sign.what}{alike} {'does not hold' if is_so else 'stays held'} {when}"
        if sign.is_ == "dark":
            return f"{sign.what} is dark"
        return f"{sign.what} is told {when}" if is_so else f"{sign.what} is not told {when}"

    def _when(self, sign: Sign) -> str:
        if self._state(sign).way:
            return f"when one leaves by {sign.state.removeprefix('exit-').replace('-', ' ')}"
        return "at rest" if sign.state == self.trials.states[0].name else f"on {sign.state}"

    # ---- checks

    def write(self, sign: Sign, is_so: bool, words: str, rows: list[int]) -> Complaint:
        left = np.array(rows, dtype=np.intp)
        checks: list[Check] = []
        while len(checks) < CHECKS and (column := self._halving(left)) is not None:
            bad = self.bad[left, column]
            checks.append(self._check(column, left[bad]))
            left = left[~bad]
        named = self._by_class(left)
        return Complaint(
            sign=sign,
            is_so=is_so,
            words=words,
            faults=len(rows),
            looks=tuple(look(self.trials, sign, is_so)),
            checks=tuple(checks),
            left=tuple(self._faults(of) for of in named[:NAMED]),
            more=max(len(named) - NAMED, 0),
        )

    def _halving(self, left: NDArray[np.intp]) -> int | None:
        """The easiest of the readings that part the faults most evenly into good and not; the fire state last."""
        if not len(left):
            return None
        share = self.bad[left].mean(axis=0)
        both = np.array([share, 1 - share])
        bits = -(both * np.log2(np.where(both > 0, both, 1.0))).sum(axis=0)
        bits[share == 1] = WORTH if len(left) else 0.0  # it parts nothing, and yet shows that something is wrong
        for of in (~self.fire, self.fire):
            told = np.where(of, bits, 0.0)
            if told.max(initial=0.0) >= WORTH:
                return int(np.flatnonzero(told >= max(told.max() - TIE, WORTH))[0])
        return None

    def _check(self, column: int, bad: NDArray[np.intp]) -> Check:
        moment, point = (int(n) for n in self.readings.distinct[column])
        between, sign = self.readings.points[point], 1.0
        shown = self.volts[[0, *bad], column]
        if shown[np.argmax(np.abs(shown))] < 0:
            between, sign = replace(between, a=between.b, b=between.a), -1.0
        named = self._by_class(bad)
        good = sign * float(self.volts[0, column]) + 0.0
        return Check(
            between=between,
            moment=self.readings.moments[moment],
            before=BEFORE.get(self.readings.moments[moment].effort, ""),
            good=Band(good, good, good, "V", ""),
            likely=tuple(Likely(self._faults(of), sign * float(self.volts[of[0], column]) + 0.0) for of in named[:NAMED]),
            more=max(len(named) - NAMED, 0),
        )

    def _by_class(self, rows: Sequence[int] | NDArray[np.intp]) -> list[list[int]]:
        """By class, the largest first."""
        found: dict[int, list[int]] = {}
        for row in rows:
            found.setdefault(self.home[int(row)], []).append(int(row))
        return sorted(found.values(), key=len, reverse=True)

    def _faults(self, rows: Sequence[int]) -> tuple[Fault, ...]:
        return tuple(self.trials.faults[row - 1] for row in rows)

    # ---- good values

    def with_bands(self, complaints: Sequence[Complaint]) -> tuple[Complaint, ...]:
        """The good values with their least and most, by what the data sheets allow."""
        circuit, nodes, whole = self.trials.settler.circuit, self.readings.nodes, self.trials.whole
        rows = [row for of_state in whole.rows.values() for _, row in of_state]
        places = list(dict.fromkeys((c.between, c.moment) for one in complaints for c in one.checks))
        told: dict[tuple[Between, Moment], Band] = {}
        for n, moment in enumerate(self.readings.moments):
            of = [between for between, at in places if at == moment]
            if of:
                contacts = [whole.settled.contacts[rows[n]]]
                found = bands(circuit, contacts, [Asked(nodes[between.a], nodes[between.b]) for between in of])
                told |= {(between, moment): band[0] for between, band in zip(of, found, strict=True)}
        checks = [tuple(_banded(c, told[c.between, c.moment]) for c in one.checks) for one in complaints]
        return tuple(replace(one, checks=of) for one, of in zip(complaints, checks, strict=True))


def _banded(check: Check, band: Band) -> Check:
    """What floats stays nothing, though something leaks over open contacts."""
    return check if check.good.nominal == 0 else replace(check, good=band)

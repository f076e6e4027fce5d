"""A door's fault guide: from what somebody complains of to what to push and see, to what to measure, to what it most likely is.

First the volts at the very thing complained of: where they are good, it is the thing itself.  Then the faults that are left
are halved by one measurement after the other: what shows other than the good value names the likeliest classes, what shows the
good value is left for the next.  All is read off the faults as they were worked out; only what a page holds is kept.
"""

from __future__ import annotations

from collections.abc import Collection, Iterator, Sequence
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from wiregen.faults.classes import Classes, classes
from wiregen.faults.effects import Trials
from wiregen.faults.look import look, on_it
from wiregen.faults.model import Fault
from wiregen.faults.readings import BEFORE, Between, Moment, Readings, Volts, error
from wiregen.faults.seen import Seen, Sign
from wiregen.faults.suspects import DOOR, DOOR_LEAST, TIE, WORTH
from wiregen.reading.model import Band, Input, Takes
from wiregen.states.happenings import Happening
from wiregen.study.worst import Volts as Asked
from wiregen.study.worst import bands
from wiregen.wiring.fitting import At
from wiregen.wiring.model import End

CHECKS = 3  # of a complaint, beside the first
ROWS = 33  # checks and complaints that two pages hold
NAMED = 4  # classes named at a check
# How often a fault is met against others: a loose end first, then what wears out.  Common practice, no source.
OFTEN = {"open": 3, "fuse": 2, "dead": 2, "stuck": 2}


@dataclass(frozen=True)
class Likely:
    """Faults that no meter can tell apart, and V that then show (of the first of them)."""

    faults: tuple[Fault, ...]
    volts: float


@dataclass(frozen=True)
class Check:
    """The first terminal of `between` takes the red lead.  `good` is what the whole door shows, least to most by its data
    sheets; `likely` what it is where something else shows (`if_good`: where the good value shows), of which `more` classes are
    not named.  What is not so goes on to the next check."""

    between: Between
    moment: Moment
    before: str  # what must be done first
    good: Band
    likely: tuple[Likely, ...]
    more: int
    if_good: bool = False


@dataclass(frozen=True)
class Symptom:
    """What is otherwise than it should be: `sign`, at `others` at once, or `alone` of its kind; `likewise`: locks of a bank at
    which it is found in the same way."""

    sign: Sign
    is_so: bool
    others: tuple[Sign, ...] = ()
    alone: bool = False
    likewise: tuple[str, ...] = ()


@dataclass(frozen=True)
class Complaint:
    """`faults` single faults give it.  `left`: what it most likely is where every check goes on, `more` classes unnamed."""

    symptom: Symptom
    faults: int
    looks: tuple[str, ...]
    checks: tuple[Check, ...]
    left: tuple[tuple[Fault, ...], ...]
    more: int


@dataclass(frozen=True)
class Guide:
    """The commonest complaints first; `left_out` are those for which the page has no room.  Of `weighed` single faults,
    `silent` show in none of the states that are measured, `to_frame` of them leads on the grounded frame; `withheld` are not
    told."""

    door: str
    complaints: tuple[Complaint, ...]
    left_out: tuple[Symptom, ...]
    weighed: int = 0
    silent: int = 0
    to_frame: int = 0
    withheld: int = 0


def guide(trials: Trials, seen: Seen, withheld: Collection[str] = ()) -> Guide:
    """`withheld` are keys of faults that are not told.  Raises NotSolved where one has no operating point that can be found."""
    readings = Readings(trials)
    writer = _Writer(readings, seen, classes(readings, seen), withheld)
    found: list[Complaint] = []
    left_out: list[Symptom] = []
    room = ROWS
    for symptom, rows in writer.complaints():
        complaint = writer.write(symptom, rows)
        if len(complaint.checks) + 1 > room:
            left_out.append(symptom)
        else:
            found.append(complaint)
            room -= len(complaint.checks) + 1
    silent = [trials.faults[row - 1] for row in writer.classes.silent]
    frame = sum(fault.kind == "frame" for fault in silent)
    bands_in = writer.with_bands(found)
    return Guide(trials.door.id, bands_in, tuple(left_out), len(trials.faults), len(silent), frame, len(withheld))


class _Writer:
    def __init__(self, readings: Readings, seen: Seen, of: Classes, withheld: Collection[str]) -> None:
        self.readings, self.seen, self.classes, self.trials = readings, seen, of, readings.trials
        told = [[row for row in one if self.trials.faults[row - 1].key not in withheld] for one in of.of]
        self.home = {row: k for k, one in enumerate(told) for row in one}
        self.volts = readings.volts[:, readings.distinct[:, 0], readings.distinct[:, 1]]
        self.bad = _not_good(self.volts)  # (rows, distinct readings)
        self.held = ~readings.floats[readings.distinct[:, 0], readings.distinct[:, 1]]
        self.fire = np.array([readings.moments[m].fire for m, _ in readings.distinct], dtype=bool)

    # ---- complaints

    def complaints(self) -> Iterator[tuple[Symptom, list[int]]]:
        """What is otherwise than at the whole door in daily use, with the faults that give it, in the order of `_rank`."""
        found: list[tuple[Symptom, list[int]]] = []
        for n, sign in enumerate(self.seen.signs):
            due = bool(self.seen.is_so[0, n])
            if not self._counts(sign, n, due):
                continue
            other = (self.seen.is_so[:, n] != due) & self.seen.certain[:, n]
            rows = [int(row) for row in np.flatnonzero(other) if row in self.home]
            if rows and not self._plain(sign, rows):
                found.append((Symptom(sign, not due, likewise=self._alike(sign)), rows))
        yield from sorted(_at_once(found), key=lambda one: (self._rank(one[0].sign, one[0].is_so), -len(one[1])))

    def _plain(self, sign: Sign, rows: Sequence[int]) -> bool:
        """Whether it can be nothing but that the device itself is dead."""
        return sign.is_ == "dark" and all(self.trials.faults[row - 1].key == f"dead {sign.what}" for row in rows)

    def _counts(self, sign: Sign, n: int, due: bool) -> bool:
        """A device is looked at once, a bank by one of its locks, an input at rest and where it ought to be otherwise; a line
        on which nothing stands that somebody could work is no input to look at."""
        state = self._state(sign)
        daily = state.case.state != "fire" and state.strike.mains
        idle = sign.state == self.trials.states[0].name
        if not daily or not self.seen.certain[0, n]:
            return False
        if sign.is_ == "dark":
            return idle and not due
        if sign.is_ == "active":
            if not on_it(self.trials, sign.what):
                return False
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

    def _alike(self, sign: Sign) -> tuple[str, ...]:
        return tuple(self._likewise()[1:]) if sign.is_ == "free" and sign.what in self._likewise()[:1] else ()

    # ---- checks

    def write(self, symptom: Symptom, rows: list[int]) -> Complaint:
        sign = symptom.sign
        left = np.array(rows, dtype=np.intp)
        checks: list[Check] = []
        first = self._at_it(sign)
        if first is not None:
            bad = _not_good(self.readings.volts[:, *first])[left]
            named = self._by_class(left[bad])
            if bad.all() and len(named) <= NAMED:
                checks.append(self._check(*first, left))
                left = left[:0]
            elif bad.any():
                checks.append(self._check(*first, left[~bad], if_good=True))
                left = left[bad]
        known, most = bool(checks), CHECKS + len(checks)
        while len(checks) < most and (column := self._halving(left, known)) is not None:
            bad = self.bad[left, column]
            moment, point = (int(n) for n in self.readings.distinct[column])
            checks.append(self._check(moment, point, left[bad]))
            left = left[~bad]
        named = self._by_class(left)
        return Complaint(
            symptom=symptom,
            faults=len(rows),
            looks=tuple(look(self.trials, sign, symptom.is_so)),
            checks=tuple(checks),
            left=tuple(self._faults(of) for of in named[:NAMED]),
            more=max(len(named) - NAMED, 0),
        )

    def _at_it(self, sign: Sign) -> tuple[int, int] | None:
        """The moment and the point at which the volts of the very thing are measured, None where a meter does not come to."""
        points = [point for a, b in self._ends(sign) if (point := self._point(a, b)) is not None]
        moments = [
            n for n, one in enumerate(self.readings.moments)
            if one.happening.name == sign.state and one.lock in (None, sign.what)
        ]  # fmt: skip
        return (moments[0], points[0]) if moments and points else None

    def _point(self, a: End, b: End) -> int | None:
        try:
            point, _ = self.readings.column(a, b)
        except KeyError:  # not in this network, or not both where one stands
            return None
        return point if point >= 0 else None

    def _ends(self, sign: Sign) -> Iterator[tuple[End, End]]:
        """Both poles of a lock or of a device's supply, or what an input hears between."""
        ref, _, name = sign.what.partition(".")
        device = self.trials.wiring.devices.get(ref)
        for group in device.sheet.groups.values() if device else ():
            if isinstance(group, Takes) and (sign.is_ == "dark" or At(ref, group.name) in self.trials.locks):
                yield End(ref, group.first or ""), End(ref, group.second or "")
            if isinstance(group, Input) and group.name == name:
                yield End(ref, group.in_ or ""), End(ref, group.ref or "")

    def _halving(self, left: NDArray[np.intp], known: bool) -> int | None:
        """The easiest of the readings that part the faults most evenly into good and not; the fire state last.  None where
        nothing holds the volts of the whole door: there a meter shows anything.

        One that is bad with all of them parts nothing: it shows that something is wrong, where that is not `known`."""
        if not len(left):
            return None
        share = self.bad[left].mean(axis=0)
        both = np.array([share, 1 - share])
        bits = -(both * np.log2(np.where(both > 0, both, 1.0))).sum(axis=0)
        bits[share == 1] = 0.0 if known else WORTH
        for of in (self.held & ~self.fire, self.held & self.fire):
            told = np.where(of, bits, 0.0)
            if told.max(initial=0.0) >= WORTH:
                return int(np.flatnonzero(told >= max(told.max() - TIE, WORTH))[0])
        return None

    def _check(self, moment: int, point: int, rows: NDArray[np.intp], if_good: bool = False) -> Check:
        between, sign = self.readings.points[point], 1.0
        volts = self.readings.volts[:, moment, point]
        shown = volts[[0, *rows]]
        if shown[np.argmax(np.abs(shown))] < 0:
            between, sign = replace(between, a=between.b, b=between.a), -1.0
        named = self._by_class(rows)
        good = sign * float(volts[0]) + 0.0
        return Check(
            between=between,
            moment=self.readings.moments[moment],
            before=BEFORE.get(self.readings.moments[moment].effort, ""),
            good=Band(good, good, good, "V", ""),
            likely=tuple(Likely(self._faults(of), sign * float(volts[of[0]]) + 0.0) for of in named[:NAMED]),
            more=max(len(named) - NAMED, 0),
            if_good=if_good,
        )

    def _by_class(self, rows: Sequence[int] | NDArray[np.intp]) -> list[list[int]]:
        """By class: those first that hold what is met most often, and of these those that hold most; so within a class."""
        found: dict[int, list[int]] = {}
        for row in sorted(map(int, rows), key=lambda row: (-self._often(row), row)):
            found.setdefault(self.home[row], []).append(row)
        return sorted(found.values(), key=lambda of: (-self._often(of[0]), -sum(map(self._often, of))))

    def _often(self, row: int) -> int:
        return OFTEN.get(self.trials.faults[row - 1].kind, 1)

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


def _not_good(volts: Volts) -> NDArray[np.bool_]:
    """Whether a meter surely shows something else than at the whole door (row 0), though no door is quite as it should be."""
    off = error(volts)
    allowed = np.maximum(off + off[0], DOOR_LEAST + DOOR * np.abs(volts[0]))
    return np.asarray(np.abs(volts - volts[0]) > allowed)


def _at_once(found: Sequence[tuple[Symptom, list[int]]]) -> Iterator[tuple[Symptom, list[int]]]:
    """Locks of which the same is seen at once, with the faults that all of them have in common; then each lock alone."""
    same: dict[tuple[str, str, bool], list[tuple[Symptom, list[int]]]] = {}
    for symptom, rows in found:
        of = "" if symptom.sign.is_ == "free" else symptom.sign.what
        same.setdefault((of, f"{symptom.sign.is_} {symptom.sign.state}", symptom.is_so), []).append((symptom, rows))
    for alike in same.values():
        common = set.intersection(*(set(rows) for _, rows in alike)) if len(alike) > 1 else set()
        if common:
            first, *others = (symptom for symptom, _ in alike)
            yield replace(first, others=tuple(other.sign for other in others)), sorted(common)
        for symptom, rows in alike:
            if own := [row for row in rows if row not in common]:
                yield replace(symptom, alone=len(alike) > 1), own


def _banded(check: Check, band: Band) -> Check:
    """What floats stays nothing, though something leaks over open contacts."""
    return check if check.good.nominal == 0 else replace(check, good=band)

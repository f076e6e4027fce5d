"""Which faults explain what was measured and seen, and what to measure next."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from wiregen.faults.classes import Classes
from wiregen.faults.readings import Readings, Volts, error, in_errors
from wiregen.faults.seen import Seen

Rows = NDArray[np.intp]

# The meter's error is taken as uniform: what lies within it fits fully.  A door is never quite as its data sheets say, so what
# lies farther off still fits a little, by a normal distribution; and people misread.  Common practice, no source.
NEAR = 0.1  # how well what lies just beyond the meter's error fits, against what lies within
DOOR, DOOR_LEAST = 0.1, 0.3  # of the volts due, and V: standard deviation of what a door as built shows
MISREAD = 7.0  # nats, the most that one reading counts against a fault
MISSEEN = 5.0  # nats that a thing seen otherwise counts against it
UNSURE = 0.7  # nats, where a lock between its volts may do either: half
SUSPECT = 1e-3  # of the likeliest: what is less likely is not asked about
WORTH = 0.02  # bit, the least that a measurement must tell
TIE = 0.05  # bit, by which an easier measurement may tell less


@dataclass(frozen=True)
class Told:
    """What is known so far: readings as (moment, point, volts), signs as (number, whether it is so)."""

    readings: tuple[tuple[int, int, float], ...] = ()
    signs: tuple[tuple[int, bool], ...] = ()


@dataclass(frozen=True)
class Asked:
    """A measurement: numbers of its moment and point, what it tells in bit, and the rows between which it splits."""

    moment: int
    point: int
    bits: float
    groups: tuple[tuple[int, ...], ...]


def misfit(due: Volts, shown: float) -> Volts:
    """Nats by which a reading counts against each of the volts that are due."""
    off = np.abs(shown - due)
    near = NEAR * np.exp(-0.5 * (off / (DOOR * np.abs(due) + DOOR_LEAST)) ** 2)
    fits = np.where(off <= error(due), 1.0, np.maximum(near, np.exp(-MISREAD)))
    return np.asarray(-np.log(fits), dtype=np.float64)


class Suspects:
    """Every fault that shows, and nothing at all (row 0), weighed by what is told; all are equally likely before."""

    def __init__(self, readings: Readings, seen: Seen, of: Classes) -> None:
        self.readings, self.seen, self.classes = readings, seen, of
        self.rows = np.array([0, *sorted(n for one in of.of for n in one)], dtype=np.intp)
        self._home = {n: k for k, one in enumerate(of.of) for n in one}
        self._scaled: Volts | None = None

    def against(self, told: Told) -> Volts:
        """Nats that count against each row."""
        volts, nats = self.readings.volts, np.zeros(len(self.rows))
        for moment, point, shown in told.readings:
            due = volts[self.rows, moment, point] if point >= 0 else np.zeros(len(self.rows))
            nats += misfit(due, shown)
        for sign, is_so in told.signs:
            fits = self.seen.is_so[self.rows, sign] == is_so
            nats += np.where(self.seen.certain[self.rows, sign], np.where(fits, 0.0, MISSEEN), UNSURE)
        return nats

    def weights(self, told: Told) -> Volts:
        """How likely each row is."""
        against = self.against(told)
        found = np.exp(against.min() - against)
        return np.asarray(found / found.sum(), dtype=np.float64)

    def ranked(self, told: Told) -> list[tuple[int, float]]:
        """Numbers of classes, the likeliest first, each with how likely it is; -1 is nothing that shows."""
        share: dict[int, float] = {}
        for row, weight in zip(self.rows, self.weights(told), strict=True):
            home = self._home.get(int(row), -1)
            share[home] = share.get(home, 0.0) + float(weight)
        return sorted(share.items(), key=lambda of: (-round(of[1], 12), of[0] < 0, of[0]))

    def next(self, told: Told) -> Asked | None:
        """The measurement that splits what is left most evenly; None where none tells anything.

        One that needs the fire state is not asked for while another tells something.
        """
        weights = self.weights(told)
        left = np.flatnonzero(weights > SUSPECT * weights.max())
        taken = {(moment, point) for moment, point, _ in told.readings}
        fire = np.array([self.readings.moments[m].fire for m, _ in self.readings.distinct], dtype=bool)
        for of in (np.flatnonzero(~fire), np.flatnonzero(fire)):
            asked = self._best(left, weights[left] / weights[left].sum(), of, taken)
            if asked is not None:
                return asked
        return None

    def _best(self, left: Rows, weights: Volts, of: Rows, taken: set[tuple[int, int]]) -> Asked | None:
        """The easiest of those that tell most, of these readings, between these rows."""
        if not len(of):
            return None
        scaled = self._in_errors()[left][:, of]
        order = np.argsort(scaled, axis=0, kind="stable")
        in_order = np.take_along_axis(scaled, order, axis=0)
        group = np.zeros(in_order.shape, dtype=np.intp)  # the number of the group of each, in the order of volts
        np.cumsum(np.diff(in_order, axis=0) > 2.0, axis=0, out=group[1:])
        size = len(left)
        place = group + size * np.arange(len(of))
        share = np.bincount(place.ravel(), weights[order].ravel(), size * len(of)).reshape(-1, size)
        bits = -(share * np.log2(np.where(share > 0, share, 1.0))).sum(axis=1)
        for n, (moment, point) in enumerate(self.readings.distinct[of]):
            if (moment, point) in taken:
                bits[n] = 0.0
        best = bits.max()
        if best < WORTH:
            return None
        first = int(np.flatnonzero(bits >= best - TIE)[0])
        rows = self.rows[left][order[:, first]]
        groups = tuple(tuple(map(int, rows[group[:, first] == k])) for k in range(group[-1, first] + 1))
        moment, point = self.readings.distinct[of[first]]
        return Asked(int(moment), int(point), float(bits[first]), groups)

    def _in_errors(self) -> Volts:
        """(rows, distinct readings) on the scale of the meter's error."""
        if self._scaled is None:
            moments, points = self.readings.distinct.T
            self._scaled = in_errors(self.readings.volts[self.rows][:, moments, points])
        return self._scaled

"""Faults that no meter can tell apart are one class.

Two readings can be told apart where they differ by over twice the meter's error, that is by more than the error of the one and
of the other together.  That relation does not pass on: one fault may look like a second and that like a third, while the first
and the third can be told apart.  Here every two faults of a class look alike (a class is never a chain), so that "no meter can
tell them apart" is true of each class as it is printed; two faults that look alike may for it stand in two classes.  Faults
that differ in what shows without a meter (`Seen`) are never one class.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from wiregen.faults.readings import Readings, Volts, error
from wiregen.faults.seen import Seen

SCREEN = 400  # readings by which most pairs are told apart, so that few are compared in all


@dataclass(frozen=True)
class Classes:
    """Numbers of rows of `Readings` and `Seen`: each class in the order of its first fault.  `silent` faults look like the
    whole door in every state; row 0, the whole door, is in none."""

    of: tuple[tuple[int, ...], ...]
    silent: tuple[int, ...]
    chained: int  # faults in the largest set in which each looks like some other, for comparison

    @property
    def largest(self) -> tuple[int, ...]:
        return max(self.of, key=len, default=())


def classes(readings: Readings, seen: Seen) -> Classes:
    moments, points = readings.distinct.T
    alike = looks_alike(readings.volts[:, moments, points], seen)
    silent = [n for n in range(1, len(alike)) if alike[0, n]]
    shows = [n for n in range(1, len(alike)) if not alike[0, n]]
    found: list[list[int]] = []
    for n in shows:
        home = next((one for one in found if alike[n, one].all()), None)
        if home is None:
            found.append([n])
        else:
            home.append(n)
    return Classes(tuple(map(tuple, found)), tuple(silent), _chained(alike, shows))


def looks_alike(volts: Volts, seen: Seen) -> NDArray[np.bool_]:
    """(rows, rows) whether no reading, and nothing that shows, tells two of them apart."""
    first: dict[bytes, int] = {}  # rows that are the same to the millivolt are compared once
    same = np.array([
        first.setdefault(b"".join(part.tobytes() for part in parts), n)
        for n, parts in enumerate(zip(np.round(volts, 3) + 0.0, seen.is_so, seen.certain, strict=True))
    ])  # fmt: skip
    one_each, back = np.unique(same, return_inverse=True)
    volts, is_so, certain = volts[one_each], seen.is_so[one_each], seen.certain[one_each]
    alike = ~((is_so[:, None] != is_so[None]) & certain[:, None] & certain[None]).any(axis=2)
    off = error(volts)
    screen = np.argsort(-volts.std(axis=0), kind="stable")[:SCREEN]
    for some, their in ((volts[:, screen], off[:, screen]), (volts, off)):
        for n in range(len(volts) - 1):
            left = n + 1 + np.flatnonzero(alike[n, n + 1 :])
            apart = (np.abs(some[left] - some[n]) > their[left] + their[n]).any(axis=1)
            alike[n, left[apart]] = False
    upper = np.triu(alike)
    return np.asarray((upper | upper.T)[np.ix_(back, back)])


def _chained(alike: NDArray[np.bool_], of: list[int]) -> int:
    left, largest = set(of), 0
    for n in of:
        reached, waiting = 0, [n] if n in left else []
        left -= {n}
        while waiting:
            reached += 1
            near = left & {int(m) for m in np.flatnonzero(alike[waiting.pop()])}
            left -= near
            waiting += sorted(near)
        largest = max(largest, reached)
    return largest

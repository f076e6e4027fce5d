"""Faults by which a lock is held when it ought to let go, and which nobody notices in daily use: the tests that show them.

The release of a lock has several means, and one of them that has failed shows only where the others do not help: a sensor's
contact that is welded, while the controller lets go too.  So each such fault is settled in the states that daily use does not
bring (controller dead or hung, fire, mains lost ...), alone and with each way to leave.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from wiregen.faults.effects import Trials
from wiregen.faults.model import Fault
from wiregen.faults.seen import Seen
from wiregen.states.happenings import Happening, happenings, leaving
from wiregen.states.struck import WHOLE


@dataclass(frozen=True)
class Retest:
    """While the door is in `state`, leave by `way` (None: only look): `locks` must be free, and are not with one of `faults`.

    `states` that show the same faults in the same way stand together."""

    states: tuple[str, ...]
    way: str | None
    locks: tuple[str, ...]
    faults: tuple[Fault, ...]


def retests(trials: Trials, seen: Seen) -> tuple[Retest, ...]:
    """As few tests as show every such fault, those that show most first.  Raises NotSolved."""
    known = happenings(trials.door, trials.settler.logic, trials.of_ways, trials.locks)
    ways: list[Happening | None] = [None, *trials.of_ways]
    asked = {(state.name, way.name if way else None): leaving(state, way) if way else state
             for state in known if not state.way and _undaily(state) for way in ways}  # fmt: skip
    hidden = _hidden(trials, seen)
    if not hidden or not asked:
        return ()
    tests = Trials(trials.door, trials.wiring, trials.settler, ("idle",), also=tuple(asked.values()), only=hidden)
    shows: dict[tuple[str, str | None], dict[str, set[str]]] = {}  # test → fault → locks
    for tried in tests.tried[1:]:
        assert tried.fault is not None
        for key, happening in asked.items():
            whole, does = tests.whole.does[happening.name], tried.does[happening.name]
            barred = {lock.device for lock, is_ in whole.items() if is_ == "free" != does[lock]}
            if barred:
                shows.setdefault(key, {})[tried.fault.key] = barred
    return tuple(_fewest(shows, hidden))


def _undaily(state: Happening) -> bool:
    return state.name not in ("idle", "grant", "call")


def _hidden(trials: Trials, seen: Seen) -> tuple[Fault, ...]:
    """Faults that do something, of which nothing is seen in daily use."""
    daily = {state.name for state in trials.states if state.way or not _undaily(state)}
    columns = [n for n, sign in enumerate(seen.signs) if sign.state in daily]
    shows = ((seen.is_so != seen.is_so[0]) & seen.certain & seen.certain[0])[:, columns].any(axis=1)
    return tuple(
        fault
        for n, fault in enumerate(trials.faults, 1)
        if not shows[n] and (fault.links or fault.instead or fault.strike != WHOLE)
    )


def _fewest(shows: dict[tuple[str, str | None], dict[str, set[str]]], hidden: Sequence[Fault]) -> list[Retest]:
    """Again and again the test that shows most of what no test has shown; tests that show just the same are one."""
    order = list(shows)
    left = {key for of in shows.values() for key in of}
    found = []
    while left:
        best = max(order, key=lambda test: (len(left & shows[test].keys()), -order.index(test)))
        of = left & shows[best].keys()
        same = [test for test in order if test[1] == best[1] and left & shows[test].keys() == of]
        locks = sorted(set().union(*(shows[best][key] for key in of)))
        found.append(Retest(tuple(state for state, _ in same), best[1], tuple(locks), tuple(f for f in hidden if f.key in of)))
        left -= of
    return found

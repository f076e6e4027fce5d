"""Faults by which a lock is held when it ought to let go, and which nobody notices in daily use: the tests that show them.

The release of a lock has several means, and one of them that has failed shows only where the others do not help: a sensor's
contact that is welded, while the controller lets go too.  So each such fault is settled in the states that daily use does not
bring (controller dead or hung, fire, mains lost ...), alone and with each way to leave.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, field, replace

from wiregen.faults.effects import Trials, Tried
from wiregen.faults.model import Fault
from wiregen.faults.seen import Seen
from wiregen.reading.model import Band
from wiregen.states.happenings import Happening, happenings, leaving, worked
from wiregen.states.struck import WHOLE
from wiregen.states.table import poles
from wiregen.study.worst import Volts, bands
from wiregen.wiring.fitting import At


@dataclass(frozen=True)
class Retest:
    """While the door is in `state`, leave by `way` (None: only look): `locks` must be free, and are not with one of `faults`.

    `states` that show the same faults in the same way stand together.  `by`: what is worked by hand or walked up to; `told`:
    the inputs that hear of it.  `volts`: at each lock, least to most, in the first of the states; nothing where no meter tells.
    """

    states: tuple[str, ...]
    way: str | None
    locks: tuple[str, ...]
    faults: tuple[Fault, ...]
    by: tuple[str, ...] = ()
    told: tuple[str, ...] = ()
    volts: Mapping[str, Band] = field(default_factory=dict)


def retests(trials: Trials, seen: Seen) -> tuple[Retest, ...]:
    """As few tests as show every such fault, those that show most first.  Raises NotSolved."""
    known = happenings(trials.door, trials.settler.logic, trials.of_ways, trials.locks)
    ways: list[Happening | None] = [None, *trials.of_ways]
    could = {(state.name, way.name if way else None): leaving(state, way) if way else state
             for state in known if not state.way and _undaily(state) for way in ways}  # fmt: skip
    whole = Trials(trials.door, trials.wiring, trials.settler, ("idle",), also=tuple(could.values()), only=()).whole
    does = {key: whole.does[state.name] for key, state in could.items()}
    free = {key: frozenset(lock for lock, is_ in of.items() if is_ == "free") for key, of in does.items()}
    # what frees no lock proves nothing, and no way proves what lets go before anybody takes it
    asked = {(name, way): state for (name, way), state in could.items()
             if free[name, way] and (way is None or free[name, way] - free[name, None])}  # fmt: skip
    hidden = _hidden(trials, seen)
    if not hidden or not asked:
        return ()
    tests = Trials(trials.door, trials.wiring, trials.settler, ("idle",), also=tuple(asked.values()), only=hidden)
    shows: dict[tuple[str, str | None], dict[str, set[str]]] = {}  # test → fault → locks
    for tried in tests.tried[1:]:
        assert tried.fault is not None
        for key, happening in asked.items():
            due, then = tests.whole.does[happening.name], tried.does[happening.name]
            barred = {lock.device for lock, is_ in due.items() if is_ == "free" != then[lock]}
            if barred:
                shows.setdefault(key, {})[tried.fault.key] = barred
    found = _fewest(shows, hidden)
    return tuple(_told(trials, test, tests.whole, asked[test.states[0], test.way]) for test in found)


def _told(trials: Trials, test: Retest, whole: Tried, happening: Happening) -> Retest:
    """With what is worked by hand, who hears of it, and the good volts."""
    way = next((way for way in trials.of_ways if way.name == test.way), None)
    circuit, settled = trials.settler.circuit, whole.settled
    ends = {lock.device: pair for lock in trials.locks if lock.device in test.locks and (pair := poles(circuit, lock))}
    _, row = whole.rows[happening.name][0]
    told = bands(circuit, [settled.contacts[row]], [Volts(*pair) for pair in ends.values()]) if ends else []
    volts = {lock: band[0] for lock, band in zip(ends, told, strict=True)}
    if way is None:
        return replace(test, volts=volts)
    return replace(
        test,
        by=worked(trials.door, trials.settler.logic, way),
        told=tuple(str(at) for at, (before, then) in _inputs(trials, way) if before != then),
        volts=volts,
    )


def _inputs(trials: Trials, way: Happening) -> Iterator[tuple[At, tuple[bool, bool]]]:
    """Each input with whether it is worked at rest, and while somebody leaves so."""
    settled, rows = trials.whole.settled, trials.whole.rows
    at_rest, then = (settled.active[rows[name][0][1]] for name in (trials.states[0].name, way.name))
    for n, at in enumerate(settled.gauge.inputs):
        yield at, (bool(at_rest[n]), bool(then[n]))


def _undaily(state: Happening) -> bool:
    """What daily use does not bring; nor is a controller that hangs as in a grant a way to let anybody out."""
    return state.name not in ("idle", "grant", "call", "hung-moved")


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

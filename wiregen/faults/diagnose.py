"""From what is measured and seen at a door to the faults that explain it, and to the next measurement."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from textwrap import fill
from typing import Any

import numpy as np

from wiregen.faults.classes import classes
from wiregen.faults.effects import Trials
from wiregen.faults.look import first_looks
from wiregen.faults.model import Fault
from wiregen.faults.readings import BEFORE, Between, Moment, Readings
from wiregen.faults.seen import Seen
from wiregen.faults.suspects import Asked, Suspects, Told
from wiregen.faults.told import Listener
from wiregen.reading.model import Door
from wiregen.states.settle import Settler
from wiregen.wiring.model import Wiring

SHOWN, NAMED = 5, 3  # suspects and faults of each that are read out on a telephone; common practice, no source
LIKELY = 0.005  # a suspect that is less likely is not read out
MISFIT = 4.5  # nats against the best suspect from which no single fault is said to explain it: two deviations of a door off


@dataclass(frozen=True)
class Suspect:
    """Faults that no meter can tell apart; none where it is nothing that a meter shows."""

    faults: tuple[Fault, ...]
    share: float  # how likely, of 1


@dataclass(frozen=True)
class Outcome:
    """What the next measurement may show, V, and the suspects that it then leaves, by their place in the ranking from 1."""

    least: float
    most: float
    leaves: tuple[int, ...]


@dataclass(frozen=True)
class Next:
    """`a` takes the red lead.  `before`: what must be done first."""

    between: Between
    moment: Moment
    before: str
    outcomes: tuple[Outcome, ...]


@dataclass(frozen=True)
class Diagnosis:
    door: str
    weighed: int  # single faults
    silent: int  # of them that show in none of the states
    looks: tuple[str, ...]  # what is mechanical, first
    suspects: tuple[Suspect, ...]
    explained: bool  # by a single fault
    as_due: bool  # all that was told is as on a door without a fault
    next: Next | None


def diagnose(door: Door, wiring: Wiring, settler: Settler, texts: Sequence[str]) -> Diagnosis:
    """Raises NotUnderstood for texts that cannot be taken, NotSolved where a fault has no operating point."""
    trials = Trials(door, wiring, settler)
    seen = Seen(trials)
    ends = [end for end in settler.circuit.nodes if end.device in wiring.devices or end.device in wiring.boxes]
    bare = Readings(trials)
    said, saw = Listener(door.id, bare.moments, ends, seen).understand(texts)
    readings = Readings(trials, [(one.a, one.b) for one in said])
    at = [(one.moment, *readings.column(one.a, one.b), one.volts) for one in said]
    told = Told(
        tuple((moment, point, sign * volts) for moment, point, sign, volts in at),
        tuple((seen.column[one.sign], one.is_so) for one in saw),
    )
    suspects = Suspects(readings, seen, classes(readings, seen))
    ranked = suspects.ranked(told)
    asked = suspects.next(told)
    return Diagnosis(
        door=door.id,
        weighed=len(trials.faults),
        silent=len(suspects.classes.silent),
        looks=first_looks(trials, [(one.sign, one.is_so) for one in saw if seen.unlike_whole(one.sign, one.is_so)]),
        suspects=tuple(Suspect(_faults(suspects, n), share) for n, share in ranked),
        explained=float(suspects.against(told).min()) < MISFIT,
        as_due=bool(texts) and float(suspects.against(told)[0]) == 0,
        next=_next(suspects, asked, [n for n, _ in ranked]) if asked else None,
    )


def _faults(suspects: Suspects, number: int) -> tuple[Fault, ...]:
    rows = suspects.classes.of[number] if number >= 0 else ()
    return tuple(suspects.readings.trials.faults[row - 1] for row in rows)


def _next(suspects: Suspects, asked: Asked, ranking: Sequence[int]) -> Next:
    """With the leads so that most shows above 0 V."""
    readings = suspects.readings
    point, moment = readings.points[asked.point], readings.moments[asked.moment]
    place = {row: ranking.index(k) + 1 for k, of in enumerate(suspects.classes.of) for row in of} | {0: ranking.index(-1) + 1}
    due = [readings.volts[list(group), asked.moment, asked.point] for group in asked.groups]
    sign = 1.0
    if max(map(np.max, due)) < -min(map(np.min, due)):
        point, sign = Between(point.b, point.a, point.place, point.metres), -1.0
    outcomes = [
        Outcome(float((sign * volts).min()), float((sign * volts).max()), tuple(sorted({place[row] for row in group})))
        for group, volts in zip(asked.groups, due, strict=True)
    ]
    return Next(point, moment, BEFORE.get(moment.effort, ""), tuple(sorted(outcomes, key=lambda one: one.least)))


# ---- as it is told ---------------------------------------------------------------------------------------------------


def diagnosis_text(found: Diagnosis) -> str:
    """Short enough to be read out on a telephone."""
    lines = [f"{found.door}: {found.weighed} single faults weighed; {found.silent} of them show in no reading"]
    lines += [_line("First: ", look) for look in found.looks]
    shown = [one for one in found.suspects[:SHOWN] if one.share >= LIKELY]
    if found.as_due:
        lines.append("All of this is as it should be.")
    if not found.explained:
        lines.append("No single fault explains all of this: read again, or look for two.")
    for n, one in enumerate(shown, 1):
        lines.append(_line(f"{n:>2}. {100 * one.share:3.0f} %  ", _of(one)))
    lines += list(_next_text(found.next, len(shown)))
    lines.append("Keep the way out usable while you work; mains is for a licensed electrician.")
    return "\n".join(lines)


def _of(one: Suspect) -> str:
    if not one.faults:
        return "nothing that a meter shows here: mechanical, or a silent fault"
    more = len(one.faults) - NAMED
    named = "; or ".join(fault.words for fault in one.faults[: NAMED if more > 0 else None])
    alike = "" if len(one.faults) == 1 else " (no meter can tell them apart)"
    return named + (f"; or {more} more" if more > 0 else "") + alike


def _next_text(then: Next | None, shown: int) -> Iterator[str]:
    if then is None:
        yield "No further measurement tells these apart."
        return
    where = f" at {then.between.place}" if then.between.place else ""
    before = f" ({then.before})" if then.before else ""
    yield _line("Next: ", f"{then.moment.name}{before}{where}: red lead on {then.between.a}, black on {then.between.b}")
    for one in then.outcomes:
        numbers = [str(n) for n in one.leaves if n <= shown]
        others = ["others"] if len(numbers) < len(one.leaves) else []
        yield f"      {_volts(one)}: {', '.join((*numbers, *others))}"


def _volts(one: Outcome) -> str:
    least, most = (round(volts, 1) + 0.0 for volts in (one.least, one.most))
    return f"{least:g} V" if least == most else f"{least:g} to {most:g} V"


def _line(begin: str, text: str) -> str:
    return fill(begin + text, width=110, subsequent_indent=" " * len(begin))


def diagnosis_data(found: Diagnosis) -> dict[str, Any]:
    then = found.next
    return {
        "door": found.door,
        "weighed": found.weighed,
        "silent": found.silent,
        "first": list(found.looks),
        "explained": found.explained,
        "as due": found.as_due,
        "suspects": [
            {
                "share": round(one.share, 4),
                "faults": [
                    {"key": f.key, "kind": f.kind, "words": f.words, "at": list(map(str, f.at)), "wires": list(f.wires)}
                    for f in one.faults
                ],
            }
            for one in found.suspects
            if one.share >= LIKELY
        ],
        "next": {
            "state": then.moment.name,
            "between": [str(then.between.a), str(then.between.b)],
            "place": then.between.place,
            "before": then.before,
            "outcomes": [
                {"least": round(one.least, 3) + 0.0, "most": round(one.most, 3) + 0.0, "leaves": list(one.leaves)}
                for one in then.outcomes
            ],
        } if then else None,
    }  # fmt: skip

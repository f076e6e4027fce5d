"""How well `wiregen diagnose` finds a fault: every fault of every demo door that shows at all, measured as a technician would.

    python -m bench.diagnose [DOOR ...]

What shows without a meter in the states of daily use (idle, grant, the ways to leave) is told; then the program chooses three
measurements, each read with an error drawn evenly from the meter's 2 % + 0.05 V (seeded).  Found is a fault whose class (those
that no meter can tell from it) then stands among the first three.  Beside it the same with nothing told but the readings; and
on a door as built, every value of it drawn evenly from the band of its data sheet, of which the program knows the nominal one.
"""

from __future__ import annotations

import sys
from collections.abc import Iterator
from dataclasses import dataclass, replace
from pathlib import Path
from time import process_time

import numpy as np

from bench.alone import one_thread
from wiregen.faults.classes import classes
from wiregen.faults.effects import Trials
from wiregen.faults.model import Fault
from wiregen.faults.readings import Readings, error
from wiregen.faults.seen import Seen
from wiregen.faults.suspects import Asked, Suspects, Told
from wiregen.reading.load import load_site
from wiregen.states.settle import Settler
from wiregen.states.table import settler_of
from wiregen.wiring.wire import wire_door, wire_site

ROOT = Path(__file__).parents[1] / "door_specs"
SITES = ("fernhill", "annex")
MEASURED, FIRST, SEED = 3, 3, 4
AIM = 0.9


@dataclass(frozen=True)
class Proof:
    """Of one door: how many faults show, how many of those are found in each of the ways; seconds of each part."""

    door: str
    faults: int
    shows: int
    found: int
    found_by_meter: int
    found_as_built: int
    in_fire: int  # measurements that needed the fire state
    largest: tuple[Fault, ...]
    chained: int
    silent: tuple[Fault, ...]
    prepared: float  # s: faults settled, readings, classes
    chosen: float  # s for one choice of a measurement


def suspects_of(trials: Trials) -> Suspects:
    readings, seen = Readings(trials), Seen(trials)
    return Suspects(readings, seen, classes(readings, seen))


def doors(names: tuple[str, ...] = ()) -> Iterator[Trials]:
    """The faults of each demo door, or of those named."""
    for site_name in SITES:
        site = load_site(ROOT / site_name)
        shared = wire_site(site)
        for door in site.doors.values():
            if not names or door.id in names:
                wiring = wire_door(site, door)
                yield Trials(door, wiring, settler_of(site, door, wiring, shared))


def prove(trials: Trials) -> Proof:
    start = process_time()
    suspects = suspects_of(trials)
    prepared = process_time() - start
    faults, of = trials.faults, suspects.classes
    hunt = Hunt(suspects, suspects.readings, suspects.seen)
    start = process_time()
    found, in_fire = hunt.found(signs=True)
    found_by_meter, _ = hunt.found(signs=False)
    spent = process_time() - start
    built = as_built(trials)
    found_as_built, _ = Hunt(suspects, Readings(built), Seen(built)).found(signs=True)
    return Proof(
        door=trials.door.id,
        faults=len(faults),
        shows=sum(map(len, of.of)),
        found=found,
        found_by_meter=found_by_meter,
        found_as_built=found_as_built,
        in_fire=in_fire,
        largest=tuple(faults[n - 1] for n in of.largest),
        chained=of.chained,
        silent=tuple(faults[n - 1] for n in of.silent),
        prepared=prepared,
        chosen=spent / max(hunt.choices, 1),
    )


def as_built(trials: Trials) -> Trials:
    """The same faults on a door whose every value is drawn from its band."""
    random, settler = np.random.default_rng(SEED), trials.settler
    drawn: dict[str, dict[str, float]] = {}
    for spread in settler.circuit.spreads:
        drawn.setdefault(spread.element, {})[spread.what] = random.uniform(spread.band.least, spread.band.most)
    elements = tuple(replace(e, **drawn[e.name]) if e.name in drawn else e for e in settler.circuit.elements)
    other = Settler(replace(settler.circuit, elements=elements), settler.logic, settler.supervised)
    return Trials(trials.door, trials.wiring, other)


class Hunt:
    """Looks for every fault of a door that shows, one after the other; `readings` and `seen` are those of the door itself."""

    def __init__(self, suspects: Suspects, readings: Readings, seen: Seen) -> None:
        self.suspects, self.readings, self.seen, self.choices = suspects, readings, seen, 0
        self._first: dict[Told, Asked | None] = {}  # many faults look alike before anything is measured
        daily = {s.name for s in suspects.readings.trials.states if s.case.state != "fire" and s.strike.mains}
        self.daily = [n for n, sign in enumerate(suspects.seen.signs) if sign.state in daily]

    def found(self, signs: bool) -> tuple[int, int]:
        """How many are found, and how many measurements needed the fire state."""
        random = np.random.default_rng(SEED)
        found = in_fire = 0
        for number, rows in enumerate(self.suspects.classes.of):
            for row in rows:
                told = Told((), self._signs(row) if signs else ())
                for _ in range(MEASURED):
                    asked = self._next(told)
                    if asked is None:
                        break
                    in_fire += self.suspects.readings.moments[asked.moment].fire
                    due = self.readings.volts[row, asked.moment, asked.point]
                    shown = float(due + random.uniform(-1, 1) * error(due))
                    told = Told((*told.readings, (asked.moment, asked.point, shown)), told.signs)
                found += number in [k for k, _ in self.suspects.ranked(told)[:FIRST]]
        return found, in_fire

    def _next(self, told: Told) -> Asked | None:
        if told.readings or told not in self._first:
            self.choices += 1
            asked = self.suspects.next(told)
            if told.readings:
                return asked
            self._first[told] = asked
        return self._first[told]

    def _signs(self, row: int) -> tuple[tuple[int, bool], ...]:
        return tuple((n, bool(self.seen.is_so[row, n])) for n in self.daily if self.seen.certain[row, n])


def _by_kind(silent: tuple[Fault, ...]) -> str:
    """Faults to the frame in their number, the others by name."""
    frame = sum(fault.kind == "frame" for fault in silent)
    named = [fault.key for fault in silent if fault.kind != "frame"]
    return ", ".join([*([f"{frame} to the frame"] if frame else []), *named])


def main(names: tuple[str, ...]) -> None:
    start = process_time()
    proofs = []
    for trials in doors(names):
        proof = prove(trials)
        proofs.append(proof)
        shows = proof.shows
        print(f"{proof.door}  {proof.faults:>3} faults, {shows:>3} show; found {proof.found / shows:4.0%},", end=" ")
        print(f"as built {proof.found_as_built / shows:4.0%}, by meter alone {proof.found_by_meter / shows:4.0%};", end=" ")
        print(f"largest class {len(proof.largest):>2} (chained {proof.chained:>2});", end=" ")
        print(f"prepared {1e3 * proof.prepared:5.0f} ms, a choice {1e3 * proof.chosen:4.1f} ms")
        print(f"      silent ({len(proof.silent)}): {_by_kind(proof.silent)}", flush=True)
    total, found = (sum(getattr(p, name) for p in proofs) for name in ("shows", "found"))
    largest = max(proofs, key=lambda p: len(p.largest))
    print(f"{len(proofs)} doors, {sum(p.faults for p in proofs)} faults, {sum(len(p.silent) for p in proofs)} silent")
    print(f"largest class: {len(largest.largest)} on {largest.door}: {', '.join(f.key for f in largest.largest)}")
    print(f"on doors as built: {sum(p.found_as_built for p in proofs) / total:.1%}")
    print(f"by meter alone: {sum(p.found_by_meter for p in proofs) / total:.1%}")
    print(f"measurements that needed the fire state: {sum(p.in_fire for p in proofs)} of {MEASURED * total}")
    print(f"processor time: {process_time() - start:.0f} s")
    print(f"class among the first {FIRST} after {MEASURED} measurements: {found / total:.1%} (aim {AIM:.0%})")


if __name__ == "__main__":
    one_thread("bench.diagnose")
    main(tuple(sys.argv[1:]))

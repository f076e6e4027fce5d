"""All named states, all single faults in five of them, and all attacks of demo doors, beside fresh solves of the same points.

    python -m bench.trials [DOOR ...]

Ours is the whole of it, circuit and logic included: points settled as updates of one network.  Beside it every point solved
on a network made anew, one at a time, and all points of a fault or attack at once; these are given the contacts that ours has
found, so that they settle nothing.  Processor seconds, one BLAS thread; ours is the middle of several runs.  The doors stand
in the order of their devices.
"""

from __future__ import annotations

import os
import sys
from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path
from statistics import median
from time import process_time

from tests.study.anew import closed, with_links
from wiregen.attacks.tried import tried
from wiregen.faults.effects import Trials
from wiregen.reading.load import load_site
from wiregen.reading.model import Door, Site
from wiregen.states.settle import Point, Settled, Settler
from wiregen.states.table import door_states, settler_of
from wiregen.study.network import Link, Network
from wiregen.study.solution import State
from wiregen.wiring.model import Wiring
from wiregen.wiring.wire import wire_door, wire_site

ROOT = Path(__file__).parents[1] / "door_specs"
SITE = "fernhill"
RUNS = 3
AIM_DOOR, AIM_SINGLE, AIM_BATCH = 100.0, 20, 2.5  # ms; times


class Noting(Settler):
    """Keeps what was asked of it, and the contacts that came of it."""

    noted: list[tuple[tuple[Link, ...], State]]

    def settle(self, points: Sequence[Point]) -> Settled:
        found = super().settle(points)
        if len(dict.fromkeys(points)) == len(points):  # else it asks itself again
            self.noted += [(point.links, state) for point, state in zip(points, found.contacts, strict=True)]
        return found


@dataclass(frozen=True)
class Timed:
    door: str
    devices: int
    points: int
    ours: float  # s
    single: float
    batch: float


def timed(site: Site, door: Door, shared: Wiring) -> Timed:
    wiring = wire_door(site, door)
    spent = []
    for _ in range(RUNS):
        start = process_time()
        settler = settler_of(site, door, wiring, shared)
        door_states(door, wiring, settler)
        _ = Trials(door, wiring, settler).tried
        tried(site, door, wiring, settler)
        spent.append(process_time() - start)
    plain = settler_of(site, door, wiring, shared)
    noting = Noting(plain.circuit, plain.logic, plain.supervised)
    noting.noted = []
    door_states(door, wiring, noting)
    _ = Trials(door, wiring, noting).tried
    tried(site, door, wiring, noting)
    elements = plain.circuit.elements
    start = process_time()
    for links, state in noting.noted:
        anew = with_links(elements, links)
        Network(anew).solve([closed(anew, state)])
    single = process_time() - start
    start = process_time()
    of: dict[tuple[Link, ...], list[State]] = {}
    for links, state in noting.noted:
        of.setdefault(links, []).append(state)
    for links, states in of.items():
        anew = with_links(elements, links)
        Network(anew).solve([closed(anew, state) for state in states])
    batch = process_time() - start
    return Timed(door.id, len(wiring.devices), len(noting.noted), median(spent), single, batch)


def main(names: tuple[str, ...]) -> None:
    site = load_site(ROOT / SITE)
    shared = wire_site(site)
    found = [timed(site, door, shared) for door in site.doors.values() if not names or door.id in names]
    print("door   devices  points    ours     one at a time        all of one at once")
    for one in sorted(found, key=lambda each: (each.devices, each.points)):
        print(f"{one.door:<6} {one.devices:>6} {one.points:>8} {1e3 * one.ours:>5.0f} ms  {1e3 * one.single:>7.0f} ms"
              f" {one.single / one.ours:>5.1f} x   {1e3 * one.batch:>7.0f} ms {one.batch / one.ours:>5.1f} x")  # fmt: skip
    ours = sum(one.ours for one in found)
    single, batch = (sum(getattr(one, what) for one in found) for what in ("single", "batch"))
    middle = median(one.ours for one in found)
    print(f"a door, the middle one: {1e3 * middle:.0f} ms, all: {1e3 * ours / len(found):.0f} ms (aim {AIM_DOOR:g} ms)")
    print(f"faster than one at a time: {single / ours:.1f} x (aim {AIM_SINGLE} x)")
    print(f"faster than all of a fault or attack at once: {batch / ours:.1f} x (aim {AIM_BATCH:g} x)")


if __name__ == "__main__":
    if os.environ.get("OPENBLAS_NUM_THREADS") != "1":  # read once, when numpy is loaded
        os.execvpe(sys.executable, [sys.executable, "-m", "bench.trials", *sys.argv[1:]],
                   {**os.environ, "OPENBLAS_NUM_THREADS": "1"})  # fmt: skip
    main(tuple(sys.argv[1:]))

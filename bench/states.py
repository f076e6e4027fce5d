"""All states of a 12-door site: this program's solver against ngspice, by a batch deck and by a process for each point.

    python -m bench.states

Both are given the contacts of every state.  Each door has one deck, written to bench/decks: it alters what changes from state
to state, frees its results as it goes and prints the volts of one load.  Building the netlist is outside: here the elements of
the network, there what a deck takes that reads the same circuit and solves nothing.  Processor seconds, one BLAS thread, the
middle of several runs.  Where ngspice is not installed its rows say so.
"""

from __future__ import annotations

import os
import subprocess
import tempfile
from collections.abc import Callable, Sequence
from itertools import islice
from pathlib import Path
from statistics import median
from time import process_time

from bench.alone import one_thread
from bench.spice import LOOSER, PROGRAM, Deck, deck_of
from tests.study.doors import cases, circuits, logics
from wiregen.study.circuit import Circuit
from wiregen.study.network import Network
from wiregen.study.solution import State
from wiregen.wiring.logic import Logic

SITE, DOORS = "fernhill", 12
DECKS = Path(__file__).parent / "decks"
RUNS, OURS = 5, 25  # of ngspice; of this program, whose runs are too short to be measured five times
AIM_DECK, AIM_PROCESS, AIM_LOGIC, AIM_DOOR = 10, 100, 2.5, 8.0


def row(what: str, measured: str, aim: str = "") -> None:
    print(f"{what:<62} {measured:>22}   {aim}")


def seconds(work: Callable[[], object], before: Callable[[], object] = lambda: None) -> float:
    """Processor seconds of `work`, the middle of its runs; `before` stands outside."""
    spent = []
    for _ in range(OURS):
        before()
        start = process_time()
        work()
        spent.append(process_time() - start)
    return median(spent)


def ngspice(text: str, folder: Path) -> float:
    """Processor seconds of an ngspice process for one deck."""
    file = folder / "bench.cir"
    file.write_text(text)
    assert PROGRAM is not None
    process = subprocess.Popen([PROGRAM, "-b", str(file)], stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL)
    _, status, usage = os.wait4(process.pid, 0)
    if status:
        raise RuntimeError(f"ngspice failed on {file}")
    return usage.ru_utime + usage.ru_stime


def ours(doors: Sequence[tuple[Circuit, list[State]]]) -> float:
    """All states of all doors, networks made anew for each run."""
    networks: list[Network] = []

    def build() -> None:
        networks[:] = [Network(built.elements) for built, _ in doors]

    def solve() -> None:
        for network, (_, states) in zip(networks, doors, strict=True):
            network.solve(states)

    return seconds(solve, build)


def settled(doors: Sequence[tuple[Circuit, Logic]]) -> float:
    """The same, with every contact's position worked out first from the door's logic."""
    fresh: list[tuple[Network, Circuit, Logic]] = []

    def build() -> None:
        fresh[:] = [(Network(c.elements), c, Logic(g.circuits, g.sides, g.senses)) for c, g in doors]

    def solve() -> None:
        for network, built, logic in fresh:
            network.solve([built.state(logic, case) for case in cases()])

    return seconds(solve, build)


def decks(doors: Sequence[tuple[str, Circuit, list[State]]]) -> list[Deck]:
    """One deck a door, written to bench/decks."""
    DECKS.mkdir(exist_ok=True)
    found = []
    for name, built, states in doors:
        found.append(deck_of(Network(built.elements).solve(states), nodeset=False))
        (DECKS / f"{name.split()[-1]}.cir").write_text(found[-1].text(options=LOOSER, prints=1))
    return found


def main() -> None:
    doors = list(islice(circuits(SITE), DOORS))
    points = sum(len(states) for _, _, states in doors)
    distinct = sum(len({tuple(sorted(s.items())) for s in states}) for _, _, states in doors)
    print(f"{DOORS} doors of {SITE}, {points} points ({distinct} of them differ in a contact)")
    given = ours([(built, states) for _, built, states in doors])
    logic = settled([(built, of_door) for (_, built, _), of_door in zip(doors, logics(SITE), strict=False)])
    row("solved, contacts given", f"{given / points * 1e6:.0f} us a point")
    row("the same, logic settled too", f"{logic / points * 1e6:.0f} us a point")
    row("all states of a door, logic settled", f"{logic / DOORS * 1e3:.1f} ms", f"under {AIM_DOOR:g} ms")
    if PROGRAM is None:
        print("against ngspice: skipped, it is not installed (Debian: apt install ngspice)")
        return
    with tempfile.TemporaryDirectory() as name:
        folder = Path(name)
        batch, single = 0.0, 0.0
        for deck in decks(doors):
            whole, empty = (deck.text(options=LOOSER, prints=1, points=n) for n in (None, 0))
            batch += median(ngspice(whole, folder) - ngspice(empty, folder) for _ in range(RUNS))
            single += median(ngspice(deck.text(options=LOOSER, prints=1, points=1), folder) for _ in range(RUNS))
    single *= points / DOORS
    row("ngspice, a deck a door", f"{batch / points * 1e6:.0f} us a point")
    row("ngspice, a process a point (one of each door, times its states)", f"{single / points * 1e6:.0f} us a point")
    row("faster than the deck, contacts given", f"{batch / given:.1f} x", f"{AIM_DECK} x")
    row("faster than a process a point, contacts given", f"{single / given:.0f} x", f"{AIM_PROCESS} x")
    row("faster than the deck with the logic settled", f"{batch / logic:.1f} x", f"{AIM_LOGIC} x")


if __name__ == "__main__":
    one_thread("bench.states")
    main()

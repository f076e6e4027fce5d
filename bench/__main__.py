"""Every figure that the README quotes, measured in one run on this machine: `make bench`.

Processor time, not the clock's, each the middle of five processes; the aims stand beside what was measured.
"""

from __future__ import annotations

import os
import platform
import shutil
import subprocess
import sys
import tempfile
from collections.abc import Callable, Sequence
from importlib.metadata import version
from pathlib import Path
from statistics import median

from wiregen.build import examine

SITE = "door_specs/fernhill"
BY_HAND = {"D104": "seed_hall", "D121": "specimen_cabinets"}  # the second is the fullest door of the demo
TRIED = ("D101", "D104", "D108", "D121")  # few devices and many
RUNS = 5
LIBRARIES = ("schemdraw", "matplotlib", "reportlab", "numpy", "Pint", "jsonschema", "PyYAML", "click")


def printed(*command: str) -> float:
    """The number that a Python command of this environment prints last: the middle of several processes."""
    runs = (subprocess.run([sys.executable, *command], check=True, capture_output=True, text=True) for _ in range(RUNS))
    return median(float(run.stdout.split()[-1]) for run in runs)


def spent(*command: str) -> tuple[float, float]:
    """Processor seconds (the middle one) and peak memory in MB (the largest) of a wiregen command."""
    seconds, peak = [], 0
    for _ in range(RUNS):
        process = subprocess.Popen(
            [sys.executable, "-m", "wiregen", *command], stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL
        )
        _, _, usage = os.wait4(process.pid, 0)
        seconds.append(usage.ru_utime + usage.ru_stime)
        peak = max(peak, usage.ru_maxrss)
    return median(seconds), peak / 1024


def row(what: str, measured: str, aim: str) -> None:
    print(f"{what:<62} {measured:>22}   {aim}")


def sheets(folder: Path) -> None:
    """(a) a sheet scripted by hand with schemdraw on its matplotlib canvas; (b) the door's whole section by wiregen; (c) that
    without the pages for which its faults are solved."""
    ratios = []
    for door, script in BY_HAND.items():
        hand = printed("-m", f"bench.by_hand.{script}", str(folder / "hand.pdf"))
        ours = printed("-m", "bench.section", SITE, door, str(folder / "ours.pdf"))
        ratios.append(ours / hand)
        row(f"{door} (a) sheet scripted by hand, schemdraw on matplotlib", f"{hand:.2f} s", "")
        aim = "2 on the fullest door" if len(ratios) == len(BY_HAND) else ""
        row(f"{door} (b) its whole section", f"{ours:.2f} s = {ratios[-1]:.2f} x (a)", aim)
        fewer = printed("-m", "bench.section", SITE, door, str(folder / "ours.pdf"), "no-faults")
        row(f"{door} (c) without fault guide and retest sheet", f"{fewer:.2f} s = {fewer / hand:.2f} x (a)", aim)
    row("average of (b) over (a)", f"{sum(ratios) / len(ratios):.2f}", "1")


def same_lines() -> None:
    """Says where a script by hand lags behind the specs: then the two do not draw the same."""
    from importlib import import_module

    wirings = examine(Path(SITE)).wirings
    for door, script in BY_HAND.items():
        drawn = {(wire, start, end) for wire, start, end, *_ in import_module(f"bench.by_hand.{script}").WIRES}
        wiring = wirings[door]
        due = {(c.wire, str(c.a), str(c.b)) for c in wiring.conductors} | {(k.ref, str(k.a), str(k.b)) for k in wiring.links}
        if drawn != due:
            print(f"{door}: {len(drawn - due)} lines of the script are not in the wiring, {len(due - drawn)} are missing in it")


def commands(folder: Path) -> None:
    doors = len(list(Path(SITE, "doors").glob("*.yaml")))
    started, _ = spent("--version")
    row("wiregen --version", f"{started:.2f} s", "0.3 s")
    checked, _ = spent("check", SITE)
    row(f"wiregen check, {doors} doors", f"{checked:.2f} s", f"{0.5 + 0.12 * doors:.2f} s (0.5 s + 0.12 s a door)")
    made, peak = spent("packet", SITE, "--output", str(folder / "packet"))
    row(f"wiregen packet, {doors} doors", f"{made:.1f} s", "")
    row("its peak memory", f"{peak:.0f} MB", "250 MB")


def layout() -> None:
    """Placing and routing against elkjs, where node is there to run it."""
    elk = Path(__file__).parent / "elk"
    if shutil.which("node") is None or shutil.which("npm") is None:
        print("placing and routing against elkjs: skipped, node and npm are not installed")
        return
    if not (elk / "node_modules").is_dir():
        subprocess.run(["npm", "install", "--silent", "--no-fund", "--no-audit"], cwd=elk, check=True)
    subprocess.run([sys.executable, "-m", "bench.layout"], check=True)


def states() -> None:
    """All states of a 12-door site against ngspice."""
    subprocess.run([sys.executable, "-m", "bench.states"], check=True)


def trials() -> None:
    """States, faults and attacks of a few doors beside fresh solves."""
    subprocess.run([sys.executable, "-m", "bench.trials", *TRIED], check=True)


def scale() -> None:
    """Sites of many doors."""
    subprocess.run([sys.executable, "-m", "bench.scale"], check=True)


def main() -> None:
    print(f"Python {platform.python_version()}, {platform.machine()}, " + ", ".join(f"{n} {version(n)}" for n in LIBRARIES))
    os.environ["WIREGEN_CACHE"] = ""  # what is measured is not what was kept
    same_lines()
    parts: Sequence[Callable[[Path], None]] = (sheets, commands)
    with tempfile.TemporaryDirectory() as folder:
        for part in parts:
            print()
            part(Path(folder))
    print(flush=True)
    for other in (states, trials, layout, scale):
        other()
        print(flush=True)


if __name__ == "__main__":
    main()

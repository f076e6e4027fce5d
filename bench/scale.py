"""Many doors: first build, one door edited, nothing edited, memory; beside GNU make with a command a door, and bare pages.

    python -m bench.scale [DOORS ...]

Processor seconds of `wiregen packet --jobs 2` and its processes, study and review in; peak memory of the largest of them.
The doors of a site all differ, so that none is a copy of another in layout or in print.  Of more than 2,000 doors a site is
examined whole and made in part (`bench.part`).
"""

from __future__ import annotations

import json
import os
import re
import resource
import shutil
import subprocess
import sys
import tempfile
from pathlib import Path
from time import process_time

from bench.__main__ import BY_HAND, printed, row
from bench.sites import many_doors
from wiregen.build import examine
from wiregen.crew import crew, silent
from wiregen.making import VOLUME, WHOLE, _Press  # what a packet is bound from
from wiregen.packet.book import bind_book

SIZES = (10, 100)
BUILT = 2000  # doors of a site that is built whole
PART = 4  # volumes of one that is not
HAND = "seed_hall"  # a sheet scripted by hand: one drawing of one door


def spent(command: list[str], cache: Path) -> tuple[float, float]:
    """Processor seconds of a command with its processes, and the peak memory of the largest of them in MB."""
    before = resource.getrusage(resource.RUSAGE_CHILDREN)
    environment = {**os.environ, "WIREGEN_CACHE": str(cache)}
    watched = [sys.executable, "-c", WATCH, *command]
    done = subprocess.run(watched, env=environment, stdout=subprocess.PIPE, stderr=subprocess.DEVNULL, text=True, check=False)
    after = resource.getrusage(resource.RUSAGE_CHILDREN)
    return after.ru_utime + after.ru_stime - before.ru_utime - before.ru_stime, float(done.stdout.split()[-1]) / 1024


# Of its own children a process knows the largest, of theirs too once they were waited for.
WATCH = """
import resource, subprocess, sys
subprocess.run(sys.argv[1:], stdout=subprocess.DEVNULL)
print(resource.getrusage(resource.RUSAGE_CHILDREN).ru_maxrss)
"""


def packet(site: Path, out: Path, *more: str) -> list[str]:
    return [sys.executable, "-m", "wiregen", "packet", str(site), "-o", str(out), "--quiet", *more]


def edit(site: Path) -> None:
    """One length of one door."""
    door = sorted((site / "doors").glob("*.yaml"))[0]
    text = door.read_text("utf-8")
    door.write_text(re.sub(r"(\d+) m\b", lambda m: f"{int(m[1]) + 1} m", text, count=1), encoding="utf-8")


def measured(folder: Path, doors: int, by_hand: float) -> float:
    """Prints the rows of a site of that many doors; gives processor seconds a door."""
    site, out, cache = many_doors(folder, doors), folder / f"out-{doors}", folder / f"cache-{doors}"
    first, peak = spent(packet(site, out, "--jobs", "2"), cache)
    volumes = f", {-(-doors // VOLUME)} volumes" if doors > WHOLE else ""
    row(f"{doors} doors{volumes}: first build", f"{first:.0f} s", "")
    row("  a door, over the sheet by hand", f"{first / doors:.2f} s = {first / doors / by_hand:.2f} x", "1")
    row("  peak memory of a process", f"{peak:.0f} MB", "600 MB")
    nothing, _ = spent(packet(site, out), cache)
    row("  nothing edited", f"{nothing:.2f} s", "0.7 s at 1,000 doors")
    edit(site)
    one, _ = spent(packet(site, out), cache)
    row("  one door edited", f"{one:.2f} s", "2 s at 1,000 doors")
    return first / doors


def in_part(folder: Path, doors: int, by_hand: float) -> float:
    """The same of a site that is not built whole: of its volumes `PART` are made, and the others taken to cost as those."""
    site = many_doors(folder, doors)
    environment = {**os.environ, "WIREGEN_CACHE": str(folder / f"cache-{doors}")}
    command = [sys.executable, "-m", "bench.part", str(site), str(folder / f"out-{doors}"), str(PART)]
    told = json.loads(subprocess.run(command, env=environment, stdout=subprocess.PIPE, text=True, check=True).stdout)
    first = told["examined"] + told["site"] + told["volumes"] * doors / told["doors"]
    row(f"{doors} doors, {-(-doors // VOLUME)} volumes of which {PART} are made: first build", f"{first:.0f} s", "")
    row("  of it wiring, study and review; the site's own book", f"{told['examined']:.0f} s; {told['site']:.0f} s", "")
    row("  a door, over the sheet by hand", f"{first / doors:.2f} s = {first / doors / by_hand:.2f} x", "1")
    row("  peak memory of a process", f"{told['peak']:.0f} MB", "600 MB")
    return float(first / doors)


def beside_make(folder: Path, doors: int) -> None:
    """The same doors, each made by a command of its own that GNU make calls where its spec is newer; with what is kept."""
    if shutil.which("make") is None:
        print("beside GNU make: skipped, it is not installed")
        return
    site, out = folder / f"doors-{doors}", folder / "made"
    names = sorted(path.stem for path in (site / "doors").glob("*.yaml"))
    rule = " ".join(packet(site, out, "--door", "$*"))
    wanted = " ".join(f"{out}/doors/{name}.pdf" for name in names)
    rules = f"all: {wanted}\n\n{out}/doors/%.pdf: {site}/doors/%.yaml\n\t{rule} || true\n"
    (folder / "Makefile").write_text(rules, encoding="utf-8")
    each, _ = spent(["make", "-s", "-j2", "-f", str(folder / "Makefile"), "all"], folder / "cache-make")
    row(f"{doors} doors by GNU make, a command each, a door", f"{each / doors:.2f} s", "")


def bare(folder: Path, doors: int) -> None:
    """The same ink on a plain canvas: what binding alone takes of the whole."""
    begun = process_time()
    examined = examine(folder / f"doors-{doors}")
    studied = process_time() - begun
    begun = process_time()
    with crew(1, examined.task, len(examined.wirings)) as run:
        book = _Press(examined, run, silent, False).whole()
    drawn = process_time() - begun
    begun = process_time()
    bind_book(book)
    inked = process_time() - begun
    whole = studied + drawn + inked
    row(f"{doors} doors, in one process: bare pages, the same ink", f"{inked:.2f} s", "")
    row("  the whole over that", f"{whole / inked:.0f} x", "")
    row("  of it wiring, study and review; faults, drawing and type", f"{studied:.1f} s; {drawn:.1f} s", "")


def main() -> None:
    sizes = tuple(map(int, sys.argv[1:])) or SIZES
    with tempfile.TemporaryDirectory() as made:
        folder = Path(made)
        by_hand = printed("-m", f"bench.by_hand.{HAND}", str(folder / "hand.pdf"))
        assert HAND in BY_HAND.values()
        each = [(measured if doors <= BUILT else in_part)(folder, doors, by_hand) for doors in sizes]
        if len(sizes) > 1:
            row(f"a door of {sizes[-1]} over a door of {sizes[0]}", f"{each[-1] / each[0]:.2f}", "1.2")
        beside_make(folder, sizes[0])
        bare(folder, sizes[0])


if __name__ == "__main__":
    main()

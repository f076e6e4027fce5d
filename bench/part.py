"""A site too large to build whole while one waits: all of it examined, some of its volumes and its own book made.

    python -m bench.part SITE OUT VOLUMES

Prints as JSON the processor seconds of two processes for each of these, the doors of the volumes made, and the peak memory of
the largest process in MB.  What is left out are further volumes, which are made one after the other like those.
"""

from __future__ import annotations

import json
import resource
import sys
from collections.abc import Collection, Iterator
from itertools import chain
from pathlib import Path

from wiregen.build import Examined, examine
from wiregen.crew import crew, silent
from wiregen.keeping.store import own_store
from wiregen.making import VOLUME, Drawn, Parcel, _Press
from wiregen.output import PACKET, write
from wiregen.reading.shared import SITE

JOBS = 2


class Part(_Press):
    """Makes no more than so many volumes, and what is shared."""

    def __init__(self, examined: Examined, volumes: int, *more: object) -> None:
        super().__init__(examined, *more)  # type: ignore[arg-type]
        self.books = {PACKET, *(f"volumes/{number}.pdf" for number in range(1, volumes + 1))}

    def drawn(self, doors: Collection[str]) -> Iterator[tuple[str, Drawn]]:
        own = [SITE] if SITE in doors else []
        return super().drawn([*own, *[door for door in doors if door != SITE][: (len(self.books) - 1) * VOLUME]])

    def parcels(self) -> Iterator[Parcel]:
        return (parcel for parcel in super().parcels() if parcel.name in self.books)


def spent() -> float:
    """Processor seconds of this process and of those that have ended."""
    used = [resource.getrusage(of) for of in (resource.RUSAGE_SELF, resource.RUSAGE_CHILDREN)]
    return sum(each.ru_utime + each.ru_stime for each in used)


def made(examined: Examined, out: Path, volumes: int) -> float:
    """Processor seconds for so many volumes and the site's own book; what was made before of the site is kept."""
    before = spent()
    with crew(JOBS, examined.task, len(examined.wirings)) as run:
        press = Part(examined, volumes, run, silent, False)
        write(out, chain(chain.from_iterable(map(press.files, press.parcels())), press.record()))
    print(f"made with {volumes} volumes: {spent() - before:.0f} s", file=sys.stderr)
    return spent() - before


def main(site: Path, out: Path, volumes: int) -> None:
    begun = spent()
    examined = examine(site, jobs=JOBS, store=own_store())
    known = spent()
    print(f"examined: {known - begun:.0f} s", file=sys.stderr)
    of_site, again, with_volumes = (made(examined, out, volumes_made) for volumes_made in (0, 0, volumes))
    peak = max(resource.getrusage(of).ru_maxrss for of in (resource.RUSAGE_SELF, resource.RUSAGE_CHILDREN))
    seconds = {"examined": known - begun, "site": of_site, "volumes": with_volumes - again}
    print(json.dumps({**seconds, "doors": volumes * VOLUME, "peak": peak / 1024}))


if __name__ == "__main__":
    main(Path(sys.argv[1]), Path(sys.argv[2]), int(sys.argv[3]))

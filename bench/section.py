"""One door's whole section, wired, studied, reviewed, drawn and bound, timed after imports.

    python -m bench.section SITE DOOR FILE.pdf [no-faults]

With no-faults the fault guide and the retest sheet are left out, for which every single fault of the door is solved.  Prints
processor seconds.  The site has been read before: what the hand-written scripts know, they know without reading.
"""

from __future__ import annotations

import sys
from pathlib import Path
from time import process_time

import wiregen.drafting.layout
import wiregen.drafting.sheet
import wiregen.packet.bind  # noqa: F401  what `make` would import on its first call
from wiregen import made, making
from wiregen.build import Examined, Task
from wiregen.drafting.svg import svg_of  # noqa: F401
from wiregen.reading.load import load_site
from wiregen.review.review import review
from wiregen.study.study import study_door
from wiregen.wiring.wire import wire_door, wire_site


def main(folder: Path, door: str, target: Path, faults: bool = True) -> None:
    if not faults:
        made._with_upkeep = lambda seen, wiring, study, *_: study  # type: ignore[assignment]
    site = load_site(folder)
    started = process_time()
    wiring = wire_door(site, site.doors[door])
    shared = wire_site(site)
    study = study_door(site, site.doors[door], wiring, shared)
    findings = review(site, {door: wiring}, {door: study})
    examined = Examined(Task(folder, site, shared, None), {door: wiring}, {door: study}, findings, {}, {})
    (pdf,) = making.make(examined, [door]).values()
    target.write_bytes(pdf)
    print(process_time() - started)


if __name__ == "__main__":
    main(Path(sys.argv[1]), sys.argv[2], Path(sys.argv[3]), sys.argv[4:] != ["no-faults"])

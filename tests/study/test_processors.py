"""What a study tells is the same on every processor, though the last digits of a float are not."""

from __future__ import annotations

import json
import os
import subprocess
import sys
from platform import machine
from typing import Any

import pytest

from tests.demo import SPECS

DOORS = ("D107", "D112", "D117")  # outputs with several states in which they give the same
TOLD = """
import json, os
from pathlib import Path
from wiregen.reading.load import load_site
from wiregen.study.study import study_door
from wiregen.wiring.wire import wire_door, wire_site
site = load_site(Path({site!r}))
shared = wire_site(site)
doors = [site.doors[door] for door in {doors!r}]
studies = [study_door(site, door, wire_door(site, door), shared) for door in doors]
figures = [[s.door, f.about, f.name, f.value, f.least, f.most] for s in studies for f in s.figures]
print(json.dumps([os.environ.get("OPENBLAS_CORETYPE"), figures]))
"""


def told(kernels: str | None) -> list[Any]:
    """With these kernels of OpenBLAS, the library under numpy."""
    plain = {name: value for name, value in os.environ.items() if name != "OPENBLAS_CORETYPE"}
    environment = plain if kernels is None else {**plain, "OPENBLAS_CORETYPE": kernels}
    script = TOLD.format(site=str(SPECS / "fernhill"), doors=DOORS)
    done = subprocess.run([sys.executable, "-c", script], env=environment, capture_output=True, text=True, check=True)
    found: list[Any] = json.loads(done.stdout)
    return found


@pytest.mark.skipif(machine() not in ("x86_64", "AMD64"), reason="skipped: the kernels compared here are those of x86-64")
def test_a_study_on_other_kernels_tells_the_same() -> None:
    """Prescott's know SSE3 alone and sum in another order; the program asks for Nehalem's, which numpy needs in any case."""
    chosen, here = told(None)
    other, there = told("Prescott")
    assert (chosen, other) == ("Nehalem", "Prescott"), "what the user has set stands"
    assert len(here) > 100
    assert [figure[:3] for figure in here] == [figure[:3] for figure in there]
    for one, same in zip(here, there, strict=True):
        assert same[3:] == pytest.approx(one[3:], rel=1e-9, abs=1e-9), one[:3]

"""The demo doors as networks, with every state of their logic: what the checks against other solvers and the bench run on."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

from wiregen.reading.load import load_site
from wiregen.review.rule import Case as Reviewed
from wiregen.study.circuit import Circuit, circuit
from wiregen.study.solution import State
from wiregen.wiring.logic import STATES, Case
from wiregen.wiring.wire import wire_door, wire_site

ROOT = Path(__file__).parents[2]
SITES = ("fernhill", "annex")


def cases() -> tuple[Case, ...]:
    """Every state, each with the ways to leave: none, pressed, motion seen."""
    return tuple(Case(state, pressed, motion) for state in STATES for pressed in (False, True) for motion in (False, True))


def circuits(site_name: str) -> Iterator[tuple[str, Circuit, list[State]]]:
    """Name, circuit and states of each door of a demo site."""
    site = load_site(ROOT / "door_specs" / site_name)
    shared = wire_site(site)
    for door in site.doors.values():
        wiring = wire_door(site, door)
        built = circuit(site, wiring, shared)
        logic = Reviewed(site, door, wiring, None).logic  # type: ignore[arg-type]
        yield f"{site_name} {door.id}", built, [built.state(logic, case) for case in cases()]

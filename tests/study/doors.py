"""The demo doors as networks, with every state of their logic: what the checks against other solvers and the bench run on."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

from tests.demo import site_of
from wiregen.study.circuit import Circuit, circuit
from wiregen.study.solution import State
from wiregen.wiring.logic import STATES, Case, Logic, logic_of
from wiregen.wiring.wire import wire_door, wire_site

ROOT = Path(__file__).parents[2]
SITES = ("fernhill", "annex")


def cases() -> tuple[Case, ...]:
    """Every state, each with the ways to leave: none, pressed, motion seen, both."""
    return tuple(Case(state, pressed, motion) for state in STATES for pressed in (False, True) for motion in (False, True))


def logics(site_name: str) -> Iterator[Logic]:
    """The logic of each door of a demo site."""
    site = site_of(site_name)
    for door in site.doors.values():
        yield logic_of(site, door, wire_door(site, door))


def circuits(site_name: str) -> Iterator[tuple[str, Circuit, list[State]]]:
    """Name, circuit and states of each door of a demo site."""
    site = site_of(site_name)
    shared = wire_site(site)
    for door in site.doors.values():
        wiring = wire_door(site, door)
        built, logic = circuit(site, wiring, shared), logic_of(site, door, wiring)
        yield f"{site_name} {door.id}", built, [built.state(logic, case) for case in cases()]

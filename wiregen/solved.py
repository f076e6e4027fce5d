"""Everything that is solved of a wired door: its figures, its states, the attacks on it."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from wiregen.attacks.mend import cured
from wiregen.attacks.model import Tried
from wiregen.attacks.tried import tried
from wiregen.feeds.candidates import sites_with
from wiregen.reading.model import DataSheet, Door, Site, SpecError
from wiregen.review.model import Finding
from wiregen.review.review import review
from wiregen.review.secured import CODES
from wiregen.states.table import door_states, settler_of
from wiregen.study.circuit import modelled
from wiregen.study.model import Study
from wiregen.study.network import NotSolved
from wiregen.study.study import study_door
from wiregen.wiring.model import Wiring
from wiregen.wiring.wire import wire_design


def solve(site: Site, door: Door, wiring: Wiring, shared: Wiring | None) -> Study:
    """`shared` is what the site wires for all.  Raises NotSolved where a network has no operating point that can be found."""
    model = modelled(site, door, wiring, shared)
    study = study_door(site, door, wiring, shared, model)
    settler = settler_of(site, door, wiring, shared, model)
    return replace(study, states=door_states(door, wiring, settler), tried=tried(site, door, wiring, settler))


def mended(
    site: Site, door: Door, wiring: Wiring, study: Study, boards: Sequence[DataSheet], shared: Wiring | None
) -> Study:
    """With what would cure a door that opens from outside: changes that stop it in no other way."""
    assert study.tried is not None
    before = _stops(review(site, {door.id: wiring}, {door.id: study}))

    def again(changed: Door) -> tuple[Wiring, Tried] | None:
        with_it = sites_with(site, changed)
        try:
            rewired = wire_design(with_it, changed)
            solved = solve(with_it, changed, rewired, shared)
        except (SpecError, NotSolved):
            return None
        if _stops(review(with_it, {changed.id: rewired}, {changed.id: solved})) - before or not solved.tried:
            return None
        return rewired, solved.tried

    return replace(study, cured=cured(site, door, wiring, study.tried, boards, again))


def _stops(findings: Sequence[Finding]) -> frozenset[str]:
    return frozenset(f.code for f in findings if f.level == "stop" and f.code not in CODES)

"""Faults that a stranger could make himself, and that let him in: they stand in no guide, but in the exposure file alone."""

from __future__ import annotations

from wiregen.attacks.reached import Reached, reached
from wiregen.attacks.tried import gives_way
from wiregen.faults.effects import Trials, Tried
from wiregen.faults.model import Fault
from wiregen.reading.model import Site
from wiregen.study.copper import Copper
from wiregen.wiring.fitting import At
from wiregen.wiring.model import Wiring


def withheld(site: Site, trials: Trials) -> frozenset[str]:
    """Keys of the faults that can be made from outside, and with which a lock lets go or something gives way."""
    opening = [tried.fault for tried in trials.tried[1:] if tried.fault is not None and _lets_in(trials, tried)]
    if not opening:
        return frozenset()
    within = reached(site, trials.door, trials.wiring, trials.settler)
    return frozenset(fault.key for fault in opening if _in_reach(trials.wiring, within, fault))


def _in_reach(wiring: Wiring, within: Reached, fault: Fault) -> bool:
    """Two pieces of copper can be joined wherever both are in reach; else it must be the very conductor or device."""
    outside = {ref for ref, device in wiring.devices.items() if device.exposed}
    if fault.kind == "short":
        copper = Copper(wiring)
        roots = {copper.root(end) for end in within.ends}
        return all(copper.root(end) in roots for end in fault.at)
    if fault.wires:
        return {*fault.wires} <= {c.wire for c in within.conductors} or any(end.device in outside for end in fault.at)
    return bool(fault.at) and all(end.device in outside for end in fault.at)


def _lets_in(trials: Trials, tried: Tried) -> bool:
    """Whether a lock that holds at rest does not, or an input that frees or opens is worked that was not."""
    idle = trials.states[0].name
    held = [lock for lock, is_ in trials.whole.does[idle].items() if is_ == "held"]
    if any(tried.does[idle][lock] != "held" for lock in held):
        return True
    return bool(_worked(trials, tried) - _worked(trials, trials.whole))


def _worked(trials: Trials, tried: Tried) -> frozenset[At]:
    _, row = tried.rows[trials.states[0].name][0]
    inputs = tried.settled.gauge.inputs
    return frozenset(at for n, at in enumerate(inputs) if tried.settled.active[row, n] and gives_way(trials.settler, at))

"""Which terminals a wiring makes one point, worked out from its conductors and ties alone."""

from __future__ import annotations

from collections.abc import Iterable

from wiregen.wiring.model import End, Wiring

Point = frozenset[str]


class Points:
    """Sets of names that are one point."""

    def __init__(self) -> None:
        self._sets: dict[str, set[str]] = {}

    def join(self, *names: str) -> None:
        merged = set(names).union(*(self._sets.get(name, {name}) for name in names))
        for name in merged:
            self._sets[name] = merged

    def all(self) -> set[Point]:
        return {frozenset(group) for group in self._sets.values()}


def of_wiring(wiring: Wiring) -> Points:
    """Conductors and ties joined; series parts from stock (limiter, line end) count as straight through."""
    points = Points()
    for conductor in wiring.conductors:
        points.join(str(conductor.a), str(conductor.b))
    for tied in wiring.ties:
        points.join(*map(str, tied))
    for device in wiring.devices.values():
        if device.origin != "stock":
            continue
        for part in device.sheet.inside:
            straight = part.kind == "limiter" or (part.kind == "resistor" and part.between == ("1", "3"))
            if straight:
                points.join(*(f"{device.ref}:{mark}" for mark in part.between))
    return points


def of_real(points: Iterable[Point], wiring: Wiring) -> set[Point]:
    """The sets with only terminals of the specs' own devices in them: no stock, no transfers, no junctions; of two and more."""
    hidden = ("transfer", "box")
    left = {ref for ref, device in wiring.devices.items() if device.origin != "stock" and device.sheet.is_ not in hidden}
    shown = (frozenset(name for name in point if name.rsplit(":", 1)[0] in left) for point in points)
    return {point for point in shown if len(point) > 1}


def landed(wiring: Wiring) -> set[End]:
    return {end for conductor in wiring.conductors for end in (conductor.a, conductor.b)}

"""What of a door's wiring lies in the hands of somebody outside."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace
from functools import cached_property

from wiregen.review.rule import Case
from wiregen.study.copper import Copper
from wiregen.wiring.model import Conductor, End, WiredDevice


@dataclass(frozen=True)
class Reach:
    """The terminals of devices outside (those that hang out once it is pulled off, where the data sheet says which), and every
    conductor that runs outside or ends there."""

    case: Case

    @cached_property
    def _outside(self) -> tuple[Conductor, ...]:
        wiring = self.case.wiring
        places = self.case.door.exposed | self.case.site.exposed
        cables = {ref for ref, cable in wiring.cables.items() if places & set(cable.along)}
        there = {ref for ref, device in wiring.devices.items() if device.exposed}
        there |= {junction.end.device for junction in wiring.junctions if junction.place in places}
        return tuple(
            c for c in wiring.conductors if c.cable in cables or c.place in places or {c.a.device, c.b.device} & there
        )

    @cached_property
    def _roots(self) -> frozenset[End]:
        ends = {end for c in self._outside for end in (c.a, c.b)}
        ends |= {end for device in self.case.wiring.devices.values() if device.exposed for end in _held(device)}
        return frozenset(self.case.copper.root(end) for end in ends)

    def has(self, end: End) -> bool:
        """Whether this terminal is one copper with something in reach."""
        return self.case.copper.root(end) in self._roots

    @cached_property
    def uncut(self) -> Copper:
        """The copper that is left when everything outside is cut."""
        wiring = self.case.wiring
        return Copper(replace(wiring, conductors=tuple(c for c in wiring.conductors if c not in set(self._outside))))


def _held(device: WiredDevice) -> Iterator[End]:
    marks = device.sheet.pulled_off or tuple(terminal.mark for terminal in device.sheet.terminals)
    return (End(device.ref, mark) for mark in marks)

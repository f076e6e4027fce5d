"""What of a door's wiring lies in the hands of somebody outside."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property

from wiregen.reading.model import Door, Site
from wiregen.study.copper import Copper
from wiregen.wiring.model import Conductor, End, Wiring


@dataclass(frozen=True)
class Reach:
    """The terminals of devices outside (those that hang out once it is pulled off, where the data sheet says which), and every
    conductor that runs outside or ends there."""

    site: Site
    door: Door
    wiring: Wiring
    copper: Copper

    @cached_property
    def places(self) -> frozenset[str]:
        return frozenset(self.door.exposed | self.site.exposed)

    @cached_property
    def devices(self) -> frozenset[str]:
        """Devices and boxes outside."""
        there = {ref for ref, device in self.wiring.devices.items() if device.exposed}
        return frozenset(there | {j.end.device for j in self.wiring.junctions if j.place in self.places})

    @cached_property
    def conductors(self) -> tuple[Conductor, ...]:
        cables = {ref for ref, cable in self.wiring.cables.items() if self.places & set(cable.along)}
        return tuple(
            c
            for c in self.wiring.conductors
            if c.cable in cables or c.place in self.places or {c.a.device, c.b.device} & self.devices
        )

    @cached_property
    def held(self) -> tuple[End, ...]:
        """Terminals of devices outside, whether or not anything is landed on them."""
        return tuple(
            End(ref, mark)
            for ref, device in self.wiring.devices.items()
            if device.exposed
            for mark in device.sheet.pulled_off or tuple(terminal.mark for terminal in device.sheet.terminals)
        )

    @cached_property
    def _roots(self) -> frozenset[End]:
        ends = {end for c in self.conductors for end in (c.a, c.b)}
        return frozenset(self.copper.root(end) for end in ends | set(self.held))

    def has(self, end: End) -> bool:
        """Whether this terminal is one copper with something in reach."""
        return self.copper.root(end) in self._roots

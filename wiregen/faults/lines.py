"""Which data lines a piece of copper carries: what is cut off when it opens, what is silent when it is joined to another."""

from __future__ import annotations

from dataclasses import replace

from wiregen.reading.model import Line
from wiregen.study.copper import Copper
from wiregen.wiring.fitting import At
from wiregen.wiring.logic import Logic
from wiregen.wiring.model import Conductor, End, Wiring

NONE: frozenset[At] = frozenset()


class Lines:
    """The data lines of a door, by copper."""

    def __init__(self, wiring: Wiring, logic: Logic) -> None:
        self.wiring, self.copper = wiring, Copper(wiring)
        self.ends = [
            (At(ref, group.name), End(ref, mark))
            for ref, device in wiring.devices.items()
            for group in device.sheet.groups.values()
            if isinstance(group, Line)
            for mark in group.roles.values()
            if self.copper.landed(End(ref, mark))
        ]
        masters = [fit.target for fit in logic.circuits.fits if fit.row == "T13"]
        heads = {at for at in masters if at.device in wiring.devices and wiring.devices[at.device].sheet.is_ == "controller"}
        self.heads = heads or set(masters[:1])

    def on(self, end: End) -> frozenset[At]:
        """Lines with a data terminal on this copper: they carry nothing while it is joined to another."""
        return frozenset(at for at, mark in self.ends if self.copper.same(mark, end))

    def severed(self, conductor: Conductor) -> frozenset[At]:
        """Lines that no longer hear their controller with this conductor open."""
        whole = self.on(conductor.a)
        if not whole:
            return NONE
        left = Copper(replace(self.wiring, conductors=tuple(c for c in self.wiring.conductors if c != conductor)))
        of_copper = [(at, mark) for at, mark in self.ends if self.copper.same(mark, conductor.a)]
        heads = [mark for at, mark in of_copper if at in self.heads]
        return frozenset(
            at for at, mark in of_copper if at not in self.heads and not any(left.same(mark, head) for head in heads)
        )

"""Every single fault of a door: from its wiring and its network alone.

Conductors open, neighbours in a cable and neighbouring terminals shorted, conductors to the grounded frame, devices dead, fuses
blown, contacts welded and stuck open, calmers the wrong way round or missing, like colours exchanged.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from itertools import combinations, pairwise

from wiregen.faults.lines import Lines
from wiregen.faults.model import Fault
from wiregen.reading.model import Changeover, Contact, Gives, Jack, Takes
from wiregen.states.settle import Settler
from wiregen.states.struck import Strike
from wiregen.study.elements import Diode, Resistor
from wiregen.study.network import Link
from wiregen.study.solution import OPEN
from wiregen.wiring.fitting import At
from wiregen.wiring.model import Conductor, End, Wiring

TOUCH = 0.01  # ohm, of two bare wires that touch: common practice, no source
PASSIVE = ("box", "earth", "transfer", "contact", "button", "calmer", "fuse", "battery")  # that have no works to die
# Colours that are taken for one another in poor light, by their letters: common practice, no source
ALIKE = (
    {"BK", "BN"}, {"BK", "BU"}, {"BU", "VT"}, {"RD", "OG"}, {"RD", "BN"}, {"GY", "WH"}, {"GN", "BU"}, {"YE", "WH"},
    {"OG", "YE"},
)  # fmt: skip


class Lister:
    """The faults of one door."""

    def __init__(self, wiring: Wiring, settler: Settler) -> None:
        self.wiring, self.circuit, self.logic, self.network = wiring, settler.circuit, settler.logic, settler.network
        self.elements = self.network.elements
        self.conductors = [c for c in wiring.conductors if c.circuit != "earth"]
        self.potential = {end: c.potential for c in wiring.conductors for end in (c.a, c.b)}
        self.lines = Lines(wiring, self.logic)

    def all(self) -> tuple[Fault, ...]:
        found = (
            *self.opens(), *self.links_out(), *self.in_cables(), *self.at_terminals(), *self.to_frame(), *self.dead(),
            *self.fuses(), *self.contacts(), *self.calmers(), *self.swapped(),
        )  # fmt: skip
        return tuple({fault.key: fault for fault in found}.values())

    # ---- copper

    def node(self, end: End) -> End:
        return self.circuit.nodes.get(end, end)

    def wire(self, conductor: Conductor) -> Resistor | None:
        element = self.elements.get(f"wire {conductor.wire}")
        return element if isinstance(element, Resistor) else None

    def opens(self) -> Iterator[Fault]:
        for c in self.conductors:
            wire = self.wire(c)
            yield Fault(
                key=f"open {c.wire}",
                kind="open",
                words=f"wire {c.wire} is open between {c.a} and {c.b}",
                at=(c.a, c.b),
                links=(Link(wire.a, wire.b, OPEN - 1 / wire.ohms),) if wire else (),
                strike=Strike(cut=self.lines.severed(c)),
                wires=(c.wire,),
            )

    def links_out(self) -> Iterator[Fault]:
        """A patch cable that is pulled or broken: what it feeds, and what speaks over it, is without."""
        for link in self.wiring.links:
            ends = {link.a.device, link.b.device}
            feeds = self.logic.circuits.feeds.values()
            fed = frozenset(f.load for f in feeds if f.row == "T4" and ends & {f.load.device, f.source.device})
            passed = any(self.wiring.devices[ref].sheet.is_ == "panel" for ref in ends if ref in self.wiring.devices)
            if passed and not fed:  # beyond a patch panel: what is fed through it
                fed = frozenset(f.load for f in feeds if f.row == "T4" and f.load.device in self.wiring.devices)
            if fed:
                yield Fault(
                    key=f"open {link.ref}",
                    kind="open",
                    words=f"link {link.ref} is out or broken between {link.a} and {link.b}",
                    at=(link.a, link.b),
                    strike=Strike(unfed=fed),
                    wires=(link.ref,),
                )

    def joined(self, a: End, b: End) -> tuple[tuple[Link, ...], Strike] | None:
        """Two ends touch; None where they are one piece of copper, or nothing comes of it."""
        first, second = self.node(a), self.node(b)
        if first == second or self.potential.get(a) == self.potential.get(b):
            return None
        known = first in self.network.index and second in self.network.index
        links = (Link(first, second, 1 / TOUCH),) if known else ()
        cut = self.lines.on(a) | self.lines.on(b)
        return (links, Strike(cut=cut)) if links or cut else None

    def in_cables(self) -> Iterator[Fault]:
        by_wire = {c.wire: c for c in self.conductors}
        for ref, cable in self.wiring.cables.items():
            used = [by_wire[wire] for _, wire in cable.cores if wire in by_wire]
            for one, other in pairwise(used):
                if (found := self.joined(one.b, other.b)) is not None:
                    yield Fault(
                        key=f"short {one.wire} {other.wire}",
                        kind="short",
                        words=f"wires {one.wire} and {other.wire} touch in cable {ref}",
                        at=(one.b, other.b),
                        links=found[0],
                        strike=found[1],
                        wires=(one.wire, other.wire),
                    )

    def at_terminals(self) -> Iterator[Fault]:
        landed = {end for c in self.conductors for end in (c.a, c.b)}
        for ref, device in self.wiring.devices.items():
            for one, other in pairwise(device.sheet.terminals):
                a, b = End(ref, one.mark), End(ref, other.mark)
                if {a, b} <= landed and (found := self.joined(a, b)) is not None:
                    yield Fault(
                        key=f"touch {a} {b}",
                        kind="short",
                        words=f"a strand joins terminals {a.terminal} and {b.terminal} of {ref}",
                        at=(a, b),
                        links=found[0],
                        strike=found[1],
                    )

    def to_frame(self) -> Iterator[Fault]:
        """A conductor on the grounded frame is a fault to the network only where the 0 V of a supply is bonded to earth.

        With the 0 V floating the first such fault does nothing, and no meter shows it but one for insulation.
        """
        bonds: dict[int | None, End] = {}
        for at in self.circuit.sources:
            group = self.logic.circuits.group(at)
            if isinstance(group, Gives) and self.logic.cast.device(at.device).sheet.is_ in ("supply", "board"):
                zero = self.node(End(at.device, group.second or ""))
                bonds.setdefault(self._island(zero), zero)
        for c in self.conductors:
            a = self.node(c.a)
            bond = bonds.get(self._island(a)) if self.wire(c) else None
            links = (Link(a, bond, 1 / TOUCH),) if bond is not None and bond != a else ()
            for bonded in (False, True):
                yield Fault(
                    key=f"frame {c.wire}" + (" bonded" if bonded else ""),
                    kind="frame",
                    words=f"wire {c.wire} touches the grounded frame, 0 V {'bonded to earth' if bonded else 'floating'}",
                    at=(c.a,),
                    links=links if bonded else (),
                    bonded=bonded,
                    wires=(c.wire,),
                )

    def _island(self, node: End) -> int | None:
        at = self.network.index.get(node)
        return None if at is None else self.network.island[at]

    # ---- devices

    def dead(self) -> Iterator[Fault]:
        for ref, device in self.wiring.devices.items():
            groups = device.sheet.groups.values()
            fed = [At(ref, g.name) for g in groups if isinstance(g, Takes) or (isinstance(g, Jack) and g.poe == "in")]
            if device.sheet.is_ in PASSIVE or not fed:
                continue
            coils = [self.elements[str(at)] for at in fed if isinstance(self.elements.get(str(at)), Resistor)]
            yield Fault(
                key=f"dead {ref}",
                kind="dead",
                words=f"{ref} {device.sheet.name} is dead",
                at=tuple(End(ref, mark) for mark in sorted(device.used)[:1]),
                links=tuple(Link(c.a, c.b, OPEN - 1 / c.ohms) for c in coils if isinstance(c, Resistor)),
                strike=Strike(dead=frozenset({ref}), unfed=frozenset(fed)),
            )

    def fuses(self) -> Iterator[Fault]:
        for at in self.circuit.sources:
            group = self.logic.circuits.group(at)
            if isinstance(group, Gives) and group.limit_kind == "fuse":
                yield Fault(
                    key=f"fuse {at}",
                    kind="fuse",
                    words=f"the fuse of {at} is blown",
                    at=(End(at.device, group.first or ""), End(at.device, group.second or "")),
                    strike=Strike(lost=frozenset({at})),
                )
        for ref, device in self.wiring.devices.items():
            for group in device.sheet.groups.values():
                joint = self.elements.get(f"{ref}.{group.name}")
                if device.sheet.is_ == "fuse" and isinstance(joint, Resistor):
                    yield Fault(
                        key=f"fuse {ref}.{group.name}",
                        kind="fuse",
                        words=f"fuse {ref} is blown",
                        at=tuple(end for end in (joint.a, joint.b) if isinstance(end, End)),
                        links=(Link(joint.a, joint.b, OPEN - 1 / joint.ohms),),
                    )

    def contacts(self) -> Iterator[Fault]:
        for ref, device in self.wiring.devices.items():
            for group in device.sheet.groups.values():
                name = f"{ref}.{group.name}"
                if isinstance(group, Contact) and name in self.circuit.switches:
                    at = tuple(End(ref, mark) for mark in group.between)
                    yield self._stuck("welded", name, ((name, True),), f"contact {name} is welded shut", at)
                    yield self._stuck("stuck", name, ((name, False),), f"contact {name} no longer closes", at)
                elif isinstance(group, Changeover):
                    sides = {"make": group.make, "break": group.break_}
                    known = [side for side in sides if f"{name}.{side}" in self.circuit.switches]
                    for side in known:
                        at = (End(ref, group.common), End(ref, sides[side]))
                        alone = ((f"{name}.{side}", True),)
                        other = tuple((f"{name}.{o}", False) for o in known if o != side)
                        yield self._stuck("welded", f"{name}.{side}", (*alone, *other),
                                          f"contact {name} {group.common}-{sides[side]} is welded shut", at)  # fmt: skip
                        yield self._stuck("stuck", f"{name}.{side}", ((f"{name}.{side}", False),),
                                          f"contact {name} {group.common}-{sides[side]} no longer closes", at)  # fmt: skip

    def _stuck(self, kind: str, name: str, stuck: tuple[tuple[str, bool], ...], words: str, at: tuple[End, ...]) -> Fault:
        return Fault(
            key=f"{kind} {name}", kind="welded" if kind == "welded" else "stuck", words=words, at=at, strike=Strike(stuck=stuck)
        )

    def calmers(self) -> Iterator[Fault]:
        """The wrong way round, or not there: what is not there shows only with the power off."""
        for calmer in self.wiring.calmers:
            if calmer.ref is None:
                continue
            parts = [e for name, e in self.elements.items() if name.startswith(f"{calmer.ref}.") and isinstance(e, Diode)]
            at = tuple(End(calmer.ref, terminal.mark) for terminal in (calmer.sheet.terminals if calmer.sheet else ()))
            yield Fault(
                key=f"missing {calmer.ref}",
                kind="calmer",
                words=f"{calmer.word} {calmer.ref} at {calmer.lock} is not there",
                at=at,
            )
            for diode in parts:
                yield Fault(
                    key=f"reversed {calmer.ref}",
                    kind="calmer",
                    words=f"{calmer.word} {calmer.ref} at {calmer.lock} is the wrong way round",
                    at=at,
                    instead=(replace(diode, anode=diode.cathode, cathode=diode.anode),),
                )

    def swapped(self) -> Iterator[Fault]:
        """Two cores of a cable with colours that are taken for one another, exchanged at a device where both land."""
        for ref, cable in self.wiring.cables.items():
            wires = {wire for _, wire in cable.cores if wire}
            of_cable = [c for c in self.conductors if c.wire in wires]
            for one, other in combinations(of_cable, 2):
                if not alike(one.colour, other.colour) or one.potential == other.potential:
                    continue
                for x, y in ((one.a, other.a), (one.b, other.b)):
                    if x.device == y.device:
                        yield self._exchanged(ref, one, other, x, y)

    def _exchanged(self, cable: str, one: Conductor, other: Conductor, x: End, y: End) -> Fault:
        first, second = self.wire(one), self.wire(other)
        links: tuple[Link, ...] = ()
        if first and second:
            far_x, far_y = (w.b if self.node(end) == w.a else w.a for w, end in ((first, x), (second, y)))
            near_x, near_y = self.node(x), self.node(y)
            links = (
                Link(first.a, first.b, OPEN - 1 / first.ohms),
                Link(second.a, second.b, OPEN - 1 / second.ohms),
                Link(near_y, far_x, 1 / first.ohms),
                Link(near_x, far_y, 1 / second.ohms),
            )
        return Fault(
            key=f"swapped {one.wire} {other.wire} {x.device}",
            kind="swapped",
            words=f"wires {one.wire} ({one.colour}) and {other.wire} ({other.colour}) of {cable} are exchanged at {x.device}",
            at=(x, y),
            links=links,
            strike=Strike(cut=self.lines.on(x) | self.lines.on(y)),
            wires=(one.wire, other.wire),
        )


def alike(one: str, other: str) -> bool:
    """Colours by IEC 60757, with a tracer after the dash: the same ground, or grounds that are taken for one another."""
    first, second = one.split("-")[0], other.split("-")[0]
    return first == second or {first, second} in ALIKE


def faults(wiring: Wiring, settler: Settler) -> tuple[Fault, ...]:
    """Every single fault of a door, each key once, in the order of its kinds and of the wiring."""
    return Lister(wiring, settler).all()

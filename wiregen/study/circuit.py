"""The network of a door, from its wiring and its data sheets alone, and what its contacts and outputs do in a state.

An output of the site is to a door a source with the band of volts that it is promised: there the door's study ends and the
site's takes over.  What the site wires between its own devices counts as far as it leads on from the door's copper: through
conductors, contacts and outputs, not through loads.  Loads on alternating current are resistances on RMS volts.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from functools import cached_property

from wiregen.reading.model import (
    Band,
    Changeover,
    Contact,
    DataSheet,
    Door,
    Drive,
    Gives,
    Group,
    Input,
    Part,
    Pass,
    Site,
    Takes,
)
from wiregen.reading.shared import SITE
from wiregen.study import elements as net
from wiregen.study.copper import output_volts
from wiregen.study.linear import joined
from wiregen.study.load import coil_of
from wiregen.study.network import Network
from wiregen.study.route import conductor_ohms
from wiregen.wiring.fitting import At, Step
from wiregen.wiring.logic import Case, Logic, logic_of
from wiregen.wiring.model import Conductor, End, WiredDevice, Wiring

JUMPER = Band(0.15, 0.05, 0.5, "m", "0.05..0.5 m")  # of a wire inside a box or a device's own lead: common practice, no source
CONTACT = Band(0.05, 0.01, 0.1, "ohm", "0.01..0.1 ohm")  # of a closed contact and its joints: common practice, no source
SOURCE = 0.01  # ohm, of an output whose data sheet gives none: its band of volts holds up to full load
LEAST = 1.0  # V, at which a load whose data sheet gives no range stops: common practice, no source


@dataclass(frozen=True)
class Spread:
    """A value of an element that is known only within a band; `what` is the element's field."""

    element: str
    what: str
    band: Band


@dataclass(frozen=True)
class Circuit:
    """Elements at their nominal values, how far these may be off, and what each contact of the network stands for.

    `nodes` gives for a terminal the node that it is on; terminals that nothing is landed on have none.
    """

    elements: tuple[net.Element, ...]
    spreads: tuple[Spread, ...]
    switches: Mapping[str, Callable[[Logic, Case], bool]]
    nodes: Mapping[End, End]
    sources: Mapping[At, str]  # output → the element that gives its current
    loads: Mapping[At, str]  # load → the element that takes its current
    sheets: Mapping[str, DataSheet]  # of the devices that the network holds

    @cached_property
    def network(self) -> Network:
        """With all values nominal."""
        return Network(self.elements)

    def state(self, logic: Logic, case: Case) -> dict[str, bool]:
        """For each contact of the network whether it is closed."""
        return {name: closed(logic, case) for name, closed in self.switches.items()}

    def apart(self, between: Sequence[Sequence[net.Node]]) -> Iterator[tuple[Circuit, list[int]]]:
        """The circuit in pieces that share no node and no element, each with the numbers of those of `between`, groups of
        nodes, that lie in it: what is so in one piece does not hang on another.  Pieces with none of them are left out.

        Raises KeyError for a node that no element has.
        """
        pieces = [sorted({self._piece[node] for node in nodes}) for nodes in between]
        tops = joined(1 + max(self._piece.values(), default=0), pieces)
        asked: dict[int, list[int]] = {}
        for n, of in enumerate(pieces):
            asked.setdefault(tops[of[0]], []).append(n)
        of_top: dict[int, list[int]] = {}
        for piece, top in enumerate(tops):
            of_top.setdefault(top, []).append(piece)
        for top, numbers in asked.items():
            yield self._of(tuple(of_top[top])), numbers

    @cached_property
    def _piece(self) -> Mapping[net.Node, int]:
        """For each node the number of its piece: elements join all their nodes, converters those of both their sides."""
        nodes = [dict.fromkeys(node for pair in net.pairs(element) for node in pair) for element in self.elements]
        index = {node: n for n, node in enumerate(dict.fromkeys(node for of in nodes for node in of))}
        tops = joined(len(index), [[index[node] for node in of] for of in nodes])
        number = {top: n for n, top in enumerate(dict.fromkeys(tops))}
        return {node: number[tops[n]] for node, n in index.items()}

    def _of(self, pieces: tuple[int, ...]) -> Circuit:
        if pieces not in self._known:
            elements, spreads = (sorted(n for piece in pieces for n in held[piece]) for held in self._held)
            own = [self.elements[n] for n in elements]
            self._known[pieces] = self if len(own) == len(self.elements) else replace(
                self, elements=tuple(own), spreads=tuple(self.spreads[n] for n in spreads),
                switches={e.name: self.switches[e.name] for e in own if e.name in self.switches},
            )  # fmt: skip
        return self._known[pieces]

    @cached_property
    def _held(self) -> tuple[list[list[int]], list[list[int]]]:
        """By piece the numbers of its elements, and of its spreads."""
        of = {element.name: self._piece[net.pairs(element)[0][0]] for element in self.elements}
        count = 1 + max(of.values(), default=0)
        elements: list[list[int]] = [[] for _ in range(count)]
        spreads: list[list[int]] = [[] for _ in range(count)]
        for n, element in enumerate(self.elements):
            elements[of[element.name]].append(n)
        for n, spread in enumerate(self.spreads):
            spreads[of[spread.element]].append(n)
        return elements, spreads

    @cached_property
    def _known(self) -> dict[tuple[int, ...], Circuit]:
        return {}


class _Builder:
    def __init__(self, site: Site, wiring: Wiring, shared: Wiring | None) -> None:
        self.site, self.wiring = site, wiring
        self.devices: dict[str, WiredDevice] = dict(wiring.devices)
        self.ties = wiring.ties
        self.conductors = [(conductor, wiring) for conductor in wiring.conductors]
        if shared is not None:
            self.take_in(shared)
        self.tied = {end: tie[0] for tie in self.ties for end in tie}
        self.landed_ends = {self.tied.get(end, end) for c, _ in self.conductors for end in (c.a, c.b)}
        self.ended = {f"{e.sensor}.{e.group}": e.values for e in wiring.line_ends if e.ref is None}
        self.elements: list[net.Element] = []
        self.spreads: list[Spread] = []
        self.switches: dict[str, Callable[[Logic, Case], bool]] = {}
        self.sources: dict[At, str] = {}
        self.loads: dict[At, str] = {}

    def take_in(self, shared: Wiring) -> None:
        """Adds what the site wires, as far as the door's copper leads into it, under the names that the door knows."""
        own = {*(ref for ref, device in self.devices.items() if device.origin == "door"), *self.wiring.boxes}

        def named(end: End) -> End:
            return End(f"{SITE}/{end.device}", end.terminal) if end.device in own else end

        devices = {named(End(ref, "")).device: device for ref, device in shared.devices.items()}
        conductors = [replace(c, wire=f"{SITE}/{c.wire}", a=named(c.a), b=named(c.b)) for c in shared.conductors]
        ties = tuple(tuple(map(named, tie)) for tie in shared.ties)
        beside: dict[End, list[tuple[End, ...]]] = {}
        for lead in (*((c.a, c.b) for c in conductors), *ties):
            for end in lead:
                beside.setdefault(end, []).append(lead)
        for ref, device in devices.items():
            for group in device.sheet.groups.values():
                for marks in _leading(group):
                    beside.setdefault(End(ref, marks[0]), []).append(tuple(End(ref, mark) for mark in marks))
        reached = {end for c, _ in self.conductors for end in (c.a, c.b)}
        new = sorted(reached & beside.keys())
        while new:
            further = {end for one in new for lead in beside[one] for end in lead} - reached
            reached |= further
            new = sorted(further & beside.keys())
        self.conductors += [(c, shared) for c in conductors if c.a in reached]
        self.ties = tuple(dict.fromkeys((*self.ties, *(tie for tie in ties if tie[0] in reached))))
        self.devices |= {ref: device for ref, device in devices.items() if ref not in self.devices}

    def build(self) -> Circuit:
        for conductor, of in self.conductors:
            self.conductor(conductor, of)
        for ref, device in self.devices.items():
            for group in device.sheet.groups.values():
                self.group(ref, group)
            for number, part in enumerate(device.sheet.inside, 1):
                self.part(ref, f"{ref}.{part.kind}-{number}", part)
        ends = {end for c, _ in self.conductors for end in (c.a, c.b)}
        nodes = {end: self.tied.get(end, end) for end in (*ends, *self.tied)}
        held = {end.device for end in nodes}
        sheets = {ref: device.sheet for ref, device in self.devices.items() if ref in held}
        return Circuit(tuple(self.elements), tuple(self.spreads), self.switches, nodes, self.sources, self.loads, sheets)

    def group(self, ref: str, group: object) -> None:
        match group:
            case Gives():
                self.output(ref, group)
            case Takes():
                self.load(ref, group)
            case Contact() if self.landed(ref, *group.between):
                self.contact(ref, f"{ref}.{group.name}", group.between, Step(At(ref, group.name), None))
            case Changeover():
                for side, mark in (("make", group.make), ("break", group.break_)):
                    if self.landed(ref, group.common, mark):
                        step = Step(At(ref, group.name), side)
                        self.contact(ref, f"{ref}.{group.name}.{side}", (group.common, mark), step)
            case Input() if self.landed(ref, group.in_):
                self.input(ref, group)
            case Drive() if self.landed(ref, group.out):
                self.drive(ref, group)
            case Pass() if group.between and self.landed(ref, *group.between):
                self.joint(f"{ref}.{group.name}", self.node(ref, group.between[0]), self.node(ref, group.between[1]))

    # ---- copper

    def node(self, ref: str, mark: str | None) -> End:
        end = End(ref, mark or "")
        return self.tied.get(end, end)

    def landed(self, ref: str, *marks: str | None) -> bool:
        return all(mark is not None and self.node(ref, mark) in self.landed_ends for mark in marks)

    def spread(self, element: str, what: str, band: Band) -> None:
        if band.least < band.most:
            self.spreads.append(Spread(element, what, band))

    def resistor(self, name: str, a: End, b: End, ohms: Band) -> None:
        if a != b:
            self.elements.append(net.Resistor(name, a, b, ohms.nominal))
            self.spread(name, "ohms", ohms)

    def joint(self, name: str, a: End, b: End) -> None:
        """What leads through a device: its contacts and joints count like a closed contact."""
        self.resistor(name, a, b, CONTACT)

    def conductor(self, conductor: Conductor, of: Wiring) -> None:
        a, b = (self.tied.get(end, end) for end in (conductor.a, conductor.b))
        if conductor.function != "earth":
            self.resistor(f"wire {conductor.wire}", a, b, ohms_of(self.site, of, conductor))

    # ---- contacts

    def contact(self, ref: str, name: str, marks: tuple[str, str], step: Step) -> None:
        self.switch(name, self.node(ref, marks[0]), self.node(ref, marks[1]), lambda logic, case: logic.closed(case, step))

    def switch(self, name: str, a: End, b: End, closed: Callable[[Logic, Case], bool]) -> None:
        if ended := self.ended.get(name):  # cast into the contact: one resistor in series with it, one across it
            middle = End("", name)
            self.resistor(f"{name} in series", middle, b, ended.series)
            self.resistor(f"{name} across", a, middle, ended.across)
            b = middle
        self.elements.append(net.Contact(name, a, b, ohms=CONTACT.nominal))
        self.spread(name, "ohms", CONTACT)
        self.switches[name] = closed

    def drive(self, ref: str, group: Drive) -> None:
        at = At(ref, group.name)
        name, out, against = str(at), self.node(ref, group.out), self.node(ref, group.ref)
        if group.sinks:
            self.switch(name, out, against, lambda logic, case: logic.driven(case, at))
        elif group.level:
            inner = End("", f"{name} level")
            ohms = group.level.nominal / group.level_amps.most if group.level_amps else SOURCE
            self.elements.append(net.Source(f"{name} level", inner, against, group.level.nominal, ohms))
            self.switch(name, inner, out, lambda logic, case: logic.driven(case, at))

    # ---- sources

    def output(self, ref: str, group: Gives) -> None:
        if not self.landed(ref, group.first, group.second):
            return
        at = At(ref, group.name)
        name, minus = str(at), self.node(ref, group.second)
        inner = End("", f"{name} inside")
        inlet = self.inlet(ref, group) if self.wiring.door == SITE or self.devices[ref].origin == "door" else None
        volts = group.volts if inlet else output_volts(self.site, ref, group)
        ohms = group.resistance.nominal if group.resistance else SOURCE
        if volts is not None and inlet is not None and inlet.current == "dc" and group.efficiency:
            self.converter(name, ref, inlet, group, (inner, minus), volts, ohms)
        elif volts is not None:
            self.elements.append(net.Source(name, inner, minus, volts.nominal, ohms))
            self.spread(name, "volts", volts)
        elif inlet is not None:
            self.joint(name, self.node(ref, inlet.first), inner)
            self.joint(f"{name} back", self.node(ref, inlet.second), minus)
        else:
            return
        self.sources[at] = name
        self.switch(f"{name} on", inner, self.node(ref, group.first), lambda logic, case: logic.live(case, at))

    def inlet(self, ref: str, group: Gives) -> Takes | None:
        """The pair of terminals of the same device that an output lives on, where something is landed on them.

        None where it lives on mains, whatever else it may live on.
        """
        groups = self.devices[ref].sheet.groups
        inlets = [groups.get(name) for name in (*group.out_of, *([group.volts_as] if group.volts_as else []))]
        for inlet in inlets:
            if isinstance(inlet, Takes) and inlet.current == "mains":
                return None
            if isinstance(inlet, Takes) and self.landed(ref, inlet.first, inlet.second):
                return inlet
        return None

    def converter(
        self, name: str, ref: str, inlet: Takes, group: Gives, out: tuple[End, End], volts: Band, ohms: float
    ) -> None:
        least = inlet.range.least if inlet.range else LEAST
        efficiency = group.efficiency.nominal if group.efficiency else 1.0
        poles = self.node(ref, inlet.first), self.node(ref, inlet.second)
        self.elements.append(net.Converter(name, *poles, *out, volts.nominal, ohms, efficiency, least))
        self.spread(name, "volts", volts)
        if group.efficiency:
            self.spread(name, "efficiency", group.efficiency)

    # ---- loads

    def load(self, ref: str, group: Takes) -> None:
        if group.current == "mains" or not self.landed(ref, group.first, group.second):
            return
        at, groups = At(ref, group.name), self.devices[ref].sheet.groups
        poles = self.node(ref, group.first), self.node(ref, group.second)
        if coil := coil_of(self.devices[ref].sheet.inside, group):
            if ohms := ohms_at(coil, group):
                self.resistor(str(at), *poles, ohms)
                self.loads[at] = str(at)
        elif group.load:
            self.constant(str(at), poles, group, group.load)
            self.loads[at] = str(at)
        if group.each_relay:
            for name, relay in groups.items():
                if isinstance(relay, Changeover):
                    self.each_relay(At(ref, name), poles, group, group.each_relay)

    def constant(self, name: str, poles: tuple[End, End], group: Takes, load: Band) -> None:
        least = group.range.least if group.range else LEAST
        what = "amps" if load.unit == "A" else "watts"
        self.elements.append(net.Load(name, *poles, least, **{what: load.nominal}))
        self.spread(name, what, load)

    def each_relay(self, at: At, poles: tuple[End, End], group: Takes, load: Band) -> None:
        inner = End("", f"{at} coil")
        self.constant(f"{at} coil", (inner, poles[1]), group, load)
        self.switch(f"{at} on", poles[0], inner, lambda logic, case: logic.moved(case, at))

    def input(self, ref: str, group: Input) -> None:
        name, inside, against = f"{ref}.{group.name}", self.node(ref, group.in_), self.node(ref, group.ref)
        if group.pull_up and group.pull_up_to:
            self.elements.append(net.Source(name, inside, against, group.pull_up_to.nominal, group.pull_up.nominal))
            self.spread(name, "volts", group.pull_up_to)
            self.spread(name, "ohms", group.pull_up)
        elif group.pull_down:
            self.resistor(name, inside, against, group.pull_down)

    def part(self, ref: str, name: str, part: Part) -> None:
        """What is inside and is no load of its own: calmers, resistors, the limiter in a lead."""
        groups = self.devices[ref].sheet.groups.values()
        if any(isinstance(g, Takes) and {g.first, g.second} == set(part.between) for g in groups) and part.kind in LOADS:
            return
        if not self.landed(ref, *part.between):
            return
        a, b = (self.node(ref, mark) for mark in part.between)
        ohms = part.resistance or part.warm
        match part.kind:
            case "diode":
                self.elements.append(net.Diode(name, a, b))
            case "varistor" if part.clamps:
                self.elements.append(net.Varistor(name, a, b, part.clamps.nominal))
            case _ if ohms:
                self.resistor(name, a, b, ohms)


LOADS = ("coil", "motor")


def ohms_at(coil: Part, group: Takes) -> Band | None:
    """Ohms of a coil: its impedance on alternating current, its resistance otherwise; None where its sheet has neither."""
    return (coil.impedance if group.current == "ac" else None) or coil.resistance


def ohms_of(site: Site, wiring: Wiring, conductor: Conductor) -> Band:
    """Ohms of one conductor; one that has no length lies inside a box."""
    told = conductor_ohms(site, wiring, conductor if conductor.length else replace(conductor, length=JUMPER.nominal))
    if conductor.length:
        return Band(told.value, told.least, told.most, "ohm", conductor.wire)
    return Band(told.value, told.least * JUMPER.least / JUMPER.nominal, told.most * JUMPER.most / JUMPER.nominal, "ohm", "")


def _leading(group: Group) -> Iterator[tuple[str, ...]]:
    """From which mark of a group a circuit leads on to which: through contacts, and from the plus of an output to its minus."""
    match group:
        case Contact() | Pass() if group.between:
            yield group.between
            yield group.between[::-1]
        case Changeover():
            for first in (group.common, group.make, group.break_):
                yield first, group.common, group.make, group.break_
        case Gives() if group.first and group.second:
            yield group.first, group.second


@dataclass(frozen=True)
class Modelled:
    """A wired door as its study and its states take it: the network, and the logic of its contacts."""

    circuit: Circuit
    logic: Logic


def modelled(site: Site, door: Door, wiring: Wiring, shared: Wiring | None) -> Modelled:
    """`shared` is what the site wires for all.  Pure."""
    return Modelled(circuit(site, wiring, shared), logic_of(site, door, wiring))


def circuit(site: Site, wiring: Wiring, shared: Wiring | None = None) -> Circuit:
    """The network of a door; `shared` is what the site wires between its own devices.  Pure."""
    return _Builder(site, wiring, shared).build()

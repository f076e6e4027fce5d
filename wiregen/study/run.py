"""How far a load's own run carries it: what it loses, the longest run and the smallest stock cable that pass.

A series sum for each load by itself; what other loads draw over the same wires is the network's, and counts in the cable that
is named.
"""

from __future__ import annotations

from collections.abc import Callable, Hashable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from math import ceil
from types import MappingProxyType

from wiregen.reading.model import Band, Door, Site
from wiregen.study.circuit import CONTACT, JUMPER, SOURCE
from wiregen.study.conductor import AREA, LONGEST, smallest, temperature
from wiregen.study.copper import Loads, Supplied
from wiregen.study.formula import Formula
from wiregen.study.load import OHM, THROUGH, coil_of, draws, watts_into
from wiregen.study.model import Figure
from wiregen.study.route import Routes, conductor_ohms, long, metres, way_ohms
from wiregen.wiring.fitting import At
from wiregen.wiring.model import Conductor, Wiring

SPARE = Formula("volts - needs", "V", {"volts": "V", "needs": "V"}, "volts of the source over the least of the load")
LOST = Formula(
    "amps * (wires + contacts)", "V", {"amps": "A", "wires": "ohm", "contacts": "ohm"}, "Ohm's law, going and coming"
)
MEAN = Formula("wires / (2 * length)", "ohm/m", {"wires": "ohm", "length": "m"}, "one core of the run, on the average")


@dataclass(frozen=True)
class Drawing:
    """A load with its way out and back, the least volts that it takes and the amps that it draws at them."""

    at: Supplied
    way: tuple[Conductor, ...]
    needs: float
    amps: Figure

    @property
    def switches(self) -> tuple[tuple[str, str], ...]:
        """The contacts on its way and what switches its output, by device and group."""
        links = self.at.chain.links if self.at.chain else ()
        return ((self.at.source, self.at.output.name), *((link.device, link.group) for link in links))


def runs(
    site: Site, door: Door, wiring: Wiring, loads: Loads, promised: Mapping[At, float] = MappingProxyType({})
) -> Iterator[Figure]:
    """Of every load on direct current whose least volts are known: volts that its run loses, against those that it may.

    `promised` are the least volts of what passes on its own to others who count on them.
    """
    routes = Routes(wiring)
    drawing: list[Drawing] = []
    for at in loads:
        needs, way = promised.get(At(at.device, at.load.name), least_volts(wiring, at)), way_of(routes, at)
        amps = _amps(door, wiring, loads, at, needs) if needs is not None and at.volts is not None else None
        if needs is not None and amps is not None and way is not None:
            drawing.append(Drawing(at, way, needs, amps))
    over, through = (_summed(drawing, part) for part in (lambda of: of.way, lambda of: of.switches))
    for of in drawing:
        at, way, needs, amps = of.at, of.way, of.needs, of.amps
        if at.volts is None or not long(way):
            continue
        about = f"{at.device}.{at.load.name}"
        wires = way_ohms(site, wiring, "ohms of its wires", about, way)
        count = len(at.chain.links) if at.chain else 0
        contacts = replace(CONTACT, **{end: count * getattr(CONTACT, end) for end in ("nominal", "least", "most")})
        note = "own current only" + (f"; {CONTACT.text} a contact: common practice, no source" if count else "")
        spare = SPARE.figure("volts that the run may lose", about, volts=at.volts, needs=needs)
        lost = LOST.figure("volts that the run loses", about, amps=amps, wires=wires, contacts=contacts, note=note)
        told = [wires, spare]
        shared, short = _with_others(site, wiring, of, over, through)
        left = spare.least - short
        length, cure = metres(way) / 2, "a source of higher volts, or one nearer the load"
        if spare.least > 0 and amps.least > 0:  # what hangs on nothing yet, such as a new fuse board, may lie anywhere
            mean = MEAN.figure("one core of the run", about, wires=wires, length=length)
            told += [mean, LONGEST.figure("longest run that passes", about, loss=spare.least, per_metre=mean, amps=amps)]
        if left > 0:
            cable = smallest(site.stock.power, length, shared, left, _celsius(wiring, way))
            fits = f"{cable.type} ({cable.size.text})" if cable else "none of the stock"
            section = AREA.figure(
                "section that passes", about, resistivity=_resistivity(site, wiring, way), length=length, amps=shared,
                loss=left, note=f"with what shares its wires; smallest of the stock that passes: {fits}",
            )  # fmt: skip
            told.append(section)
            thick = max((section.most, *(sheet.size.nominal for sheet in site.stock.power)))
            more = f"more than {ceil(thick * 1e7 - 1e-6) / 10:g} mm2 (the stock has none)"
            cure = f"{fits if cable else more} in place of {_named(wiring, way)}" + ("" if cable else f"; or {cure}")
        bound = f"{at.source}.{at.output.name} gives {at.volts.least:.4g} V at least, {about} needs {needs:.4g} V at least"
        yield from (replace(f, topic="conductor") for f in told)
        yield replace(lost, topic="conductor", ceiling=max(spare.least, 0.0), bound=bound, cure=cure)


def _summed(drawing: Sequence[Drawing], parts: Callable[[Drawing], Sequence[Hashable]]) -> dict[Hashable, float]:
    """Most amps in each part of the ways of loads, all that share it on together."""
    found: dict[Hashable, float] = {}
    for of in drawing:
        for part in dict.fromkeys(parts(of)):
            found[part] = found.get(part, 0.0) + of.amps.most
    return found


def _with_others(
    site: Site, wiring: Wiring, own: Drawing, over: Mapping[Hashable, float], through: Mapping[Hashable, float]
) -> tuple[float, float]:
    """Most amps in the way of a load, on the average over its metres, and most volts that its contacts and short wires lose.

    `over` are the amps in each conductor, `through` in each switch.
    """
    jumpers = [(replace(c, length=JUMPER.most), over[c]) for c in own.way if not c.length and c.area]
    lost = [CONTACT.most * through[switch] for switch in own.switches]
    lost += [conductor_ohms(site, wiring, c).most * amps for c, amps in jumpers]
    lost += [SOURCE * through[own.switches[0]]]
    return sum(c.length * over[c] for c in own.way) / metres(own.way), sum(lost)


def _resistivity(site: Site, wiring: Wiring, way: Sequence[Conductor]) -> Band:
    """Of the copper of the way as it lies: strands, class and temperature counted in."""
    told = [(conductor_ohms(site, wiring, c), c.area / c.length) for c in long(way) if c.area]
    of = [max(getattr(ohms, end) * by for ohms, by in told) for end in ("value", "least", "most")]
    return Band(of[0], of[1], of[2], "ohm", "")


def _named(wiring: Wiring, way: Sequence[Conductor]) -> str:
    """The cables of a way, each with its run: "W1 (box to frame)"."""
    cables = [wiring.cables[ref] for ref in dict.fromkeys(c.cable for c in long(way) if c.cable)]
    return ", ".join(f"{cable.ref} ({cable.along[0]} to {cable.along[-1]})" for cable in cables)


def least_volts(wiring: Wiring, at: Supplied) -> float | None:
    """The least volts that a load takes: of its range, or at which its coil pulls in; None where its sheet says neither."""
    coil = coil_of(wiring.devices[at.device].sheet.inside, at.load)
    told = [at.load.range.least] if at.load.range else [coil.pulls_in.most] if coil and coil.pulls_in else []
    return told[0] if told and at.load.current == "dc" else None


def _amps(door: Door, wiring: Wiring, loads: Loads, at: Supplied, needs: float) -> Figure | None:
    """What the load draws at its least volts, which is where a run that is too long leaves it."""
    sheet, about = wiring.devices[at.device].sheet, f"{at.device}.{at.load.name}"
    if at.load.load is None and (coil := coil_of(sheet.inside, at.load)) and coil.resistance:
        return OHM.figure("current at least volts", about, volts=needs, ohms=coil.resistance)
    if at.load.load is None or at.load.load.unit == "A":
        return draws(door, wiring, loads, at)
    watts = watts_into(door, wiring, loads, at.device, at.load.name)
    return THROUGH.figure("current at least volts", about, watts=watts, volts=needs) if watts else None


def way_of(routes: Routes, at: Supplied) -> tuple[Conductor, ...] | None:
    """The wires of the load out and back; None where one of the two ways is not found."""
    bridges = [(link.enters, link.leaves) for link in at.chain.links] if at.chain else []
    out = routes.way(at.source_plus, at.plus, bridges)
    back = routes.way(at.source_minus, at.minus, bridges)
    return None if out is None or back is None else (*out, *back)


def _celsius(wiring: Wiring, way: Sequence[Conductor]) -> Band:
    """Between what degrees the cables of the way lie."""
    cables = [wiring.cables[c.cable] for c in way if c.cable]
    return temperature(wiring.runs, tuple(dict.fromkeys(place for cable in cables for place in cable.along)))

"""Volts at every load in every state in which it has power, from the network, against what it takes; a series sum beside."""

from __future__ import annotations

from collections.abc import Collection, Iterator, Sequence
from dataclasses import dataclass, replace
from typing import Any

from wiregen.reading.model import Band, Site
from wiregen.study.circuit import CONTACT
from wiregen.study.copper import Supplied, output_on_battery
from wiregen.study.elements import Converter, Load, Node, Resistor, Source
from wiregen.study.formula import Formula
from wiregen.study.load import coil_of
from wiregen.study.model import Figure
from wiregen.study.operating import Operating
from wiregen.study.path import path
from wiregen.study.run import least_volts
from wiregen.wiring.fitting import At
from wiregen.wiring.model import Wiring

ALONE = "by hand: this load alone on its way"
NETWORK = "operating point of the door's network; least and most over volts, ohms, temperature and load"
_OHMS = {"wires": "ohm", "contacts": "ohm"}
ON_COIL = Formula("volts * coil / (coil + wires + contacts)", "V", {"volts": "V", "coil": "ohm", **_OHMS}, ALONE)
ON_AMPS = Formula("volts - amps * (wires + contacts)", "V", {"volts": "V", "amps": "A", **_OHMS}, ALONE)
ON_WATTS = Formula(
    "volts / 2 + sqrt(volts ** 2 / 4 - watts * (wires + contacts))", "V", {"volts": "V", "watts": "W", **_OHMS}, ALONE
)
NO_RANGE = "its data sheet gives neither a range nor volts of pull-in (groups: {{{group}: {{range: ...}}}})"
HAS_POWER = 0.5  # of its nominal volts: a load with more of them has power


def volts_at_loads(site: Site, wiring: Wiring, operating: Operating) -> tuple[tuple[Figure, ...], tuple[str, ...]]:
    """Figures of volts at each load: one for the states in which they are alike; and what is missing for them."""
    figures: list[Figure] = []
    missing: list[str] = []
    for at, load in operating.loads.items():
        told = tuple(_volts(site, wiring, operating, at, load))
        figures += told
        if told and told[0].floor is None:
            missing.append(f"least volts of {at}: " + NO_RANGE.format(group=at.group))
    return tuple(figures), tuple(missing)


def _volts(site: Site, wiring: Wiring, operating: Operating, at: At, load: Supplied) -> Iterator[Figure]:
    if load.volts is None:
        return
    by_band: dict[tuple[float, float, float], list[int]] = {}
    for n, band in enumerate(operating.volts(at)):
        if operating.points[n].lock in (None, at.device) and band.nominal > HAS_POWER * load.volts.nominal:
            by_band.setdefault((round(band.nominal, 3), round(band.least, 3), round(band.most, 3)), []).append(n)
    sheet = wiring.devices[at.device].sheet
    takes = load.load.range
    needs, may = (takes.least, takes.most) if takes else (least_volts(wiring, load), None)
    for rows in by_band.values():
        band, states = operating.volts(at)[rows[0]], list(dict.fromkeys(operating.points[n].state for n in rows))
        hand = _by_hand(operating, at, load, rows[0], load.volts)
        if hand is None:
            continue
        told = replace(
            hand, name=f"volts in {', '.join(states)}", value=band.nominal, least=band.least, most=band.most, hand=hand.value,
            source=f"{NETWORK}; {hand.source}",
        )
        bound = f"data sheet {sheet.type}: {'range' if load.load.range else 'pulls in at'} of {at}"
        much = may is not None and band.most > may
        cure = f"a source of lower volts than {load.source} gives, or a load that takes them" if much else _thicker(load)
        yield replace(told, floor=needs, ceiling=may, bound=bound if needs or may else "", cure=cure)
        battery = output_on_battery(site, load.source, load.output)
        if battery is not None and rows is next(iter(by_band.values())):
            yield from _at_its_end(wiring, operating, at, load, rows[0], battery)


def _at_its_end(
    wiring: Wiring, operating: Operating, at: At, load: Supplied, row: int, battery: Band
) -> Iterator[Figure]:
    """Volts that are left at a lock when the battery is at its end: enough to hold what it holds."""
    sheet = wiring.devices[at.device].sheet
    if sheet.is_ != "lock":
        return
    end = replace(battery, nominal=battery.least, most=battery.least)
    hand = _by_hand(operating, at, load, row, end)
    if hand is None:
        return
    coil = coil_of(sheet.inside, load.load)
    if coil and coil.holds and sheet.unpowered == "free":
        needs, bound = coil.holds.most, f"data sheet {sheet.type}: holds down to"
    elif coil and coil.pulls_in:
        needs, bound = coil.pulls_in.most, f"data sheet {sheet.type}: pulls in at"
    elif load.load.range:
        needs, bound = load.load.range.least, f"data sheet {sheet.type}: range"
    else:
        return
    cure = "a supply that cuts its battery off earlier, thicker cable, or a lock that takes less"
    yield replace(hand, name="volts at the end of the battery", floor=needs, bound=bound, cure=cure)


def _thicker(load: Supplied) -> str:
    return f"thicker or shorter cable from {load.source}, or a source of higher volts"


@dataclass(frozen=True)
class Series:
    """Ohms from an output to a place and back: of wires and parts, and of closed contacts, of which `note` says how many.

    `wires` are the names of the elements that are no contacts.
    """

    wires: tuple[str, ...]
    ohms: Band
    contacts: Band
    note: str


def series(
    operating: Operating, row: int, output: At, to: tuple[Node, Node], but: Collection[str] = ()
) -> Series | None:
    """The way from an output to a pair of nodes and back at one point; None where there is none.  Loads lead nowhere."""
    ((circuit, _),) = operating.circuit.apart([to])
    elements = {element.name: element for element in circuit.elements}
    match elements.get(operating.circuit.sources.get(output, "")):
        case Source() as source:
            poles = source.plus, source.minus
        case Converter() as source:
            poles = source.out_plus, source.out_minus
        case _:
            return None
    closed = operating.points[row].closed
    there = path(circuit, closed, poles[0], to[0], but)
    back = path(circuit, closed, to[1], poles[1], but)
    if there is None or back is None:
        return None
    spread = {(s.element, s.what): s.band for s in circuit.spreads}
    wires = tuple(name for name in (*there, *back) if isinstance(elements[name], Resistor))
    count = len(there) + len(back) - len(wires)
    ohms = _sum([spread.get((name, "ohms")) or _exactly(elements[name], "ohms") for name in wires])
    closed_contacts = f"{count} closed contact{'' if count == 1 else 's'} of 0.01 to 0.1 ohm"
    note = f"{closed_contacts}: common practice, no source" if count else ""
    return Series(wires, ohms, _sum([CONTACT] * count), note)


def _by_hand(operating: Operating, at: At, load: Supplied, row: int, volts: Band) -> Figure | None:
    """The series sum for one load at one point; None where no way leads from its source to it and back."""
    poles = operating.node(load.plus), operating.node(load.minus)
    way = series(operating, row, At(load.source, load.output.name), poles, {operating.circuit.loads[at]})
    if way is None:
        return None
    spread = {(s.element, s.what): s.band for s in operating.circuit.spreads}
    ohms, contacts = way.ohms, way.contacts
    rms = "RMS volts, the impedance of the load taken as a resistance" if load.load.current == "ac" else ""
    note = "; ".join(text for text in (rms, way.note) if text)
    values: dict[str, Any] = {"volts": volts, "wires": ohms, "contacts": contacts}
    of = next(e for e in operating.circuit.elements if e.name == operating.circuit.loads[at])
    match of:
        case Resistor():
            coil = spread.get((of.name, "ohms")) or _exactly(of, "ohms")
            told = ON_COIL.figure("volts", str(at), note=note, coil=coil, **values)
        case Load() if of.amps:
            told = ON_AMPS.figure("volts", str(at), note=note, amps=spread.get((of.name, "amps"), of.amps), **values)
        case Load() if volts.least**2 / 4 > of.watts * 1.5 * (ohms.most + contacts.most):
            told = ON_WATTS.figure("volts", str(at), note=note, watts=spread.get((of.name, "watts"), of.watts), **values)
        case _:
            return None
    return replace(told, topic="volts")


def _exactly(element: object, what: str) -> Band:
    value = float(getattr(element, what))
    return Band(value, value, value, "ohm", "")


def _sum(bands: Sequence[Band]) -> Band:
    return Band(sum(b.nominal for b in bands), sum(b.least for b in bands), sum(b.most for b in bands), "ohm", "")



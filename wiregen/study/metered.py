"""What a meter shows at a door under power: volts at outputs and loads, volts and amps of the locks, volts at the inputs."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace

from wiregen.reading.model import Band, Input
from wiregen.study.circuit import CONTACT, Circuit
from wiregen.study.copper import Supplied
from wiregen.study.elements import Resistor, Source
from wiregen.study.model import Reading
from wiregen.study.operating import Operating
from wiregen.study.words import when
from wiregen.study.worst import Volts, bands
from wiregen.wiring.fitting import At
from wiregen.wiring.model import Behaviour, End, Wiring

SOLVED = "solved"
ZERO = 0.1  # V: what a meter may show of nothing; common practice, no source


def supplies(operating: Operating) -> Iterator[Reading]:
    """Volts and polarity at each output with nothing connected, and at each load that hangs on it direct, the load lifted."""
    bare = _unloaded(operating.circuit)
    places: list[tuple[Volts, int, Supplied, tuple[End, End], str]] = []
    seen: set[tuple[End, End]] = set()
    for load in operating.loads.values():
        row = _live(operating, At(load.source, load.output.name))
        at_load = [] if load.chain else [((load.plus, load.minus), f"{load.device} lifted")]
        for between, how in [((load.source_plus, load.source_minus), "nothing connected"), *at_load]:
            ends = operating.circuit.nodes.get(between[0]), operating.circuit.nodes.get(between[1])
            if row is not None and between not in seen and ends[0] and ends[1]:
                seen.add(between)
                places.append((Volts(*ends), row, load, between, how))
    rows = sorted({row for _, row, *_ in places})
    told = bands(bare, [operating.points[row].closed for row in rows], [asked for asked, *_ in places]) if places else ()
    for (_, row, load, between, how), of in zip(places, told, strict=True):
        ac, band = load.load.current == "ac", of[rows.index(row)]
        yield Reading(
            between=between, state=", ".join(part for part in ("supply on", when(load.output.gives_when)) if part),
            nominal=band.nominal, least=band.least, most=band.most, unit="V AC" if ac else "V",
            what="volts" if ac else "volts, red lead on the first", how=how, step="supply", about=between[0].device,
            basis=SOLVED,
        )


def _unloaded(circuit: Circuit) -> Circuit:
    """The network without its loads; what hangs on the nodes that are left is nothing but the meter."""
    loads = {*circuit.loads.values(), *(name for name in circuit.switches if name.endswith(" coil"))}
    elements = tuple(e for e in circuit.elements if e.name not in loads)
    return replace(circuit, elements=elements, spreads=tuple(s for s in circuit.spreads if s.element not in loads))


def _live(operating: Operating, source: At) -> int | None:
    """The first point at which an output gives power."""
    name = f"{operating.circuit.sources.get(source)} on"
    return next((n for n, point in enumerate(operating.points) if point.closed.get(name)), None)


def locks(wiring: Wiring, operating: Operating) -> Iterator[Reading]:
    """Amps of each lock, and volts across it in every state that is wanted of it."""
    for behaviour in wiring.behaviours:
        at = At(behaviour.lock, behaviour.group)
        load = operating.loads.get(at)
        if load is None or load.volts is None:
            continue
        of_state = {state: _rows(operating, behaviour, state) for state in behaviour.powered}
        on = [row for state, rows in of_state.items() if behaviour.powered[state] for row in rows]
        if on:
            amps = operating.amps(at)
            yield Reading(
                between=(load.source_plus, load.plus), state="lock on", nominal=amps[on[0]].nominal,
                least=min(amps[row].least for row in on), most=max(amps[row].most for row in on), unit="A", what="current",
                how="meter in series with the plus", step="amps", about=at.device, basis=SOLVED,
            )  # fmt: skip
        volts = operating.volts(at)
        for state, rows in of_state.items():
            if rows and (not behaviour.wanted or state in behaviour.wanted):
                least, most = min(volts[row].least for row in rows), max(volts[row].most for row in rows)
                yield Reading(
                    between=(load.plus, load.minus), state=state, nominal=_zeroed(volts[rows[0]].nominal),
                    least=_zeroed(least), most=max(most, ZERO), unit="V AC" if load.load.current == "ac" else "V",
                    what="volts across the lock", step="lock", about=at.device, basis=SOLVED,
                )


def _cable(circuit: Circuit, name: str) -> dict[str, Band]:
    """Volts at a supervised input alone, its cable cut, and shorted by as much as a joint has."""
    source = next((e for e in circuit.elements if isinstance(e, Source) and e.name == name), None)
    if source is None:
        return {}
    found = {}
    for case, leads in (("cut", ()), ("short", (Resistor("short", source.plus, source.minus, CONTACT.nominal),))):
        left = replace(circuit, elements=(source, *leads), spreads=tuple(s for s in circuit.spreads if s.element == name))
        ((found[case],),) = bands(left, [{}], [Volts(source.plus, source.minus)])
    return found


def _zeroed(volts: float) -> float:
    """Nothing, where a meter shows nothing."""
    return volts if abs(volts) > ZERO / 100 else 0.0


def _rows(operating: Operating, behaviour: Behaviour, state: str) -> list[int]:
    """The points of a state: of those in which the lock is part of a bank its own, of several ways those that do as told."""
    at, powered = At(behaviour.lock, behaviour.group), behaviour.powered[state]
    rows = [
        n for n, p in enumerate(operating.points) if p.state == state and p.lock in (None, behaviour.lock)
    ]
    same = [row for row in rows if operating.logic.on(operating.points[row].case, at) == powered]
    return same or rows


def inputs(wiring: Wiring, operating: Operating) -> Iterator[Reading]:
    """Volts at each input, what stands on it closed and open; from its data sheet where that gives no pull-up."""
    supervised = {end.input for end in wiring.line_ends}
    for ref, wired in wiring.devices.items():
        for group in wired.sheet.groups.values():
            if not isinstance(group, Input) or End(ref, group.in_) not in operating.circuit.nodes:
                continue
            solved = operating.input_volts.get(At(ref, group.name))
            told: dict[str, Band] = dict(zip(("closed", "open"), solved, strict=True)) if solved else {}
            if f"{ref}.{group.name}" in supervised:
                told |= _cable(operating.circuit, f"{ref}.{group.name}")
            for case, limits in (group.supervised if f"{ref}.{group.name}" in supervised else group.plain).items():
                band = told.get(case)
                value = band or limits
                yield Reading(
                    between=(End(ref, group.in_), End(ref, group.ref)),
                    state=f"contact {case}" if case in ("open", "closed") else f"cable {case}",
                    nominal=_zeroed(value.nominal), least=_zeroed(value.least), most=max(value.most, ZERO), unit="V",
                    what=f"input {group.name}", step="input", about=ref, basis=SOLVED if band else "data sheet",
                )

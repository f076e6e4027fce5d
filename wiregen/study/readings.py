"""What a meter should show, step by step of commissioning, with the supply off; `metered` has what it shows under power.

What a meter shows of contacts, diodes and insulation is solved (`ohmmeter`).
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from math import inf

from wiregen.reading.model import Changeover, Contact, Input
from wiregen.study import ohmmeter
from wiregen.study.circuit import Circuit
from wiregen.study.copper import Copper, Supplied
from wiregen.study.line_end import Loop
from wiregen.study.load import Port
from wiregen.study.model import Figure, Reading
from wiregen.study.ohmmeter import LEADS
from wiregen.study.signal import Pair
from wiregen.study.words import otherwise, when
from wiregen.wiring.model import Conductor, End, Wiring

FRAME = End("frame", "metal")


def continuity(conductor: Conductor, copper_ohms: Figure | None) -> Reading:
    """Ohms from end to end of one conductor."""
    nominal = copper_ohms.value if copper_ohms else 0.0
    return Reading(
        between=(conductor.a, conductor.b), state="unpowered", nominal=nominal, least=0.0, most=nominal + LEADS.most,
        unit="ohm", what="end to end", step="continuity", about=conductor.wire,
        basis="computed" if copper_ohms else "common practice",
    )


def insulation(wiring: Wiring, loads: Sequence[Supplied], circuit: Circuit) -> Iterator[Reading]:
    """Each lead of each lock against the metal of the frame, locks landed, supply off."""
    locks = {(behaviour.lock, behaviour.group) for behaviour in wiring.behaviours}
    ends = [(at, end) for at in loads if (at.device, at.load.name) in locks for end in (at.plus, at.minus)]
    for (at, end), ohms in zip(ends, ohmmeter.to_frame(circuit, [circuit.nodes.get(e, e) for _, e in ends]), strict=True):
        yield Reading(
            between=(end, FRAME), state="unpowered", nominal=ohms.nominal, least=ohms.least, most=ohms.most, unit="ohm",
            what="lead to frame", how="supply off", step="insulation", about=at.device, basis="solved",
        )


def calmers(wiring: Wiring) -> Iterator[Reading]:
    """Direction of each diode that is added: forward with the red lead on the anode, nothing the other way round."""
    for calmer in wiring.calmers:
        if calmer.band_at is None or calmer.ref is None or calmer.sheet is None:
            continue
        diode = next(p for p in calmer.sheet.inside if p.kind == "diode")
        anode, cathode = (End(calmer.ref, mark) for mark in diode.between)
        for state, band in zip(("red lead on the anode", "red lead on the band"), ohmmeter.diode(), strict=True):
            yield Reading(
                between=(anode, cathode), state=state, nominal=band.nominal, least=band.least, most=band.most, unit=band.unit,
                what="diode range", how=f"one lead of {calmer.lock} lifted, supply off", step="calmer", about=calmer.ref,
                basis="solved",
            )


def contacts(wiring: Wiring, copper: Copper) -> Iterator[Reading]:
    """Ohms of each contact that is landed, closed and open; what hangs on it lifted."""
    ended = {(e.sensor, e.group) for e in wiring.line_ends}
    for ref, wired in wiring.devices.items():
        for group in wired.sheet.groups.values():
            if isinstance(group, Contact) and (ref, group.name) not in ended:
                sides = [(group.between, when(group.closed_when), otherwise(group.closed_when))]
            elif isinstance(group, Changeover):
                moved, rest = when(group.moves_when), otherwise(group.moves_when)
                sides = [((group.common, group.make), moved, rest), ((group.common, group.break_), rest, moved)]
            else:
                continue
            for (first, second), shut, open_ in sides:
                between = End(ref, first), End(ref, second)
                if all(copper.landed(end) for end in between):
                    for state, band in zip((shut, open_), ohmmeter.contact(), strict=True):
                        yield Reading(
                            between=between, state=state, nominal=band.nominal, least=band.least, most=band.most, unit="ohm",
                            what=f"contact {group.name}", how="one lead lifted", step="contact", about=ref, basis="solved",
                        )


def loops(wiring: Wiring, found: Sequence[Loop]) -> Iterator[Reading]:
    """Ohms of each supervised loop in its four cases, leads lifted at the input: what the study says, and the meter's leads."""
    for loop in found:
        end = loop.end
        device, group = end.input.split(".", 1)
        at = wiring.devices[device].sheet.groups[group]
        contact = wiring.devices[end.sensor].sheet.groups[end.group]
        if not isinstance(at, Input) or not isinstance(contact, Contact):
            continue
        ohms = {case: (told.value, told.least, told.most + LEADS.most) for case, told in loop.ohms.items()}
        for state, (nominal, least, most) in (
            (when(contact.closed_when), ohms["closed"]),
            (otherwise(contact.closed_when), ohms["open"]),
            ("cable cut", (inf, ohmmeter.OPEN, inf)),
            ("cable shorted", ohms["short"]),
        ):
            yield Reading(
                between=(End(device, at.in_), End(device, at.ref)), state=state, nominal=nominal, least=least, most=most,
                unit="ohm", what=f"loop of {end.sensor}", how=f"lead lifted at {device}:{at.in_}, supply off", step="loop",
                about=end.sensor,
            )


def lines(pairs: Sequence[Pair]) -> Iterator[Reading]:
    """Ohms across each data pair, unpowered: end resistors, cable and receivers as the study says, and the meter's leads."""
    for pair in pairs:
        yield Reading(
            between=(pair.a, pair.b), state="unpowered", nominal=pair.ohms.value, least=pair.ohms.least,
            most=pair.ohms.most + LEADS.most, unit="ohm", what=f"across the pair, {pair.resistors} end resistors in",
            how="supply off", step="line", about=pair.a.device,
        )


def port_readings(found: Sequence[Port]) -> Iterator[Reading]:
    """The class that the switch shows for the port: the lower one of port and device."""
    for port in found:
        classes = [c for c in (port.jack.poe_class, port.port.poe_class) if c is not None]
        if classes:
            yield Reading(
                between=port.ends, state="supply on", nominal=min(classes), least=min(classes), most=min(classes),
                unit="class", what="class seen at the port", step="port", about=port.device,
            )

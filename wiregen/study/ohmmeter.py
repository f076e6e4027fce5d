"""What a meter shows on its ohm and diode ranges, solved on the network that is left between its leads with the supply off."""

from __future__ import annotations

from collections.abc import Sequence
from functools import cache
from math import inf, isinf

from wiregen.reading.model import Band
from wiregen.study.circuit import CONTACT, Circuit
from wiregen.study.elements import Contact, Diode, Element, Node, Resistor, Source, pairs
from wiregen.study.network import Network

LEADS = Band(0.2, 0.0, 0.5, "ohm", "0..0.5 ohm")  # the meter's own leads and a good joint: common practice, no source
OPEN = 1e6  # ohm: the least that counts as open, damp and dirt allowed: common practice, no source
RANGE = (3.0, 3000.0)  # V behind ohm, of the diode range: about 1 mA; common practice, no source
# A, of the saturation of silicon rectifiers from one make to another and from 0 to 50 °C: common practice, no source
SATURATION = (7e-9, 2e-10, 2e-7)


@cache
def contact() -> tuple[Band, Band]:
    """Ohms of a contact with one lead lifted, closed and open, the meter's leads in."""
    shut, parted = [], []
    for ohms, leads in ((CONTACT.nominal, LEADS.nominal), (CONTACT.least, LEADS.least), (CONTACT.most, LEADS.most)):
        elements: list[Element] = [Resistor("leads", "red", "a", max(leads, 1e-6)), Contact("contact", "a", "black", ohms=ohms)]
        closed, open_ = Network(elements).solve([{"contact": True}, {"contact": False}]).thevenin("red", "black")
        shut.append(float(closed))
        parted.append(float(open_))
    nominal, least, most = shut
    return Band(nominal, least, most, "ohm", ""), _open(min(parted))


@cache
def diode() -> tuple[Band, Band]:
    """V across a rectifier in its forward direction, and ohms the other way round."""
    volts, ohms = [], []
    for saturation in SATURATION:
        forward, back = (
            Network([Source("meter", *leads, *RANGE), Diode("diode", "a", "c", saturation)]).solve([{}])
            for leads in (("a", "c"), ("c", "a"))
        )
        volts.append(float(forward.across("a", "c")[0]))
        ohms.append(abs(float(back.across("a", "c")[0]) / float(back.current("diode")[0])))
    return Band(volts[0], min(volts), max(volts), "V", ""), _open(min(ohms))


def to_frame(circuit: Circuit, nodes: Sequence[Node]) -> tuple[Band, ...]:
    """Ohms from nodes of a door's network to the metal of its frame, which no copper of the network leads to."""
    known = {node for element in circuit.elements for pair in pairs(element) for node in pair}
    landed = [node for node in dict.fromkeys(nodes) if node in known]
    ohms: dict[Node, float] = {}
    for piece, numbers in circuit.apart([(node,) for node in landed]):
        at = Network([*piece.elements, Resistor("frame to earth", "frame", "earth", LEADS.most)]).solve([{}])
        ohms |= {landed[n]: float(at.thevenin(landed[n], "frame")[0]) for n in numbers}
    return tuple(_open(ohms.get(node, inf)) for node in nodes)


def _open(ohms: float) -> Band:
    """Nothing shows; what lies below what counts as open is told as it is."""
    return Band(inf if isinf(ohms) or ohms > OPEN else ohms, min(ohms, OPEN), inf, "ohm", "")

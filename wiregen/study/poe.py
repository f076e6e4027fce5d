"""Power over Ethernet: the class that a door's loads need and the one they get, and what the cable leaves of it."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, replace

from wiregen.reading.model import Band, Door, Jack, Site
from wiregen.study.conductor import ohms_per_metre, temperature
from wiregen.study.copper import Loads
from wiregen.study.formula import Formula, Value, identifier, total
from wiregen.study.load import Port, ports, watts_into
from wiregen.study.model import Figure
from wiregen.wiring.model import Wiring

IEEE = "IEEE 802.3-2022, clauses 33 and 145"


@dataclass(frozen=True)
class Class:
    """What a class of IEEE 802.3 allows: W at the port and at the device, V at both, A over all its pair sets."""

    port_watts: float
    device_watts: float
    port_volts: Band
    device_least: float
    amps: float
    pair_sets: int


def _volts(nominal: float, least: float) -> Band:
    """Of a port; between least and 57 V the nominal is common practice, no source."""
    return Band(nominal, least, 57, "V", f"{least:g}..57 V")


CLASSES: Mapping[int, Class] = {
    1: Class(4.0, 3.84, _volts(48, 44), 37, 0.35, 1),
    2: Class(7.0, 6.49, _volts(48, 44), 37, 0.35, 1),
    3: Class(15.4, 12.95, _volts(48, 44), 37, 0.35, 1),
    4: Class(30, 25.5, _volts(54, 50), 42.5, 0.6, 1),
    5: Class(45, 40, _volts(54, 50), 42.5, 1.2, 2),
    6: Class(60, 51, _volts(54, 50), 42.5, 1.2, 2),
    7: Class(75, 62, _volts(55, 52), 41.1, 1.92, 2),
    8: Class(90, 71.3, _volts(55, 52), 41.1, 1.92, 2),
}
AS_CLASS = {0: 3}  # "not classified" counts as class 3

# Patch and equipment cords of a channel, both ends together: TIA-568 allows 10 m beside 90 m of link
CORDS = Band(5, 0, 10, "m", "0..10 m")

NEEDED = Formula(
    "".join(f"{c} if watts <= {allows.device_watts:g} else " for c, allows in CLASSES.items()) + str(max(CLASSES) + 1),
    "", {"watts": "W"}, f"{IEEE}: watts at the device by class",
)  # fmt: skip
GRANTED = Formula("min(device, port)", "", {"device": "", "port": ""}, f"{IEEE}: a port grants no more than it is asked for")
LEFT = Formula("allowed - needed", "W", {"allowed": "W", "needed": "W"}, IEEE)
LINK_OHMS = Formula(
    "per_metre * (length + cords) / pair_sets", "ohm", {"per_metre": "ohm/m", "length": "m", "cords": "m", "pair_sets": ""},
    "two wires of a pair side by side, going and coming",
)  # fmt: skip
AT_DEVICE = Formula(
    "(volts + sqrt(max(volts ** 2 - 4 * watts * ohms, 0 * volts ** 2))) / 2", "V", {"volts": "V", "watts": "W", "ohms": "ohm"},
    "constant power at the end of a line",
)  # fmt: skip
AMPS = Formula("watts / volts", "A", {"watts": "W", "volts": "V"}, "constant power")
LOSS = Formula("amps ** 2 * ohms", "W", {"amps": "A", "ohms": "ohm"}, "Joule's law")
AT_PORT = Formula("watts + loss", "W", {"watts": "W", "loss": "W"}, "what the device takes and the cable loses")
PER_WIRE = Formula("amps / (2 * pair_sets)", "A", {"amps": "A", "pair_sets": ""}, "two wires of a pair side by side")


@dataclass(frozen=True)
class PortUse:
    """What a door takes from a port: the class that it is granted, and the watts that it takes there."""

    door: str
    device: str
    source: str
    port: Jack
    granted: int
    watts: Figure


def poe(
    door: Door, wiring: Wiring, loads: Loads
) -> tuple[tuple[Figure, ...], tuple[PortUse, ...], tuple[str, ...]]:
    """Figures of every powered device of the door, what it takes from its port, and what could not be worked out."""
    figures: list[Figure] = []
    uses: list[PortUse] = []
    missing: list[str] = []
    for port in ports(wiring):
        about = f"{port.device}.{port.jack.name}"
        need = watts_into(door, wiring, loads, port.device, port.jack.name)
        if need is None:
            missing.append(f"power of {port.device}: the data sheet of a load on it gives neither load nor coil")
            continue
        if port.jack.own is None:
            type_ = wiring.devices[port.device].sheet.type
            key = f"groups: {{{port.jack.name}: {{own: 3 W}}}}"
            missing.append(f"watts that {port.device} takes itself: its data sheet {type_} gives none ({key}); counted as none")
        needed = NEEDED.figure("class needed (9: none carries it)", about, watts=need.most)
        classes = [_class(jack) for jack in (port.jack, port.port)]
        unsaid = [
            f"class of {ref}.{jack.name}: {wiring.devices[ref].sheet.type} gives none (groups: {jack.name}: poe-class)"
            for (ref, jack), told in zip(((port.device, port.jack), (port.source, port.port)), classes, strict=True)
            if told is None
        ]
        asks, offers = classes
        if asks is None or offers is None:
            missing += unsaid
            figures += [need, needed]
            continue
        granted = GRANTED.figure("class granted", about, device=float(asks), port=float(offers))
        number = int(granted.value)
        of_cable = _cable(wiring, port, need, number, CLASSES[offers].port_volts)
        allowed = CLASSES[number].device_watts
        figures += [
            _bounded(need, port, asks, offers, int(needed.value)),
            needed,
            granted,
            LEFT.figure(f"power left of class {number}", about, allowed=allowed, needed=need),
            *of_cable,
        ]
        uses.append(PortUse(door.id, port.device, port.source, port.port, number, of_cable[-1]))
    return tuple(replace(f, topic="port") for f in figures), tuple(uses), tuple(missing)


def _class(jack: Jack) -> int | None:
    return None if jack.poe_class is None else AS_CLASS.get(jack.poe_class, jack.poe_class)


def _bounded(need: Figure, port: Port, asks: int, offers: int, needed: int) -> Figure:
    """What the device takes in, held against the class that it gets."""
    granted = min(asks, offers)
    if needed > max(CLASSES):
        cure = "no class carries it: a local supply, or fewer loads on it"
    elif needed > asks:
        cure = f"{port.device} asks for class {asks} at most: a splitter or a local supply for some of its loads"
    else:
        cure = f"a port or mid-span of class {needed} in place of {port.source}.{port.port.name}"
    bound = f"class {granted} at the device, {IEEE} ({port.device} asks for {asks}, {port.source} offers {offers})"
    return replace(need, ceiling=CLASSES[granted].device_watts, bound=bound, cure=cure)


def _cable(wiring: Wiring, port: Port, need: Figure, granted: int, sent: Band) -> tuple[Figure, ...]:
    """Ohms, volts, amps and watts of the cable behind a powered device; last the watts that the port gives."""
    allows, about = CLASSES[granted], f"{port.device}.{port.jack.name}"
    along = tuple(dict.fromkeys(place for link in port.links for place in link.along))
    celsius = temperature(wiring.runs, along)
    metre = max((ohms_per_metre(link.sheet, celsius) for link in port.links), key=lambda f: f.most)
    ohms = LINK_OHMS.figure(
        "ohms of the link", about, per_metre=metre, length=sum(link.length for link in port.links), cords=CORDS,
        pair_sets=float(allows.pair_sets), note=f"{celsius.text}; up to {CORDS.most:g} m of cords counted, plugs not",
    )  # fmt: skip
    volts = AT_DEVICE.figure(
        "volts at the device", about, volts=sent, watts=need, ohms=ohms, note="any volts that the type of the port allows"
    )
    amps = AMPS.figure("amps in the link", about, watts=need, volts=volts)
    shorter = "a shorter or thicker link, or a port nearer the door"
    loss = LOSS.figure("watts lost in the link", about, amps=amps, ohms=ohms)
    bundle = "many cables in one bundle warm each other: above 60 W NEC 725.144 (722 since 2023) limits the amps of a wire"
    return (
        ohms,
        replace(volts, floor=allows.device_least, bound=f"least volts at a device of class {granted}, {IEEE}", cure=shorter),
        replace(amps, ceiling=allows.amps, bound=f"most amps of class {granted}, {IEEE}", cure=shorter),
        PER_WIRE.figure("amps in one wire of the link", about, amps=amps, pair_sets=float(allows.pair_sets), note=bundle),
        loss,
        replace(
            AT_PORT.figure("watts at the port", about, watts=need, loss=loss),
            ceiling=allows.port_watts, bound=f"class {granted} at the port, {IEEE}", cure=shorter,
        ),
    )  # fmt: skip


def switch_budget(site: Site, ref: str, uses: Iterable[PortUse]) -> tuple[Figure, ...]:
    """Watts of a shared switch, over the ports of all doors: as it allots them by class, and as they are used at most.

    A switch that allots by class refuses the port that would exceed its budget, however little the others use.
    """
    own = sorted((use for use in uses if use.source == ref), key=lambda use: (use.door, use.device))
    if not own:
        return ()
    budget = own[0].port.budget
    names = [identifier(f"{use.door}.{use.device}") for use in own]
    allotted: dict[str, Value] = {name: CLASSES[use.granted].port_watts for name, use in zip(names, own, strict=True)}
    used: dict[str, Value] = {name: use.watts for name, use in zip(names, own, strict=True)}
    of_ports = total("W", dict.fromkeys(names, "W"), "sum over the ports of all doors")
    sheet = site.shared[ref].sheet.type
    allots = own[0].port.allots or "class"
    note = "; ".join(
        ([] if budget else [f"{sheet} gives no budget (groups: {own[0].port.name}: budget)"])
        + ([] if own[0].port.allots else [f"{sheet} does not say whether it allots by class or by use: by class assumed"])
    )
    found = []
    for name, parts, by, cure in (
        ("switch budget, as allotted by class", allotted, "class", "a second switch or mid-spans, or let it allot by use"),
        ("switch budget, as used", used, "use", "a second switch, or mid-spans for the ports that take most"),
    ):
        told = replace(of_ports.figure(name, ref, note=note, source="", **parts), topic="port")
        if budget and (by == allots or by == "use"):
            told = replace(told, ceiling=budget.nominal, bound=f"budget of {sheet}, which allots by {allots}", cure=cure)
        found.append(told)
    return tuple(found)

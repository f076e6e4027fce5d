"""What loads draw, from their ratings: amps of a lock or device, watts into a powered device, and the PoE class for it."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

from wiregen.reading.banks import spell
from wiregen.reading.model import Band, Changeover, Contact, Door, Gives, Jack, Part, Pass, Takes
from wiregen.study.copper import Loads, Supplied
from wiregen.study.formula import Formula, identifier, total
from wiregen.study.model import Figure
from wiregen.wiring.model import End, Link, Wiring

# Of an output that is made from another voltage and whose data sheet gives no efficiency: common practice, no source
EFFICIENCY = Band(0.8, 0.75, 0.85, "1", "80 %")

RATED = Formula("load", "A", {"load": "A"}, "rating")
WITH_RELAYS = Formula(
    "load + relays * each_relay", "A", {"load": "A", "relays": "", "each_relay": "A"}, "rating, and the relays that are moved"
)
WATTS_OVER_VOLTS = Formula("load / volts", "A", {"load": "W", "volts": "V"}, "constant power")
RELAYS_WATTS = Formula(
    "(load + relays * each_relay) / volts", "A", {"load": "W", "relays": "", "each_relay": "W", "volts": "V"},
    "constant power, and the relays that are moved",
)  # fmt: skip
THROUGH = Formula("watts / volts", "A", {"watts": "W", "volts": "V"}, "constant power")
OHM = Formula("volts / ohms", "A", {"volts": "V", "ohms": "ohm"}, "Ohm's law")


def coil_of(parts: Sequence[Part], load: Takes) -> Part | None:
    """The coil or motor inside that lies between the two terminals of the load."""
    ends = {load.first, load.second}
    return next((p for p in parts if p.kind in ("coil", "motor") and set(p.between) == ends), None)


def amps(wiring: Wiring, at: Supplied, relays: int = 0) -> Figure | None:
    """Current of a load at the volts of its output; None where the data sheet has neither load nor coil.

    `relays` is how many relays of it may be moved at once; at least, none is.
    """
    sheet, rated, each = wiring.devices[at.device].sheet, at.load.load, at.load.each_relay
    about = f"{at.device}.{at.load.name}"
    moved = Band(relays, 0, relays, "1", f"{relays}")
    if rated and rated.unit == "A":
        if each and relays:
            return WITH_RELAYS.figure("current", about, load=rated, relays=moved, each_relay=each, source=sheet.type)
        return RATED.figure("current", about, load=rated, source=sheet.type)
    if at.volts is None:
        return None
    if rated:
        told = f"rating of {sheet.type}"
        if each and relays:
            return RELAYS_WATTS.figure(
                "current", about, load=rated, relays=moved, each_relay=each, volts=at.volts, source=told
            )
        return WATTS_OVER_VOLTS.figure("current", about, load=rated, volts=at.volts, source=told)
    coil = coil_of(sheet.inside, at.load)
    ohms = coil and ((coil.impedance if at.load.current == "ac" else None) or coil.resistance)
    return OHM.figure("current", about, volts=at.volts, ohms=ohms, source=f"coil of {sheet.type}") if ohms else None


def relays_at_once(door: Door, wiring: Wiring, ref: str) -> int:
    """How many relays of a device this door may move together: those landed, less what its sheet and `at-once` rule out."""
    wired = wiring.devices[ref]
    used = [g for g in wired.sheet.groups.values() if isinstance(g, Contact | Changeover) and set(g.marks) & wired.used]
    serves: dict[str, set[str]] = {g.name: set() for g in used}
    for chain in wiring.chains:
        for link in chain.links:
            if link.device == ref and link.group in serves:
                serves[link.group].add(chain.load)
    excess = 0
    for bank, count in door.at_once:
        excess += max(0, sum(bool(loads) and loads <= set(bank) for loads in serves.values()) - count)
    for names, count in wired.sheet.at_once.items():
        excess = max(excess, len(serves.keys() & set(spell(names))) - count)
    return len(used) - excess


def _moved(door: Door, wiring: Wiring, at: Supplied) -> int:
    """How many relays a load may have to feed beside itself."""
    return relays_at_once(door, wiring, at.device) if at.load.each_relay else 0


def draws(door: Door, wiring: Wiring, loads: Loads, at: Supplied) -> Figure | None:
    """Current of a load with all that hangs on its device's outputs, at the volts of its output; None where one is unknown."""
    groups = wiring.devices[at.device].sheet.groups.values()
    outputs = [g for g in groups if isinstance(g, Gives) and at.load.name in g.out_of]
    if not outputs:
        return amps(wiring, at, _moved(door, wiring, at))
    if all(output.volts_as == at.load.name for output in outputs) and at.load.load is None:
        return _passed_on(door, wiring, loads, at, outputs)
    into = watts_into(door, wiring, loads, at.device, at.load.name)
    if into is None or at.volts is None:
        return None
    told = THROUGH.figure("current", into.about, watts=into, volts=at.volts, source=into.source)
    return replace(told, note=into.note)


def _passed_on(
    door: Door, wiring: Wiring, loads: Loads, at: Supplied, outputs: Sequence[Gives]
) -> Figure | None:
    """What a fuse board takes: what its branches give."""
    parts: dict[str, tuple[float, float, float]] = {}
    for output in outputs:
        for each in loads.on(at.device, output.name):
            told = draws(door, wiring, loads, each)
            if told is None:
                return None
            parts[f"{each.device}.{each.load.name}"] = told.value, told.least, told.most
    on = {identifier(load): Band(*part, unit="A", text="") for load, part in coincident(door, parts).items()}
    of_all = total("A", dict.fromkeys(on, "A"), "sum of ratings")
    return of_all.figure("current", f"{at.device}.{at.load.name}", note="", source=wiring.devices[at.device].sheet.type, **on)


Watts = tuple[float, float, float]  # nominal, least, most


def _watts(door: Door, wiring: Wiring, loads: Loads, at: Supplied) -> Watts | None:
    """Watts of one load: those into the device where it says them, else amps times volts."""
    if (at.load.load is None or at.load.load.unit == "W") and not at.load.each_relay:
        into = watts_into(door, wiring, loads, at.device, at.load.name)
        if into and into.value > 0:
            return into.value, into.least, into.most
    current = amps(wiring, at, _moved(door, wiring, at))
    if current is None or at.volts is None:
        return None
    return current.value * at.volts.nominal, current.least * at.volts.least, current.most * at.volts.most


def coincident(door: Door, watts: dict[str, Watts]) -> dict[str, Watts]:
    """The loads that can be on together: of each bank in `at-once` only as many as may be, the largest first."""
    left = dict(watts)
    for bank, count in door.at_once:
        of_bank = sorted((load for load in left if load.split(".")[0] in bank), key=lambda load: (-left[load][2], load))
        for load in of_bank[count:]:
            del left[load]
    return left


def watts_into(door: Door, wiring: Wiring, loads: Loads, ref: str, inlet: str) -> Figure | None:
    """Watts that a device takes in at a jack or pair of terminals: its own, and all that hangs on its outputs.

    An output that passes on what comes in loses nothing; one that makes another voltage has an efficiency, which is
    assumed where the data sheet gives none.  None where a load's watts are unknown.
    """
    sheet = wiring.devices[ref].sheet
    group = sheet.groups[inlet]
    own = group.own if isinstance(group, Jack) else group.load if isinstance(group, Takes) else None
    values: dict[str, Band] = {}
    units: dict[str, str] = {}
    terms: list[str] = []
    assumed: list[str] = []
    at_inlet = loads.at(ref, inlet)
    if own is not None and own.unit == "W":
        values["own"], units["own"] = own, "W"
        terms.append("own")
    elif own is not None and at_inlet and at_inlet.volts:
        values |= {"own": own, "volts": at_inlet.volts}
        units |= {"own": "A", "volts": "V"}
        terms.append("own * volts")
    for output in (g for g in sheet.groups.values() if isinstance(g, Gives) and inlet in g.out_of):
        drawn: dict[str, Watts] = {}
        for at in loads.on(ref, output.name):
            watts = _watts(door, wiring, loads, at)
            if watts is None:
                return None
            drawn[f"{at.device}.{at.load.name}"] = watts
        on = {identifier(load): Band(*watts, unit="W", text="") for load, watts in coincident(door, drawn).items()}
        if not on:
            continue
        values |= on
        units |= dict.fromkeys(on, "W")
        if output.volts_as:
            terms.append(" + ".join(on))
            continue
        efficiency = identifier(f"efficiency.{output.name}")
        values[efficiency], units[efficiency] = output.efficiency or EFFICIENCY, ""
        terms.append(f"({' + '.join(on)}) / {efficiency}")
        assumed += [] if output.efficiency else [output.name]
    note = f"efficiency of {', '.join(assumed)} assumed: {sheet.type} gives none" if assumed else ""
    return Formula(" + ".join(terms) or "0", "W", units, "sum of ratings").figure(
        "power taken in", f"{ref}.{inlet}", note=note, source=sheet.type, **values
    )


@dataclass(frozen=True)
class Port:
    """A powered device's jack, the port that feeds it, and the links between, from the device on."""

    device: str
    jack: Jack
    source: str
    port: Jack
    links: tuple[Link, ...]

    @property
    def ends(self) -> tuple[End, End]:
        return End(self.source, self.port.mark), End(self.device, self.jack.mark)


def ports(wiring: Wiring) -> tuple[Port, ...]:
    """Every powered device with the port behind it, traced over links and patch ports; in the order of devices."""
    beyond: dict[End, tuple[End, Link]] = {}
    for link in wiring.links:
        beyond |= {link.a: (link.b, link), link.b: (link.a, link)}
    found = []
    for ref, wired in wiring.devices.items():
        for jack in wired.sheet.groups.values():
            end: End | None = End(ref, jack.mark) if isinstance(jack, Jack) and jack.poe == "in" else None
            links: list[Link] = []
            while end in beyond and len(links) < len(wiring.links):  # no chain has more hops than there are links
                end, link = beyond[end]
                links.append(link)
                if (port := _jack_at(wiring, end)) and port.poe == "out":
                    assert isinstance(jack, Jack)
                    found.append(Port(ref, jack, end.device, port, tuple(links)))
                    break
                end = _through(wiring, end)
    return tuple(found)


def _jack_at(wiring: Wiring, end: End) -> Jack | None:
    groups = wiring.devices[end.device].sheet.groups.values()
    return next((g for g in groups if isinstance(g, Jack) and g.mark == end.terminal), None)


def _through(wiring: Wiring, end: End) -> End | None:
    """The other side of a patch port."""
    for group in wiring.devices[end.device].sheet.groups.values():
        if isinstance(group, Pass) and group.jacks and end.terminal in group.jacks:
            first, second = group.jacks
            return End(end.device, second if end.terminal == first else first)
    return None

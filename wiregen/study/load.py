"""What loads draw, from their ratings: amps of a lock or device, watts into a powered device, and the PoE class for it."""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import dataclass

from wiregen.reading.model import Band, Door, Gives, Jack, Part, Pass, Takes
from wiregen.study.copper import Supplied
from wiregen.study.figure import figure
from wiregen.study.model import Figure
from wiregen.wiring.model import End, Wiring

# Watts at the powered device by class: IEEE 802.3-2022, clauses 33 and 145 (class 0 counts as 3); from memory.
PD_WATTS = {1: 3.84, 2: 6.49, 3: 12.95, 4: 25.5, 5: 40.0, 6: 51.0, 7: 62.0, 8: 71.3}
IEEE = "IEEE 802.3-2022, clauses 33 and 145"


def coil_of(parts: Sequence[Part], load: Takes) -> Part | None:
    """The coil or motor inside that lies between the two terminals of the load."""
    ends = {load.first, load.second}
    return next((p for p in parts if p.kind in ("coil", "motor") and set(p.between) == ends), None)


def amps(wiring: Wiring, at: Supplied) -> Figure | None:
    """Current of a load at the volts of its output; None where the data sheet has neither load nor coil."""
    sheet, rated = wiring.devices[at.device].sheet, at.load.load
    about = f"{at.device}.{at.load.name}"
    if rated and rated.unit == "A":
        return figure("current", "A", "load", lambda load: load, f"rating of {sheet.type}", about, load=rated)
    if at.volts is None:
        return None
    if rated:
        source = f"constant power, rating of {sheet.type}"
        return figure(
            "current", "A", "load / volts", lambda load, volts: load / volts, source, about,
            falls=("volts",), load=rated, volts=at.volts,
        )
    coil = coil_of(sheet.inside, at.load)
    ohms = coil and ((coil.impedance if at.load.current == "ac" else None) or coil.resistance)
    if not ohms:
        return None
    return figure(
        "current", "A", "volts / ohms", lambda volts, ohms: volts / ohms, f"Ohm's law, coil of {sheet.type}", about,
        falls=("ohms",), volts=at.volts, ohms=ohms,
    )


Watts = tuple[float, float, float]  # nominal, least, most


def _watts(door: Door, wiring: Wiring, loads: Sequence[Supplied], at: Supplied) -> Watts | None:
    """Watts of one load: those into the device where it says them, else amps times volts."""
    if at.load.load is None or at.load.load.unit == "W":
        into = watts_into(door, wiring, loads, at.device, at.load.name)
        if into and into.value > 0:
            return into.value, into.least, into.most
    current = amps(wiring, at)
    if current is None or at.volts is None:
        return None
    return current.value * at.volts.nominal, current.least * at.volts.least, current.most * at.volts.most


def _coincident(door: Door, watts: dict[str, Watts]) -> dict[str, Watts]:
    """The loads that can be on together: of each bank in `at-once` only as many as may be, the largest first."""
    left = dict(watts)
    for bank, count in door.at_once:
        of_bank = sorted((load for load in left if load.split(".")[0] in bank), key=lambda load: (-left[load][2], load))
        for load in of_bank[count:]:
            del left[load]
    return left


def _identifier(text: str) -> str:
    return re.sub(r"\W", "_", text)


def watts_into(door: Door, wiring: Wiring, loads: Sequence[Supplied], ref: str, inlet: str) -> Figure | None:
    """Watts that a device takes in at a jack or pair of terminals: its own, and all that hangs on its outputs.

    An output whose efficiency the data sheet does not give counts as lossless.  None where a load's watts are unknown.
    """
    sheet = wiring.devices[ref].sheet
    group = sheet.groups[inlet]
    own = group.own if isinstance(group, Jack) else group.load if isinstance(group, Takes) else None
    inputs: dict[str, Band | float] = {}
    sums: list[tuple[tuple[str, ...], str | None]] = []  # loads, and the efficiency of the output that they hang on
    if own is not None and own.unit == "W":
        inputs["own"] = own
        sums.append((("own",), None))
    for output in (g for g in sheet.groups.values() if isinstance(g, Gives) and inlet in g.out_of):
        drawn: dict[str, Watts] = {}
        for at in (s for s in loads if s.source == ref and s.output.name == output.name):
            watts = _watts(door, wiring, loads, at)
            if watts is None:
                return None
            drawn[f"{at.device}.{at.load.name}"] = watts
        on = {_identifier(load): Band(*watts, unit="W", text="") for load, watts in _coincident(door, drawn).items()}
        if on:
            inputs |= on
            efficiency = _identifier(f"efficiency.{output.name}") if output.efficiency else None
            if efficiency and output.efficiency:
                inputs[efficiency] = output.efficiency
            sums.append((tuple(on), efficiency))

    def compute(**x: float) -> float:
        return sum(sum(x[n] for n in names) / (x[e] if e else 1.0) for names, e in sums)

    terms = [f"({' + '.join(names)}) / {e}" if e else " + ".join(names) for names, e in sums]
    return figure(
        "power taken in", "W", " + ".join(terms) or "0", compute, f"sum of ratings; {sheet.type}", f"{ref}.{inlet}",
        falls=tuple(e for _, e in sums if e), **inputs,
    )


@dataclass(frozen=True)
class Port:
    """A powered device's jack, and the port that feeds it."""

    device: str
    jack: Jack
    source: str
    port: Jack

    @property
    def ends(self) -> tuple[End, End]:
        return End(self.source, self.port.mark), End(self.device, self.jack.mark)


def ports(wiring: Wiring) -> tuple[Port, ...]:
    """Every powered device with the port behind it, traced over links and patch ports; in the order of devices."""
    beyond: dict[End, End] = {}
    for link in wiring.links:
        beyond |= {link.a: link.b, link.b: link.a}
    found = []
    for ref, wired in wiring.devices.items():
        for jack in wired.sheet.groups.values():
            if isinstance(jack, Jack) and jack.poe == "in" and (end := beyond.get(End(ref, jack.mark))):
                for _ in wiring.links:  # no chain has more hops than there are links
                    if (port := _jack_at(wiring, end)) and port.poe == "out":
                        found.append(Port(ref, jack, end.device, port))
                        break
                    through = _through(wiring, end)
                    if through is None or through not in beyond:
                        break
                    end = beyond[through]
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


def port_figures(door: Door, wiring: Wiring, loads: Sequence[Supplied], port: Port) -> tuple[Figure, ...]:
    """Watts that the device needs, the least class that carries them, and the watts that the class it gets allows."""
    about = f"{port.device}.{port.jack.name}"
    need = watts_into(door, wiring, loads, port.device, port.jack.name)
    if need is None:
        return ()
    figures = [need, _class_needed(need, about)]
    classes = [c for c in (port.jack.poe_class, port.port.poe_class) if c in PD_WATTS]
    if len(classes) == 2:
        granted = PD_WATTS[min(classes)]
        figures.append(
            figure(
                f"power left of class {min(classes)}", "W", "allowed - needed", lambda allowed, needed: allowed - needed,
                IEEE, about,
                falls=("needed",), allowed=granted, needed=Band(need.value, need.least, need.most, "W", ""),
            )
        )
    return tuple(figures)


def _class_needed(need: Figure, about: str) -> Figure:
    formula = "".join(f"{c} if watts <= {w:g} else " for c, w in PD_WATTS.items()) + str(max(PD_WATTS) + 1)

    def compute(watts: float) -> float:
        return float(next((c for c, w in PD_WATTS.items() if watts <= w), max(PD_WATTS) + 1))

    # the class must carry the most, so that is what is asked of it
    return figure("class needed (9: none carries it)", "1", formula, compute, IEEE, about, watts=need.most)

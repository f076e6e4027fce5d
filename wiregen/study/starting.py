"""What a device that makes another voltage takes in while a load behind it starts, against what its run can bring it.

Over a run of some ohms there is a most that comes through: at more, no volts satisfy the constant-power equation
volts = source - ohms * watts / volts, and the device goes dark.  Capacitors inside it are not counted upon.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace

from wiregen.reading.model import Band, Door, Gives, Site, Takes
from wiregen.study.copper import Loads, Supplied
from wiregen.study.formula import Formula
from wiregen.study.load import EFFICIENCY, amps, watts_into
from wiregen.study.model import Figure
from wiregen.study.route import Routes, long, way_ohms
from wiregen.study.run import least_volts, way_of
from wiregen.wiring.model import Wiring

STARTS = Formula(
    "watts + (inrush - amps) * volts / efficiency", "W",
    {"watts": "W", "inrush": "A", "amps": "A", "volts": "V", "efficiency": ""}, "all that is on, one load as it starts",
)  # fmt: skip
MOST = Formula("volts ** 2 / (4 * ohms)", "W", {"volts": "V", "ohms": "ohm"}, "most power over a resistance: half the volts")
MOST_AT = Formula(
    "needs * (volts - needs) / ohms", "W", {"needs": "V", "volts": "V", "ohms": "ohm"}, "power at the least volts of the load"
)


def starts(site: Site, door: Door, wiring: Wiring, loads: Loads) -> Iterator[Figure]:
    """For every inlet of direct current with an output of another voltage behind it: its worst start."""
    routes = Routes(wiring)
    for at in loads:
        watts, needs, way = (
            watts_into(door, wiring, loads, at.device, at.load.name),
            least_volts(wiring, at),
            way_of(routes, at),
        )
        if watts is None or needs is None or at.volts is None or way is None or not long(way):
            continue
        about = f"{at.device}.{at.load.name}"
        started = [f for behind in _behind(wiring, loads, at) if (f := _start(wiring, behind, watts, about)) is not None]
        if not started:
            continue
        ohms = way_ohms(site, wiring, "ohms of its wires", about, way)
        halved = needs < at.volts.least / 2
        most = (
            MOST.figure("watts that the run can bring", about, volts=at.volts, ohms=ohms)
            if halved
            else MOST_AT.figure("watts that the run can bring", about, needs=needs, volts=at.volts, ohms=ohms)
        )
        worst = max(started, key=lambda f: (f.most, f.note))
        yield replace(most, topic="conductor")
        yield replace(
            worst, topic="conductor", ceiling=max(most.least, 0.0),
            bound=f"{at.source}.{at.output.name} gives {at.volts.least:.4g} V at least over {ohms.most:.3g} ohm",
            cure=f"thicker or shorter cable from {at.source} to {at.device}",
        )  # fmt: skip


def _behind(wiring: Wiring, loads: Loads, at: Supplied) -> Iterator[Supplied]:
    """Loads with an inrush on outputs that are made out of what comes in at this inlet."""
    groups = wiring.devices[at.device].sheet.groups.values()
    made = [g.name for g in groups if isinstance(g, Gives) and at.load.name in g.out_of and not g.volts_as]
    return (s for name in made for s in loads.on(at.device, name) if s.load.inrush is not None)


def _start(wiring: Wiring, behind: Supplied, watts: Figure, about: str) -> Figure | None:
    load: Takes = behind.load
    own = amps(wiring, behind)
    if own is None or load.inrush is None or behind.volts is None:
        return None
    lasts = f" for {load.inrush.seconds * 1000:g} ms" if load.inrush.seconds else ""
    efficiency: Band = behind.output.efficiency or EFFICIENCY
    told = STARTS.figure(
        "power taken in as a load starts", about, watts=watts, inrush=load.inrush.amps, amps=own, volts=behind.volts,
        efficiency=efficiency,
    )  # fmt: skip
    return replace(told, note=f"{behind.device} starts with {load.inrush.amps:g} A{lasts}; no capacitor counted upon")

"""What each battery of a site has to give while mains are off: idle and in an alarm, over all doors that hang on its supply."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import replace

from wiregen.reading.model import Band, Gives, Takes
from wiregen.reading.quantity import band
from wiregen.study.battery import battery_figures, standby
from wiregen.study.copper import Supplied
from wiregen.study.formula import Formula
from wiregen.study.hanging import Hanging, Part, doors_of
from wiregen.study.model import Figure
from wiregen.study.summed import added
from wiregen.wiring.fitting import At

MEAN = Formula(
    "idle + (worst - idle) * grants * lasts / hour", "A",
    {"idle": "A", "worst": "A", "grants": "", "lasts": "s", "hour": "s"},
    "mean of a lock that is powered to open, over an hour of use",
)  # fmt: skip
AS_ON_MAINS = "amps as on mains: what coils take falls with the volts of the battery, what electronics take grows"


def batteries(hanging: Hanging) -> tuple[tuple[Figure, ...], tuple[str, ...]]:
    """Figures of every battery that a supply of the site lives on, and what is missing for them.

    None where the site asks for no standby.
    """
    asks = standby(hanging.site)
    figures: list[Figure] = []
    missing: list[str] = []
    for ref, inlet in _inlets(hanging) if asks else ():
        sheet = hanging.shared.devices[ref].sheet
        fed = next((at for at in hanging.own if (at.device, at.load.name) == (ref, inlet.name)), None)
        if fed is None:
            missing.append(f"battery of {ref}: nothing is named that {ref}.{inlet.name} is fed from")
            continue
        battery = hanging.shared.devices[fed.source].sheet
        if fed.output.capacity is None:
            key = f"groups: {{{fed.output.name}: {{capacity: 17 Ah}}}}"
            missing.append(f"battery of {ref}: the data sheet {battery.type} of {fed.source} gives no capacity ({key})")
        if inlet.load is None:
            key = f"groups: {{{inlet.name}: {{load: 50 mA}}}}"
            missing.append(f"what {ref} itself takes from its battery: its data sheet {sheet.type} gives no load ({key})")
        if inlet.charge is None:
            key = f"groups: {{{inlet.name}: {{charge: 1 A}}}}"
            missing.append(f"hours to recharge {fed.source}: its supply's data sheet {sheet.type} gives no charge ({key})")
        assert asks is not None
        parts = hanging.parts(At(fed.source, fed.output.name))
        idle, alarm = _drawn(hanging, fed, parts)
        told = battery_figures(fed.source, fed.output.capacity, inlet.charge, idle, alarm, asks)
        figures += [replace(figure, doors=doors_of(parts)) for figure in (idle, alarm, *told)]
    return tuple(figures), tuple(missing)


def _inlets(hanging: Hanging) -> Iterator[tuple[str, Takes]]:
    """The terminals for the battery of each supply that has volts to give on one."""
    for ref, device in hanging.shared.devices.items():
        groups = device.sheet.groups
        lives = {name for g in groups.values() if isinstance(g, Gives) and g.on_battery for name in g.out_of}
        for group in groups.values():
            if isinstance(group, Takes) and group.current == "dc" and group.name in lives:
                yield ref, group


def _drawn(hanging: Hanging, fed: Supplied, parts: tuple[Part, ...]) -> tuple[Figure, Figure]:
    at = At(fed.source, fed.output.name)
    mean: dict[str, Band] = {}
    untold: list[str] = []
    for part in parts:
        use = {**hanging.site.use, **(hanging.site.doors[part.door].use if part.door else {})}
        mean[part.name] = part.idle
        if part.door and part.worst.nominal > part.idle.nominal:
            if "grant" in use and "per-hour" in use:
                mean[part.name] = _mean(part, use)
            else:
                untold.append(part.door)
    doors = ", ".join(dict.fromkeys(untold))
    counted = f"opening of {doors} not counted: no use: {{grant, per-hour}} is given" if doors else ""
    note = "; ".join(filter(None, (AS_ON_MAINS, counted)))
    told = added("amps on battery, idle and in use", at, mean, note), added(
        "amps on battery, in an alarm", at, {part.name: part.fire for part in parts}, note
    )
    return replace(told[0], topic="battery", about=fed.source), replace(told[1], topic="battery", about=fed.source)


def _mean(part: Part, use: Mapping[str, str]) -> Band:
    told = MEAN.figure(
        part.name, idle=part.idle, worst=part.worst, grants=float(use["per-hour"]), lasts=band(use["grant"], "s").nominal,
        hour=3600,
    )  # fmt: skip
    return Band(told.value, told.least, told.most, "A", "")

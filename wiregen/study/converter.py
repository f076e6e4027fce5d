"""Splitters and converters: what they lose, and what an output still has to give behind its own limit and behind its port."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import replace

from wiregen.reading.model import Band, Door, Gives, Jack, Takes
from wiregen.study.copper import Loads
from wiregen.study.formula import Formula, identifier, total
from wiregen.study.load import EFFICIENCY, coincident, draws, watts_into
from wiregen.study.model import Figure
from wiregen.study.poe import CLASSES, IEEE, PortUse
from wiregen.wiring.model import Wiring

LOST = Formula("amps * volts * (1 / efficiency - 1)", "W", {"amps": "A", "volts": "V", "efficiency": ""}, "what becomes heat")
MORE = Formula(
    "(allowed - taken) * efficiency / volts", "A", {"allowed": "W", "taken": "W", "efficiency": "", "volts": "V"},
    f"what the class has left for more on the output, {IEEE}",
)  # fmt: skip
LEFT = Formula("min(limit - amps, more)", "A", {"limit": "A", "amps": "A", "more": "A"}, "limit of the output and of its port")
LEFT_OF_LIMIT = Formula("limit - amps", "A", {"limit": "A", "amps": "A"}, "limit of the output")


def unlimited(wiring: Wiring, loads: Loads) -> tuple[str, ...]:
    """The outputs of which nobody can say whether they give what hangs on them: no data sheet gives their limit."""
    outputs = {(at.source, at.output.name): at.output for at in loads if at.output.volts is not None}
    untold = [(at, wiring.devices[at[0]].sheet.type) for at, output in outputs.items() if output.limit is None]
    return tuple(
        f"what {ref}.{name} can give: its data sheet {type_} gives no limit (groups: {{{name}: {{limit: 1 A}}}})"
        for (ref, name), type_ in untold
    )


def converters(door: Door, wiring: Wiring, loads: Loads, uses: Sequence[PortUse]) -> tuple[Figure, ...]:
    """Figures of every output of the door that is made from what comes in."""
    granted = {use.device: use.granted for use in uses}
    figures: list[Figure] = []
    for ref, wired in wiring.devices.items():
        for output in wired.sheet.groups.values():
            inlet = _inlet(wiring, loads, ref, output) if isinstance(output, Gives) else None
            if not isinstance(output, Gives) or output.volts is None or output.current != "dc" or inlet is None:
                continue
            drawn = drawn_from(door, wiring, loads, ref, output)
            if drawn is None or not drawn.inputs or output.limit is None:
                continue  # what is unknown of a load is named where the load is, and a limit by `unlimited`
            taken = watts_into(door, wiring, loads, ref, inlet) if ref in granted else None
            figures += _left(f"{ref}.{output.name}", output, output.limit, drawn, taken, granted.get(ref))
    return tuple(replace(figure, topic="converter") for figure in figures)


def _inlet(wiring: Wiring, loads: Loads, ref: str, output: Gives) -> str | None:
    """The group by which the device behind the output is fed on this door; None where it is fed by mains or not here."""
    device = wiring.devices[ref]
    for name in output.out_of:
        match device.sheet.groups.get(name):
            case Takes(current="mains"):
                return None
            case Takes() if loads.at(ref, name):
                return name
            case Jack(poe="in") as jack if jack.mark in device.used:
                return name
    return None


def drawn_from(door: Door, wiring: Wiring, loads: Loads, ref: str, output: Gives) -> Figure | None:
    """Amps that all loads of the door draw from an output as far as they can be on together; None where one is unknown."""
    amps: dict[str, tuple[float, float, float]] = {}
    for at in loads.on(ref, output.name):
        told = draws(door, wiring, loads, at)
        if told is None:
            return None
        amps[f"{at.device}.{at.load.name}"] = told.value, told.least, told.most
    on: Mapping[str, Band] = {
        identifier(load): Band(*parts, unit="A", text="") for load, parts in coincident(door, amps).items()
    }
    parts = dict.fromkeys(on, "A")
    return total("A", parts, "sum of what is on together").figure("drawn", f"{ref}.{output.name}", note="", source="", **on)


def _left(
    about: str, output: Gives, limit: Band, drawn: Figure, taken: Figure | None, class_: int | None
) -> tuple[Figure, ...]:
    assert output.volts is not None
    efficiency = output.efficiency or EFFICIENCY
    note = "" if output.efficiency else f"efficiency {EFFICIENCY.text} assumed"
    figures = [LOST.figure("lost as heat", about, amps=drawn, volts=output.volts, efficiency=efficiency, note=note)]
    if taken is None or class_ is None:
        left = LEFT_OF_LIMIT.figure("left to give", about, limit=limit, amps=drawn)
        bound, cure = f"limit {limit.text}", "a larger converter, or a supply of its own for the lock"
    else:
        more = MORE.figure(
            f"more that class {class_} allows", about, allowed=CLASSES[class_].device_watts, taken=taken,
            efficiency=efficiency, volts=output.volts, note=note,
        )  # fmt: skip
        figures.append(more)
        left = LEFT.figure("left to give", about, limit=limit, amps=drawn, more=more)
        bound = f"limit {limit.text}, and class {class_} behind it"
        cure = "a port of a higher class, a splitter of its own for the lock, or a local supply"
    return (*figures, replace(left, floor=0.0, bound=bound, cure=cure))

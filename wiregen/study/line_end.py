"""Supervised inputs: ohms of the loop and volts at the input with the contact closed and open, the cable cut and shorted.

The loop is a resistor in series with the contact and one across it, at the contact, and the cable's own ohms.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, replace

from wiregen.reading.model import Band, Changeover, Contact, Input, Site
from wiregen.study.formula import Formula, Value
from wiregen.study.model import Figure
from wiregen.study.route import Routes, metres, way_ohms
from wiregen.wiring.model import Conductor, End, LineEnd, Wiring

LEAKS = Band(
    1e9, 1e6, 1e9, "ohm", "1 Mohm"
)  # between the cores of a cable that is cut, at the least: common practice, no source

_DIVIDES = {"volts": "V", "pull_up": "ohm"}
OHMS = {
    "closed": Formula("series + loop", "ohm", {"series": "ohm", "loop": "ohm"}, "in series"),
    "open": Formula("series + across + loop", "ohm", {"series": "ohm", "across": "ohm", "loop": "ohm"}, "in series"),
    "short": Formula("loop", "ohm", {"loop": "ohm"}, "somewhere along the cable"),
}
VOLTS = Formula("volts * ohms / (pull_up + ohms)", "V", {**_DIVIDES, "ohms": "ohm"}, "voltage divider of pull-up and loop")


@dataclass(frozen=True)
class Loop:
    """A supervised input with what is known of its loop: ohms at the meter by case, and volts at the input by case."""

    end: LineEnd
    ohms: Mapping[str, Figure]
    volts: Mapping[str, Figure]

    @property
    def figures(self) -> tuple[Figure, ...]:
        return (*self.ohms.values(), *self.volts.values())


def line_ends(site: Site, wiring: Wiring) -> tuple[tuple[Loop, ...], tuple[str, ...]]:
    """The supervised inputs of a door, and what is missing for them."""
    routes = Routes(wiring)
    loops: list[Loop] = []
    missing: list[str] = []
    for end in wiring.line_ends:
        device, _, name = end.input.partition(".")
        sheet = wiring.devices[device].sheet
        group = sheet.groups[name]
        if not isinstance(group, Input):
            continue
        about = f"{end.sensor}.{end.group}"
        way = _way(routes, wiring, end, group)
        if way is None:
            missing.append(f"loop of {about}: no copper leads from {end.input} to it and back")
            continue
        loop = way_ohms(site, wiring, "cable of the loop", about, way)
        ohms = dict(_ohms(about, loop, end))
        volts: dict[str, Figure] = {}
        if group.pull_up and group.pull_up_to:
            volts = dict(_volts(about, end.input, ohms, group, group.pull_up, group.pull_up_to, sheet.type))
        else:
            key = f"groups: {{{name}: {{pull-up: 2.2 kohm to 5 V}}}}"
            missing.append(f"volts at {end.input}: its data sheet {sheet.type} gives no pull-up ({key})")
        lacking = [case for case in volts if case not in group.supervised]
        if lacking:
            key = f"groups: {{{name}: {{supervised: {{{lacking[0]}: 0..0.6 V}}}}}}"
            missing.append(
                f"what {end.input} takes for {', '.join(lacking)}: its data sheet {sheet.type} gives no band ({key})"
            )
        loops.append(Loop(end, ohms, volts))
    return tuple(loops), tuple(missing)


def _way(routes: Routes, wiring: Wiring, end: LineEnd, group: Input) -> tuple[Conductor, ...] | None:
    """The conductors from the input to the contact and back; other contacts in series count as closed."""
    device, _, _ = end.input.partition(".")
    contact = wiring.devices[end.sensor].sheet.groups[end.group]
    if not isinstance(contact, Contact):
        return None
    bridges = list(_closed(wiring, end.sensor, contact))
    if end.ref:
        series = wiring.devices[end.ref].sheet.inside[0]
        bridges.append((End(end.ref, series.between[0]), End(end.ref, series.between[1])))
    first, second = (End(end.sensor, mark) for mark in contact.between)
    found = []
    for one, other in ((first, second), (second, first)):
        out, back = routes.way(End(device, group.in_), one, bridges), routes.way(End(device, group.ref), other, bridges)
        if out is not None and back is not None:
            found.append((*out, *back))
    return min(found, key=metres, default=None)


def _closed(wiring: Wiring, sensor: str, contact: Contact) -> Iterator[tuple[End, End]]:
    for ref, device in wiring.devices.items():
        for group in device.sheet.groups.values():
            if isinstance(group, Contact) and (ref, group.name) != (sensor, contact.name):
                yield End(ref, group.between[0]), End(ref, group.between[1])
            elif isinstance(group, Changeover):
                yield End(ref, group.common), End(ref, group.make)
                yield End(ref, group.common), End(ref, group.break_)


def _ohms(about: str, loop: Figure, end: LineEnd) -> Iterator[tuple[str, Figure]]:
    somewhere = Band(0.0, 0.0, loop.most, "ohm", "")
    for case, formula in OHMS.items():
        values: dict[str, Value] = {"loop": somewhere if case == "short" else loop}
        if case != "short":
            values["series"] = end.values.series
        if case == "open":
            values["across"] = end.values.across
        told = formula.figure(f"ohms of the loop, {_said(case)}", about, note=loop.note, **dict(values))  # type: ignore[arg-type]
        yield case, replace(told, topic="input")


def _volts(
    about: str, at: str, ohms: Mapping[str, Figure], group: Input, pull_up: Band, to: Band, type_: str
) -> Iterator[tuple[str, Figure]]:
    cut = "insulation of the cut cable at least 1 Mohm: common practice, no source"
    for case in ("short", "closed", "open", "cut"):
        told = VOLTS.figure(
            f"volts at the input, {_said(case)}", about, volts=to, pull_up=pull_up, ohms=ohms.get(case, LEAKS),
            note=cut if case == "cut" else ohms[case].note,
        )  # fmt: skip
        band = group.supervised.get(case)
        if band is not None:
            told = replace(
                told,
                floor=None if case == "short" else band.least,  # a short can be no lower than nothing
                ceiling=None if case == "cut" else band.most,  # and a cut no higher than the pull-up
                bound=f"what {at} takes for it, by its data sheet {type_}",
                cure=f"line-end resistors that suit {at}, at the contact; a shorter or thicker cable",
            )
        yield case, replace(told, topic="input")


def _said(case: str) -> str:
    return f"contact {case}" if case in ("closed", "open") else f"cable {'shorted' if case == 'short' else case}"

"""Data lines against what their protocol carries: metres by gauge, speed and capacitance; end resistors; landed screens."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, replace
from itertools import combinations
from typing import Any

from wiregen.reading.model import Band, Line, Site
from wiregen.reading.quantity import Unfit, awg_area, band
from wiregen.study.copper import Copper
from wiregen.study.formula import Formula
from wiregen.study.model import Figure
from wiregen.study.route import Routes, long, metres, way_metres, way_ohms
from wiregen.wiring.model import Conductor, End, Wiring

# RS-485 and with it OSDP: 1200 m is common guidance, TIA-485-A fixes no cable; 32 unit loads of at least 12 kohm each, and a
# driver that gives its volts into 54 ohm: TIA-485-A
RS_485_METRES = 1200.0
RS_485_DEVICES = 32
RS_485_OHMS = 54.0
RECEIVER = Band(96e3, 12e3, 1e6, "ohm", "12 kohm and more")  # of one device: a whole unit load to an eighth, and none at all
END_TOLERANCE = 0.05  # of an end resistor: common practice, no source

# SIA AC-01-1996.10, from memory: metres (500, 300, 200 ft) by gauge
WIEGAND = {18: 152.4, 20: 91.44, 22: 60.96}
THINNER = Formula(
    "metres * area / least_area", "m", {"metres": "m", "area": "m2", "least_area": "m2"},
    "thinner than 22 AWG: in proportion to the section, common practice, no source",
)  # fmt: skip

# RS-232 (TIA-232-F): 2500 pF in all, of which driver and receiver take 100 pF each (common practice)
RS_232_FARADS = 2500e-12
RS_232_ENDS = 200e-12
PER_METRE = Band(164e-12, 100e-12, 164e-12, "F", "50 pF/ft")  # F/m where the cable's data sheet says nothing: common practice
CAPACITANCE = Formula(
    "ends + per_metre * length", "F", {"ends": "F", "per_metre": "F/m", "length": "m"}, "driver, receiver and cable; TIA-232-F"
)
RS_232_METRES = Formula(
    "metres * fast / speed", "m", {"metres": "m", "fast": "1/s", "speed": "1/s"},
    "50 ft at 19200 bit/s, twice as far at half of it: common practice",
)  # fmt: skip
RS_232_AT = {"metres": 15.24, "fast": 19200.0}

COUNT = Formula("devices", "1", {"devices": ""}, "devices on the line")
LANDED = Formula("ends", "1", {"ends": ""}, "ends of the screen that are landed")


@dataclass(frozen=True)
class Member:
    """One device on a line."""

    ref: str
    line: Line

    def end(self, role: str) -> End:
        return End(self.ref, self.line.roles[role])

    @property
    def name(self) -> str:
        return f"{self.ref}.{self.line.name}"


@dataclass(frozen=True)
class Pair:
    """A data pair with end resistors: where a meter is laid on it, how many are in, and the ohms across it unpowered."""

    a: End
    b: End
    resistors: int
    ohms: Figure


def signals(site: Site, wiring: Wiring) -> tuple[tuple[Figure, ...], tuple[Pair, ...], tuple[str, ...]]:
    """Figures of every data line of a door and of its screens, the pairs to be metered, and what is missing."""
    figures: list[Figure] = []
    pairs: list[Pair] = []
    missing: list[str] = []
    routes = Routes(wiring)
    for members in _lines(wiring):
        match members[0].line.protocol:
            case "osdp":
                figures += _rs_485(wiring, routes, members)
                if pair := _across(site, wiring, routes, members):
                    pairs.append(pair)
                    figures.append(pair.ohms)
            case "wiegand":
                figures += _wiegand(wiring, routes, members)
            case "rs-232":
                told, untold = _rs_232(wiring, routes, members)
                figures += told
                missing += untold
    figures += _screens(wiring)
    return tuple(replace(f, topic="line") for f in figures), tuple(pairs), tuple(missing)


def _lines(wiring: Wiring) -> list[tuple[Member, ...]]:
    """Who is on each line, of those that two or more devices are on: by the copper of its first role."""
    copper = Copper(wiring)
    lines: dict[tuple[str, End], list[Member]] = {}
    for ref, device in wiring.devices.items():
        for group in device.sheet.groups.values():
            if isinstance(group, Line) and group.roles and all(copper.landed(End(ref, mark)) for mark in group.roles.values()):
                roots = {role: copper.root(End(ref, mark)) for role, mark in group.roles.items()}
                first = min(roots.values()) if "tx" in roots else next(iter(roots.values()))  # tx meets rx
                lines.setdefault((group.protocol, first), []).append(Member(ref, group))
    return [_in_order(wiring, members) for members in lines.values() if len({m.ref for m in members}) > 1]


def _in_order(wiring: Wiring, members: Sequence[Member]) -> tuple[Member, ...]:
    """Whoever a line is named after first: not a reader, and nobody through whom it only passes."""
    passed = {m.ref for m in members if sum(m.ref == other.ref for other in members) > 1}
    speak = [m for m in members if m.ref not in passed] or list(members)
    return tuple(sorted(speak, key=lambda m: wiring.devices[m.ref].sheet.is_ == "reader"))


def _longest(routes: Routes, members: Sequence[Member], role: str, other: str | None = None) -> tuple[Conductor, ...]:
    """The way between the two devices of a line that are farthest apart along it."""
    ways = (routes.way(one.end(role), two.end(other or role)) for one, two in combinations(members, 2) if one.ref != two.ref)
    return max((way for way in ways if way is not None), key=metres, default=())


def _reach(members: Iterable[Member], otherwise: float, source: str) -> tuple[float, str]:
    """The least that a data sheet allows, else what the protocol does."""
    told = [(m.line.reach.least, f"reach by the data sheet of {m.ref}") for m in members if m.line.reach]
    return min(told, default=(otherwise, source))


def _rs_485(wiring: Wiring, routes: Routes, members: Sequence[Member]) -> Iterator[Figure]:
    about = members[0].name
    reach, bound = _reach(members, RS_485_METRES, "RS-485: 4000 ft is common guidance; TIA-485-A fixes no cable")
    yield replace(
        way_metres("length of the data line", about, _longest(routes, members, "a")),
        ceiling=reach, bound=bound, cure="a controller nearer to its readers, or a repeater",
    )  # fmt: skip
    devices = len({m.ref for m in members})
    drops = [(m.line.drops + 1, f"{m.ref} takes {m.line.drops} devices on its line") for m in members if m.line.drops]
    most, bound = min(drops, default=(RS_485_DEVICES, "32 unit loads, TIA-485-A"))
    yield replace(
        COUNT.figure("devices on the data line", about, devices=float(devices)),
        ceiling=float(most), bound=bound, cure="a second line",
    )  # fmt: skip


def _resistor(text: str | None) -> float | None:
    """Ohms of `120 ohm by setting`; None where it has none."""
    try:
        return band(text.removesuffix(" by setting"), "ohm").nominal if text else None
    except Unfit:
        return None


def _across(site: Site, wiring: Wiring, routes: Routes, members: Sequence[Member]) -> Pair | None:
    """Ohms across the unpowered pair at the first device whose end resistor is in; each other one adds its cable."""
    fitted = [
        (m, ohms) for m in members
        if (ohms := _resistor(m.line.line_end)) and wiring.devices[m.ref].settings.get("line-end", "in") == "in"
    ]  # fmt: skip
    if not fitted:
        return None
    at = fitted[0][0]
    inputs: dict[str, Any] = {"devices": float(len({m.ref for m in members})), "receiver": RECEIVER}
    units = {"devices": "", "receiver": "ohm"}
    terms = ["devices / receiver"]
    for n, (member, ohms) in enumerate(fitted, 1):
        inputs[f"end_{n}"] = Band(ohms, ohms * (1 - END_TOLERANCE), ohms * (1 + END_TOLERANCE), "ohm", "")
        way = tuple(c for role in ("a", "b") for c in routes.way(at.end(role), member.end(role)) or ())
        if long(way):
            inputs[f"loop_{n}"] = way_ohms(site, wiring, f"cable to {member.ref} and back", member.name, way)
        parts = [name for name in (f"end_{n}", f"loop_{n}") if name in inputs]
        units |= dict.fromkeys(parts, "ohm")
        terms.append(f"1 / ({' + '.join(parts)})" if len(parts) > 1 else f"1 / {parts[0]}")
    told = Formula(f"1 / ({' + '.join(terms)})", "ohm", units, "end resistors, cable and receivers side by side").figure(
        "ohms across the unpowered data pair", at.name,
        note=f"end resistors ±{END_TOLERANCE * 100:g} %: common practice, no source", **inputs,
    )  # fmt: skip
    bounded = replace(
        told, floor=RS_485_OHMS, bound="what a driver gives its volts into, TIA-485-A",
        cure="end resistors in at the two ends of the line, out everywhere else",
    )  # fmt: skip
    return Pair(at.end("a"), at.end("b"), len(fitted), bounded)


def _wiegand(wiring: Wiring, routes: Routes, members: Sequence[Member]) -> Iterator[Figure]:
    about = members[0].name
    way = _longest(routes, members, "d0")
    told = any(m.line.reach for m in members)
    reach, bound = _reach(members, *wiegand_reach(min((c.area for c in long(way)), default=awg_area(18))))
    yield replace(
        way_metres("length of the Wiegand line", about, way),
        ceiling=reach, bound=bound,
        cure="OSDP in place of Wiegand, or a controller nearer" + ("" if told else "; or a thicker cable"),
    )  # fmt: skip


def wiegand_reach(area: float) -> tuple[float, str]:
    """Metres that cores of that section in m2 carry Wiegand, and where that comes from."""
    source = "SIA AC-01-1996.10, from memory"
    for gauge, reach in sorted(WIEGAND.items()):
        if area >= 0.995 * awg_area(gauge):
            return reach, f"{gauge} AWG and thicker: {source}"
    thinnest = max(WIEGAND)
    reach = THINNER(metres=WIEGAND[thinnest], area=area, least_area=awg_area(thinnest))
    return reach, f"{source}; {THINNER.source}"


def _rs_232(wiring: Wiring, routes: Routes, members: Sequence[Member]) -> tuple[tuple[Figure, ...], tuple[str, ...]]:
    about = members[0].name
    way = _longest(routes, members, "tx", "rx")
    length = way_metres("length of the RS-232 line", about, way)
    sheets = [wiring.cables[c.cable].sheet for c in long(way) if c.cable]
    told = [sheet.capacitance for sheet in sheets if sheet.capacitance]
    farads = max(told, key=lambda b: b.most) if told and len(told) == len(sheets) else PER_METRE
    note = "" if farads is not PER_METRE else "50 pF/ft, where the cable's data sheet says nothing: common practice, no source"
    load = replace(
        CAPACITANCE.figure(
            "capacitance of the RS-232 line", about, ends=RS_232_ENDS, per_metre=farads, length=length, note=note
        ),
        ceiling=RS_232_FARADS, bound="2500 pF, TIA-232-F", cure="a shorter cable, or one of less capacitance",
    )  # fmt: skip
    speeds = [m.line.speed for m in members if m.line.speed]
    reach, bound = _reach(members, RS_232_METRES(speed=max(speeds), **RS_232_AT) if speeds else 0.0, RS_232_METRES.source)
    if reach:
        return (load, replace(length, ceiling=reach, bound=bound, cure="a slower line, or RS-485")), ()
    sheet = wiring.devices[members[-1].ref].sheet.type
    key = f"groups: {{{members[-1].line.name}: {{speed: 9600}}}}"
    return (load, length), (f"how far {about} reaches at its speed: data sheet {sheet} gives none ({key})",)


def _screens(wiring: Wiring) -> Iterator[Figure]:
    """How many ends of each screen are landed: one, as common practice has it, or none where nothing takes it."""
    for cable in wiring.cables.values():
        if cable.sheet.screen:
            landed = 1.0 if cable.screen_at else 0.0
            yield LANDED.figure("landed ends of the screen", cable.ref, ends=landed, note=cable.screen_why)

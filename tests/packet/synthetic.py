"""A study put together by hand: figures of every topic, some that fail, some of many devices alike, and release curves."""

from __future__ import annotations

import math
from dataclasses import replace

from wiregen.reading.model import Band
from wiregen.study.formula import Formula, total
from wiregen.study.model import Curve, Figure, Release, Study

OHM = Formula("u - 2 * r * i", "V", {"u": "V", "r": "ohm", "i": "A"}, "Ohm's law, there and back")
RUN = Formula("drop / (2 * ohms * i)", "m", {"drop": "V", "ohms": "ohm/m", "i": "A"}, "Ohm's law, there and back")
LEFT = Formula("capacity * aged / hours", "A", {"capacity": "A h", "aged": "1", "hours": "h"}, "common practice, no source")
CORE = Formula("rho * length / area", "ohm", {"rho": "ohm m", "length": "m", "area": "m2"}, "IEC 60228, class 5")
GAUGE = Formula("size", "m2", {"size": "m2"}, "its data sheet")
CLASS = Formula("1 if w <= 3.84 else 2 if w <= 6.49 else 3", "class", {"w": "W"}, "IEEE 802.3-2022, clause 33")


def _band(nominal: float, least: float, most: float, unit: str) -> Band:
    return Band(nominal, least, most, unit, "")


def figures() -> tuple[Figure, ...]:
    loads = {f"Y{n}": "A" for n in range(1, 9)}
    budget = total("A", {"A1": "A", "U1_reader": "A", **loads}, "sum of ratings")
    drawn = {name: _band(0.11, 0.1, 0.12, "A") for name in budget.inputs}
    volts = [
        OHM.figure(f"volts, {state}", f"Y{n}.coil", u=_band(24, 23 - n / 3, 27.3, "V"), r=0.9, i=0.25,
                   note="contacts of 50 mohm each: common practice, no source")
        for n in (1, 2, 3, 5)
        for state in ("idle", "access granted")
    ]  # fmt: skip
    # as the network would give them, a little more than a person's sum
    solved = [
        replace(f, topic="volts", value=f.value + 0.2, hand=f.value, floor=21.6, bound="pulls in, data sheet magnet-24; noted",
                cure="run W3 in 2 x 1.5 mm2, or shorten it to 41 m")
        for f in volts
    ]  # fmt: skip
    return (
        replace(budget.figure("drawn from out, alarm", "PS1.out", **drawn), topic="budget", ceiling=1.5,
                bound="rating of supply-24"),
        replace(budget.figure("peak of out, 20 ms", "PS1.out", **drawn), topic="budget", ceiling=1.1,
                bound="limit of supply-24"),
        replace(CLASS.figure("class needed", "A1.lan", w=5.8), topic="port", ceiling=4, bound="class of the port N1.p-5"),
        *solved,
        replace(RUN.figure("longest run that passes", "W3", drop=_band(2.4, 2.2, 2.6, "V"), ohms=0.0172, i=0.25), topic="volts",
                floor=55, bound="W3 as specified"),
        *(replace(CORE.figure("one core, end to end", f"W{n}", rho=1.75e-8, length=_band(10.0 * n, 9 * n, 11 * n, "m"),
                              area=1e-6), topic="conductor") for n in range(1, 8)),
        *(replace(GAUGE.figure("copper in one screw", f"A1:{n}", size=n * 0.5e-6), topic="screw", ceiling=4e-6,
                  bound="screw of inner-controller") for n in range(1, 9)),
        replace(LEFT.figure("current that it lasts with", "PS1", capacity=7.2, aged=0.8, hours=4, note="ageing 0.8: common "
                            "practice, no source"), topic="battery", floor=0.9, bound="drawn in standby"),
    )  # fmt: skip


def curve(label: str, amps: float, tau: float, until: float) -> Curve:
    times = tuple(until * n / 200 for n in range(201))
    return Curve(label, times, tuple(amps * math.exp(-t / tau) for t in times))


def study(door: str) -> Study:
    releases = tuple(
        Release(f"Y{n}", (curve(f"with V{n} (diode)", 0.26, 0.021, 0.09), curve("without calmer", 0.26, 0.0005, 0.004)), 0.03)
        for n in (1, 2, 3)
    )
    zener = curve("with the zener fitted inside", 0.31, 0.004, 0.02), curve("without calmer", 0.31, 2e-4, 1e-3)
    missing = ("release time of Y6: its data sheet strike-12 gives no inductance (inside: ..., inductance: ...)",)
    return Study(door=door, figures=figures(), releases=(*releases, Release("Y5", zener, None)), missing=missing)

"""Screws and splices: whether they take the wires that are landed on them, by number and section."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace

from wiregen.reading.model import Band, Screw
from wiregen.study.formula import Formula
from wiregen.study.model import Figure
from wiregen.wiring.model import Conductor, End, Wiring

SLACK = 1.001  # two ways of writing one size are not two sizes
# Thinnest and thickest core in m2 that a joint takes, by the word of the stock: common practice, no source
JOINTS = {"crimp": (0.1e-6, 2.7e-6), "lever": (0.14e-6, 4.0e-6), "screw": (0.2e-6, 4.0e-6)}
WAYS = {"lever": 5}  # cores that one connector takes at most, by the same word: common practice, no source

FILLS = Formula("wire / takes", "", {"wire": "m2", "takes": "m2"}, "largest wire landed, over the largest that the screw takes")
WIRES = Formula("wires", "", {"wires": ""}, "wires landed on one screw")
CORE = Formula("core", "m2", {"core": "m2"}, "cores that are joined")


def screws(wiring: Wiring) -> Iterator[Figure]:
    """Of each device with screws, the fullest."""
    landed: dict[str, dict[str, list[Conductor]]] = {}
    for conductor in wiring.conductors:
        for end in (conductor.a, conductor.b):
            landed.setdefault(end.device, {}).setdefault(end.terminal, []).append(conductor)
    cure = "another cable in `stock` or `cables`, or a box with a strip beside it"
    for ref, device in wiring.devices.items():
        screw, found = device.sheet.screw, []
        for mark, conductors in landed.get(ref, {}).items() if screw else ():
            assert screw is not None
            about, takes = f"{ref}:{mark}", _takes(screw, len(conductors))
            bound = f"{device.sheet.type} takes {screw.text}"
            if takes is None:
                most = max(count for count, _ in screw.wires)
                told = WIRES.figure("wires on one screw", about, wires=float(len(conductors)))
                found.append(replace(told, topic="screw", ceiling=float(most), bound=bound, cure=cure))
            elif thickest := max(c.area for c in conductors):
                told = FILLS.figure("fullest screw", about, wire=thickest, takes=takes)
                found.append(replace(told, topic="screw", ceiling=SLACK, bound=bound, cure=cure))
        yield from sorted(found, key=lambda f: f.margin or 0.0)[:1]


def _takes(screw: Screw, wires: int) -> float | None:
    """The largest section in m2 that the screw takes that many of; None where it takes no so many."""
    return max((area for count, area in screw.wires if count >= wires), default=None)


def in_a_row(kind: str, ends: int) -> tuple[int, int]:
    """How many connectors a joint of so many ends takes, and how many wires that bridge one to the next."""
    ways = WAYS.get(kind, ends)
    bridges = -(-(ends - ways) // (ways - 2)) if ends > ways else 0  # each takes a way at both of its ends
    return bridges + 1, bridges


def splices(wiring: Wiring) -> tuple[tuple[Figure, ...], tuple[str, ...]]:
    """Of each kind of joint, the thinnest and thickest core in it; and the kinds that nobody knows the size of."""
    kinds: dict[End, str] = {j.end: j.kind for j in wiring.junctions} | {j.end: j.kind for j in wiring.lead_joints}
    areas: dict[str, list[float]] = {}
    for conductor in wiring.conductors:
        for end in (conductor.a, conductor.b):
            if conductor.area and end in kinds:
                areas.setdefault(kinds[end], []).append(conductor.area)
    figures = []
    for kind, cores in areas.items():
        if kind in JOINTS:
            least, most = JOINTS[kind]
            told = CORE.figure(f"cores in a {kind} joint", kind, core=Band(max(cores), min(cores), max(cores), "m2", ""))
            figures.append(
                replace(
                    told, topic="screw", floor=least / SLACK, ceiling=most * SLACK,
                    bound=f"a {kind} joint takes {least * 1e6:g} to {most * 1e6:g} mm2: common practice, no source",
                    cure="another joint (`splice`, `strip`), or another cable",
                )
            )  # fmt: skip
    strange = (kind for kind in areas if kind not in JOINTS)
    return tuple(figures), tuple(f"whether a {kind} joint takes its cores: its sizes are not known" for kind in strange)

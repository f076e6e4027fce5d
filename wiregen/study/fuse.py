"""Fuses and limits of outputs: whether they carry what hangs on them, and whether they guard the thinnest wire behind them."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import replace
from operator import itemgetter

from wiregen.reading.model import Door, Gives
from wiregen.study.converter import drawn_from
from wiregen.study.copper import Copper, Loads, Supplied
from wiregen.study.formula import Formula
from wiregen.study.model import Figure
from wiregen.wiring.model import Conductor, End, Wiring

LOADED = 0.8  # part of a fuse that a steady load may take: common practice, no source
# A that a fuse before a copper wire may have
NEC_SMALL = {18: 7.0, 16: 10.0, 14: 15.0, 12: 20.0, 10: 30.0}  # by gauge: NEC 240.4(D), from memory
CORDS = ((0.75, 6.0), (1.0, 10.0), (1.5, 16.0), (2.5, 25.0))  # by mm2: BS 7671 table 4F3A, from memory
DENSITY = 8.0  # A/mm2 of thinner wires, as of the thinnest of these cords: common practice, no source

GUARDS = Formula("limit", "A", {"limit": "A"}, "fuse or limit of the output")


def fuses(door: Door, wiring: Wiring, loads: Loads) -> Iterator[Figure]:
    """Amps of this door through the fuse of every output that feeds it."""
    for (ref, _), output in {(at.source, at.output.name): at.output for at in loads}.items():
        drawn = drawn_from(door, wiring, loads, ref, output)
        if drawn is not None:
            yield from through_fuse(replace(drawn, name="amps through the fuse, this door"), output)


def through_fuse(drawn: Figure, output: Gives) -> Iterator[Figure]:
    """What an output gives against its fuse, where its limit is one."""
    if output.current == "dc" and output.limit is not None and output.limit_kind == "fuse":
        yield replace(
            drawn, ceiling=LOADED * output.limit.least, topic="fuse",
            bound=f"{LOADED * 100:g} % of {output.limit.text}: common practice, no source",
            cure="another branch for some of the loads, or a larger fuse where the wire allows it",
        )  # fmt: skip


def guards(wiring: Wiring, loads: Loads, copper: Copper) -> Iterator[Figure]:
    """For every output that feeds these loads: its limit against the thinnest wire that it guards."""
    outputs = {(at.source, at.output.name): at.output for at in loads if at.output.current == "dc"}
    sized: dict[End, list[tuple[int, Conductor]]] = {}  # by the terminal that stands for its copper, with its place in the list
    for n, conductor in enumerate(wiring.conductors):
        if conductor.area and conductor.size:
            sized.setdefault(copper.root(conductor.a), []).append((n, conductor))
    for (ref, name), output in outputs.items():
        roots = _behind(loads.on(ref, name), copper)
        behind = sorted((each for root in roots for each in sized.get(root, ())), key=itemgetter(0))
        thinnest = min((conductor for _, conductor in behind), key=guarded, default=None)
        if thinnest is not None and (limit := output.limit):
            carries, source = guarded(thinnest)
            wire = f"{thinnest.wire} ({thinnest.size}{f', {thinnest.cable}' if thinnest.cable else ''})"
            yield replace(
                GUARDS.figure("amps that the thinnest wire may have to carry", f"{ref}.{name}", limit=limit),
                ceiling=carries, topic="fuse", bound=f"{wire} carries {carries:.2g} A: {source}",
                cure=f"a fuse of {carries:.2g} A at most, or thicker wire",
            )  # fmt: skip


def guarded(conductor: Conductor) -> tuple[float, str]:
    """The largest fuse in A that guards a wire of that size, and where that stands."""
    squares = conductor.area * 1e6
    gauge = conductor.size.removesuffix(" AWG")
    if gauge != conductor.size:
        known = [listed for listed in NEC_SMALL if gauge.isdigit() and listed >= int(gauge)]
        if known:
            return NEC_SMALL[min(known)], "NEC 240.4(D), from memory"
    elif known_amps := [amps for size, amps in CORDS if size <= squares + 1e-6]:
        return known_amps[-1], "BS 7671 table 4F3A, from memory"
    return DENSITY * squares, f"{DENSITY:g} A/mm2, common practice, no source"


def _behind(loads: Sequence[Supplied], copper: Copper) -> set[End]:
    """What stands for all copper that is one with the output of these loads, or with what its contacts pass on."""
    ends: list[End] = []
    for at in loads:
        ends += [at.plus, at.minus, at.source_plus, at.source_minus]
        ends += [end for link in (at.chain.links if at.chain else ()) for end in (link.enters, link.leaves)]
    return {copper.root(end) for end in ends if copper.landed(end)}

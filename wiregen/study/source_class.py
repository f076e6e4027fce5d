"""Whether an output that calls itself class 2 keeps to the limits of class 2 (NEC chapter 9, tables 11(A) and 11(B)).

Numbers only: whether a source is listed as class 2 stands on its label, and what follows from it a licensed electrician
decides.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from math import sqrt

from wiregen.reading.model import Band, Gives, Site
from wiregen.study.copper import Copper, Supplied, behind
from wiregen.study.formula import Formula
from wiregen.study.model import Figure
from wiregen.wiring.model import End, Wiring

CLASS_2 = "class 2"
MOST_VOLTS = 60.0  # beyond it class 2 is at most 5 mA, which feeds no door
LOW_VOLTS, NAMEPLATE_WATTS, FUSED_WATTS = 20.0, 100.0, 250.0
TABLE = "NEC chapter 9 table 11"

# Amps on the name plate, and the most that an overcurrent device behind a stronger source may have, are one number
AMPS = Formula("limit", "A", {"limit": "A"}, "limit of the output")
MOST_AMPS = Formula(
    "nameplate / max(volts, low)", "A", {"nameplate": "W", "volts": "V", "low": "V"}, f"{TABLE}: 5 A up to 20 V, then 100 VA"
)
VOLTS = Formula("volts", "V", {"volts": "V"}, "volts of the output")
WATTS_BEHIND = Formula("volts * limit", "W", {"volts": "V", "limit": "A"}, "what the source before the fuse gives")


def source_classes(site: Site, loads: Sequence[Supplied]) -> Iterator[Figure]:
    """Of every output that feeds the door and calls itself class 2: volts, amps, and what stands before its fuse."""
    outputs = {(at.source, at.output.name): at for at in loads}
    for (ref, name), at in outputs.items():
        if at.output.circuit == CLASS_2 and at.volts is not None:
            yield from (replace(f, topic="class") for f in class_2(f"{ref}.{name}", at.output, at.volts, _source(site, at)))


def class_2(about: str, output: Gives, volts: Band, source: Gives | None = None) -> Iterator[Figure]:
    """Figures of one output.  `source` is what stands before it where its limit is a fuse."""
    peak = sqrt(2) if output.current == "ac" else 1.0
    cure = "a class 2 source, or its wiring as of a circuit that is not class 2: a licensed electrician decides"
    yield replace(
        VOLTS.figure("volts of a class 2 source", about, volts=volts), ceiling=MOST_VOLTS / peak,
        bound=f"{TABLE}: above 60 V at its peak only 5 mA is class 2", cure=cure,
    )  # fmt: skip
    if output.limit is not None:
        most = MOST_AMPS(nameplate=NAMEPLATE_WATTS, volts=volts.most, low=LOW_VOLTS)
        yield replace(
            AMPS.figure("amps of a class 2 source", about, limit=output.limit), ceiling=most,
            bound=f"{TABLE}: {most:.3g} A at {volts.most:.3g} V", cure=cure,
        )  # fmt: skip
    if output.limit_kind == "fuse" and source is not None and source.limit is not None:
        told = WATTS_BEHIND.figure("watts before the fuse of a class 2 source", about, volts=volts, limit=source.limit)
        bound = f"{TABLE}: 250 VA before the fuse of a source that is not limited by itself"
        yield replace(told, ceiling=FUSED_WATTS, bound=bound, cure=cure)


def _source(site: Site, at: Supplied) -> Gives | None:
    """The output of the site before a fuse board's branch."""
    found = behind(site, at.source, at.output)
    return found[1] if found else None


@dataclass(frozen=True)
class Mixed:
    """A jacket or a box in which wires of a class 2 circuit and of another lie together."""

    about: str  # cable, or place of the box
    limited: tuple[str, ...]  # wires of class 2 circuits
    others: tuple[str, ...]


def mixed(wiring: Wiring, loads: Sequence[Supplied], copper: Copper) -> tuple[Mixed, ...]:
    """Jackets and boxes that circuits of class 2 share with others.  Wires of no known source (data, inputs) do not count."""
    classes: dict[End, set[str]] = {}
    for at in loads:
        ends = [at.plus, at.minus, at.source_plus, at.source_minus]
        ends += [end for link in (at.chain.links if at.chain else ()) for end in (link.enters, link.leaves)]
        for end in ends:
            if at.output.circuit and copper.landed(end):
                classes.setdefault(copper.root(end), set()).add(at.output.circuit)
    together: dict[str, dict[bool, list[str]]] = {}
    for conductor in wiring.conductors:
        for circuit in sorted(classes.get(copper.root(conductor.a), ())):
            boxes = [j.place for j in wiring.junctions if j.end in (conductor.a, conductor.b)]
            for place in dict.fromkeys(p for p in (conductor.cable, conductor.place, *boxes) if p):
                together.setdefault(place, {}).setdefault(circuit == CLASS_2, []).append(conductor.wire)
    return tuple(
        Mixed(about, tuple(wires[True]), tuple(wires[False])) for about, wires in together.items() if len(wires) == 2
    )

"""Fill of a conduit by the cables in it (NEC chapter 9, tables 1 and 4).  A run's `way` says which: `EMT 3/4`."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import replace

from wiregen.reading.model import Run
from wiregen.study.formula import Formula, Value, identifier
from wiregen.study.model import Figure
from wiregen.wiring.model import Cable, Link

INCH = 0.0254
# Inside diameter in inches of electrical metallic tubing by trade size: NEC chapter 9 table 4
EMT = {"1/2": 0.622, "3/4": 0.824, "1": 1.049, "1-1/4": 1.380, "1-1/2": 1.610}
FILL = {1: 0.53, 2: 0.31}  # most part of the section by number of cables: NEC chapter 9 table 1
MANY = 0.40  # for more than two
NIPPLE = 0.60  # for a piece of at most 24 in: note 4 to table 1
NIPPLE_LENGTH = 24 * INCH
NEC = "NEC chapter 9 tables 1 and 4; a cable counts as one wire of its outside diameter (notes 5 and 9)"


def most_fill(cables: int, length: float) -> float:
    """The part of a conduit's section that so many cables may fill over a length in metres."""
    return NIPPLE if length <= NIPPLE_LENGTH else FILL.get(cables, MANY)


def conduits(
    runs: Mapping[str, Run], cables: Iterable[Cable], links: Iterable[Link]
) -> tuple[tuple[Figure, ...], tuple[str, ...]]:
    """Fill of every run whose way is a conduit, by the cables and links along it, and what could not be worked out."""
    pulled: list[Cable | Link] = [*cables, *links]
    figures: list[Figure] = []
    missing: list[str] = []
    for place, run in runs.items():
        kind, _, size = (run.way or "").partition(" ")
        inside = [each for each in pulled if place in each.along and run.parent in each.along]
        if kind != "EMT" or not inside:
            continue
        if size not in EMT:
            missing.append(f"fill of the conduit to {place}: {size or 'no size'} is none of EMT {', '.join(EMT)}")
            continue
        untold = sorted({each.sheet.type for each in inside if each.sheet.diameter is None})
        if untold:
            missing.append(f"fill of the conduit to {place}: {', '.join(untold)} gives no diameter")
            continue
        figures.append(_fill(place, run, size, {each.ref: each.sheet.diameter for each in inside if each.sheet.diameter}))
    return tuple(figures), tuple(missing)


def _fill(place: str, run: Run, size: str, diameters: Mapping[str, Value]) -> Figure:
    names = {identifier(ref): band for ref, band in diameters.items()}
    units = {**dict.fromkeys(names, "m"), "inside": "m"}
    formula = Formula(f"({' + '.join(f'{name} ** 2' for name in names)}) / inside ** 2", "", units, NEC)
    told = formula.figure("fill of the conduit", place, note="", source="", inside=EMT[size] * INCH, **names)
    most = most_fill(len(names), run.length.nominal)
    shares = {other: told.most * (EMT[size] / inside) ** 2 for other, inside in EMT.items() if inside > EMT[size]}
    larger = [other for other, share in shares.items() if share <= most]
    return replace(
        told, topic="conduit", ceiling=most, bound=f"{most:.0%} for {len(names)} in EMT {size}: NEC chapter 9 table 1",
        cure=f"EMT {larger[0]} in place of EMT {size}" if larger else "a second conduit",
    )  # fmt: skip

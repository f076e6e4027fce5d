"""Figures as rows of a table: band, where it comes from, what it must keep to, what is left; alike ones in one row."""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from math import inf, isinf

from wiregen.packet.content import Cell, Column, Fails, Gauge, Strong
from wiregen.packet.wording import FOOT, joined, named
from wiregen.quantities import as_told, bound, number, percent, quantity, scale, spread, typeset
from wiregen.reading.model import House
from wiregen.study.model import Figure, Topic

COLUMNS = (
    Column("Of", 27),
    Column("Figure", 57),
    Column("Least", 14, "right"),
    Column("Nominal", 17, "right"),
    Column("Most", 14, "right"),
    Column("", 12),
    Column("From", 54),
    Column("Must be", 70),
    Column("", 15),
    Column("Left", 31),
)
BRIEF: Sequence[Topic] = ("conductor", "screw", "class", "conduit", "rating")  # topics of which only the tightest are told
TOLD = 3  # of each kind
FOLDED = 3  # so many lines of one kind without a limit, and more, are told in one row; in brief two already
OVER = 0.01  # of its limit: how far a gauge reaches over it at the least where it fails
HARD = "\u00a0"  # a blank at which no line ends


def on_paper(figure: Figure, house: House) -> Figure:
    """The figure in the units of the house: lengths in feet where it measures so."""
    feet = {name for name, unit in figure.units.items() if unit == "m"} if house.units == "imperial" else set()
    told = replace(
        figure,
        inputs={name: value / FOOT if name in feet else value for name, value in figure.inputs.items()},
        units={name: "ft" if name in feet else unit for name, unit in figure.units.items()},
    )
    if figure.unit != "m" or house.units != "imperial":
        return told
    sizes = {
        name: None if value is None else value / FOOT
        for name in ("value", "least", "most", "floor", "ceiling", "hand")
        for value in (getattr(figure, name),)
    }
    return replace(told, unit="ft", **sizes)  # type: ignore[arg-type]


def fails(figure: Figure) -> bool:
    return figure.margin is not None and figure.margin < 0


def _nearest(figure: Figure) -> tuple[float, float]:
    """How far the worst is from the bound that it is nearest to, in the unit of the figure; and that bound."""
    rooms = []
    if figure.floor is not None:
        rooms.append((figure.least - figure.floor, figure.floor))
    if figure.ceiling is not None:
        rooms.append((figure.ceiling - figure.most, figure.ceiling))
    return min(rooms, key=lambda room: room[0] / (abs(room[1]) or 1.0))


def margin(figure: Figure) -> str:
    """"1.3 V, +12 %"; a pure number or a class by its share alone, what is bound by 0 by its size alone.

    Kept together where it is wrapped.
    """
    if figure.margin is None or isinf(figure.margin):
        return "no limit"
    left, limit = _nearest(figure)
    factor, unit = scale(left, figure.unit)
    size = number(abs(left) / factor, 2 if abs(left) < 100 * factor else 3)
    share = percent(figure.margin).replace("-", "−")
    said = f"{size} {unit}".rstrip()
    if limit:
        said = share if figure.unit in ("", "1", "class") else f"{said}, {share}"
    return said.replace(" ", HARD)


def failure(figure: Figure) -> str:
    low = figure.floor is not None and figure.least < figure.floor
    worst = f"{quantity(figure.least if low else figure.most, figure.unit)} at the {'least' if low else 'most'}"
    why = f" ({figure.bound})" if figure.bound else ""
    cure = f".  What helps: {figure.cure}" if figure.cure else ""
    return typeset(f"{called(figure)}: {worst}, must be {bound(figure)}{why}; fails by {margin(figure)}{cure}.")


def called(figure: Figure) -> str:
    """"Y1: volts, granted"; what its name says already is not said twice."""
    return f"{figure.about}: {figure.name}" if figure.about and figure.about not in figure.name else figure.name


@dataclass(frozen=True)
class Line:
    """Figures that read alike but for what they are about, as the row that tells them all."""

    figures: tuple[Figure, ...]
    name: str
    cells: tuple[Cell, ...]  # behind the name

    @property
    def kind(self) -> tuple[str, str, str]:
        """What bears the same name and comes from the same source, under the same assumption."""
        first = self.figures[0]
        return _shape(first.name), _shape(first.source), first.note

    @property
    def row(self) -> tuple[Cell, ...]:
        return (Strong(named(figure.about for figure in self.figures)), self.name, *self.cells)

    @property
    def urgency(self) -> float:
        margin = self.figures[0].margin
        return inf if margin is None else margin


_REFERENCE = re.compile(r"(?<![\w.:])[A-Z]{1,4}[0-9]+([.:][\w+-]+)?")  # a device, or a group or terminal of it


def _shape(text: str) -> str:
    """A text without what it refers to: "amps through K1.c-4" is built as "amps through K1.c-5"."""
    return _REFERENCE.sub("#", text)


def lines(figures: Sequence[Figure], noted: Mapping[str, int]) -> list[Line]:
    """In the order of the study."""
    alike: dict[tuple[object, ...], list[tuple[Figure, tuple[Cell, ...]]]] = {}
    for figure in figures:
        cells = (typeset(figure.name), *_cells(figure, noted))
        printed = tuple(_shape(cell) if isinstance(cell, str) else cell for cell in cells if not isinstance(cell, Gauge))
        alike.setdefault(printed, []).append((figure, cells))
    told = []
    for group in alike.values():
        name, *rest = (_one(column) for column in zip(*(cells for _, cells in group), strict=True))
        told.append(Line(tuple(figure for figure, _ in group), str(name), tuple(rest)))
    return told


def _one(column: Sequence[Cell]) -> Cell:
    """The cell for all of a column that reads alike."""
    return joined([str(cell) for cell in column]) if isinstance(column[0], str) else column[0]


def rows(told: Sequence[Line], noted: Mapping[str, int]) -> list[tuple[Cell, ...]]:
    """All lines, in the order of the study, but kinds of which there are many.

    Of those without a limit one row tells all; of a topic that is told in brief what fails, the tightest, and how many more
    there are.
    """
    kinds: dict[tuple[str, str, str], list[Line]] = {}
    for line in told:
        kinds.setdefault(line.kind, []).append(line)
    out: list[tuple[Cell, ...]] = []
    done: set[tuple[str, str, str]] = set()
    for line in told:
        kind = kinds[line.kind]
        free, brief = all(each.urgency == inf for each in kind), line.figures[0].topic in BRIEF
        if not (brief or (free and len(kind) >= FOLDED)):
            out.append(line.row)
        elif line.kind not in done:
            done.add(line.kind)
            out += [_folded(kind, noted)] if free and len(kind) > 1 else _tightest(kind)
    return out


def _tightest(kind: Sequence[Line]) -> list[tuple[Cell, ...]]:
    ranked = sorted(kind, key=lambda line: line.urgency)
    shown = max(TOLD, sum(fails(line.figures[0]) for line in kind))
    if len(kind) <= shown + 1:
        return [line.row for line in ranked]
    more = [figure for line in ranked[shown:] for figure in line.figures]
    last = ("", f"{joined([figure.name for figure in more])}: {len(more)} more, none with less left")
    return [*(line.row for line in ranked[:shown]), last]


def _cells(figure: Figure, noted: Mapping[str, int]) -> tuple[Cell, ...]:
    sizes = (figure.least, figure.value, figure.most)
    factor, unit = scale(max((abs(size) for size in sizes if not isinf(size)), default=0.0), figure.unit)
    least, nominal, most = ("no limit" if isinf(size) else number(size / factor) for size in sizes)
    band = ("", Strong(nominal), "") if least == nominal == most else (least, Strong(nominal), most)
    came = typeset(_from(figure, noted))
    if figure.margin is None:
        return (*band, unit, came)
    must = typeset(_signed(figure) + (f" ({figure.bound.split('; ')[0]})" if figure.bound else ""))
    left = Fails(f"FAILS by {margin(figure)}") if fails(figure) else margin(figure)
    return (*band, unit, came, must, _gauge(figure, factor), left)


def _gauge(figure: Figure, factor: float) -> Gauge:
    """What fails by less than the digits show reaches over its limit all the same."""
    least, nominal, most = (as_told(size, figure.unit, factor) for size in (figure.least, figure.value, figure.most))
    floor, ceiling = (None if limit is None else as_told(limit, figure.unit) for limit in (figure.floor, figure.ceiling))
    if figure.floor is not None and floor is not None and figure.least < figure.floor:
        least = min(least, floor - OVER * abs(floor))
    if figure.ceiling is not None and ceiling is not None and figure.most > figure.ceiling:
        most = max(most, ceiling + OVER * abs(ceiling))
    return Gauge(least, nominal, most, floor, ceiling)


def _signed(figure: Figure) -> str:
    """The bound in short: "≥ 10.2 V"."""
    return bound(figure).replace("at least", "≥").replace("at most", "≤")


def _from(figure: Figure, noted: Mapping[str, int]) -> str:
    """In short where a figure comes from: what it adds up, what a hand check gives, its source, the note that it has."""
    uses = figure.topic == "budget" and bool(figure.inputs)
    said = [_inputs(figure)] if uses else []
    if figure.hand is not None:
        by_hand = quantity(figure.hand, figure.unit)
        same = by_hand == quantity(figure.value, figure.unit)
        said.append("network, as by hand" if same else f"network; by hand {by_hand}")
    elif not uses:
        said += [part for part in figure.source.split("; ") if part != figure.name]
    if figure.note:
        said.append(f"note{HARD}{noted[figure.note]}")
    return "; ".join(said)


def _inputs(figure: Figure) -> str:
    parts = (
        f"{name.replace('_', ' ')}: {quantity(value, figure.units.get(name, ''))}" for name, value in figure.inputs.items()
    )
    return ", ".join(parts)


def _folded(kind: Sequence[Line], noted: Mapping[str, int]) -> tuple[Cell, ...]:
    """Lines of one kind without a limit in one row: "W1 0.42 Ω (0.4 to 0.45 Ω); W2 0.2 Ω"."""
    told = []
    for line in kind:
        f = line.figures[0]
        band = "" if f.least == f.value == f.most else f" ({spread(f.least, f.most, f.unit)})"
        told.append(f"{named(figure.about for figure in line.figures)} {quantity(f.value, f.unit)}{band}".replace(" ", HARD))
    return ("", joined([line.name for line in kind]), f"{'; '.join(told)}; {typeset(_from(kind[0].figures[0], noted))}")

"""The power sheet of a door, or of what doors share: every figure by topic with its limit and what is left, and release curves.

It knows of a figure what the figure says of itself.  Formulas and inputs are for `wiregen study` and the record.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import replace
from math import inf, isinf

from wiregen.packet.content import Cell, Column, Facts, Fails, Gauge, Notes, Section, Strong, Table, blocks
from wiregen.packet.release import release_curves
from wiregen.packet.wording import (
    FOOT,
    TOPICS,
    bound,
    by_topic,
    named,
    number,
    percent,
    plural,
    quantity,
    scale,
    spread,
    typeset,
)
from wiregen.reading.model import Door, House, Site
from wiregen.study.model import Figure, Study

COLUMNS = (
    Column("Of", 24),
    Column("Figure", 58),
    Column("Least", 13, "right"),
    Column("Nominal", 15, "right"),
    Column("Most", 13, "right"),
    Column("", 11),
    Column("From", 52),
    Column("Must be", 58),
    Column("", 20),
    Column("Left", 34),
)
BRIEF = ("conductor", "screw", "class", "conduit")  # topics of which only the tightest figures are told
TOLD = 3  # of each kind
FOLDED = 3  # so many unbounded figures of one kind, and more, stand side by side
HARD = "\u00a0"  # a blank at which no line ends
TIGHT = 3  # how many of the figures with least left open the sheet


def power_sheet(site: Site, door: Door, study: Study) -> Section:
    figures = tuple(_on_paper(figure, site.house) for figure in study.figures)
    noted = {note: n for n, note in enumerate(dict.fromkeys(f.note for f in figures if f.note), 1)}
    rows: list[tuple[Cell, ...]] = []
    aside: list[Facts] = []
    for topic, told in by_topic(figures).items():
        many, few = _parted(told)
        if few:
            rows += [(TOPICS[topic],), *_rows(few, topic, noted)]
        aside += [_folded(TOPICS[topic], kind, noted) for kind in many]
    return Section(
        key=f"{door.id}-power",
        title="Power sheet",
        blocks=blocks(
            Notes(tuple(map(_failure, filter(_fails, figures))), across=1, caption="Figures that do not hold", caution=True),
            _summary(figures),
            Table("", COLUMNS, tuple(rows)),
            *aside,
            release_curves(study.releases),
            Notes(tuple(map(typeset, study.missing)), caption="Not computed"),
            Notes(tuple(map(typeset, noted)), caption="Defaults and assumptions, by the numbers under From", numbered=True),
            Notes(_reading(door), caption="How to read this sheet"),
        ),
    )


def _reading(door: Door) -> tuple[str, ...]:
    return (
        "Least and most are the worst cases over all tolerances: volts of the source, length, temperature, coil, resistors.",
        f"Formula, inputs and source of every figure: wiregen study, --door {door.id}; and record.json of this packet.",
        "What is measured stands on the termination sheet and the test record; a figure is no reading.",
        "Wire sizes, fuses, circuit classes and fill are for a licensed electrician to confirm, to the local code.",
    )


def _on_paper(figure: Figure, house: House) -> Figure:
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


def _fails(figure: Figure) -> bool:
    return figure.margin is not None and figure.margin < 0


def _left(figure: Figure) -> float:
    """How far the worst is from the bound that it is nearest to, in the unit of the figure."""
    rooms = []
    if figure.floor is not None:
        rooms.append((figure.least - figure.floor, figure.floor))
    if figure.ceiling is not None:
        rooms.append((figure.ceiling - figure.most, figure.ceiling))
    return min(rooms, key=lambda room: room[0] / (abs(room[1]) or 1.0))[0]


def _margin(figure: Figure) -> str:
    """"1.3 V, +12 %"; a pure number or a class by its share alone.  Kept together where it is wrapped."""
    if figure.margin is None or isinf(figure.margin):
        return "no limit"
    share = percent(figure.margin).replace("-", "−")
    if figure.unit in ("", "1", "class"):
        return share.replace(" ", HARD)
    factor, unit = scale(_left(figure), figure.unit)
    left = abs(_left(figure)) / factor
    return f"{number(left, 2 if left < 100 else 3)} {unit}, {share}".replace(" ", HARD)


def _failure(figure: Figure) -> str:
    low = figure.floor is not None and figure.least < figure.floor
    worst = f"{quantity(figure.least if low else figure.most, figure.unit)} at the {'least' if low else 'most'}"
    why = f" ({figure.bound})" if figure.bound else ""
    cure = f".  What helps: {figure.cure}" if figure.cure else ""
    return typeset(f"{_called(figure)}: {worst}, must be {bound(figure)}{why}; fails by {_margin(figure)}{cure}.")


def _called(figure: Figure) -> str:
    """"Y1: volts, granted"; what its name says already is not said twice."""
    return f"{figure.about}: {figure.name}" if figure.about and figure.about not in figure.name else figure.name


def _summary(figures: Sequence[Figure]) -> Facts:
    limited = [f for f in figures if f.margin is not None]
    failing = sum(map(_fails, limited))
    tightest = sorted((f for f in limited if not _fails(f)), key=lambda f: f.margin or 0.0)[:TIGHT]
    if not limited:
        return Facts(())
    verdict = f"{plural(failing, 'does', 'do')} not hold" if failing else "all hold"
    rows = [("Figures", f"{len(figures)}, of them {len(limited)} with a limit: {verdict}")]
    if tightest:
        rows.append(("Least left", "; ".join(f"{_called(f)} {_margin(f)}" for f in tightest)))
    return Facts(tuple(rows), across=1, caption="In short")


def _parted(figures: Sequence[Figure]) -> tuple[list[list[Figure]], list[Figure]]:
    """Kinds of which there are many and none has a limit; and all other figures, in the order of the study."""
    kinds: dict[tuple[str, str, str], list[Figure]] = {}
    for figure in figures:
        kinds.setdefault((figure.name, figure.formula, figure.source), []).append(figure)
    many = [kind for kind in kinds.values() if len(kind) >= FOLDED and all(f.margin is None for f in kind)]
    return many, [figure for figure in figures if not any(figure in kind for kind in many)]


def _rows(figures: Sequence[Figure], topic: str, noted: Mapping[str, int]) -> list[tuple[Cell, ...]]:
    """Figures that read alike in one row; in brief, of each kind what fails and the tightest."""
    alike: dict[tuple[Cell, ...], list[Figure]] = {}
    for figure in figures:
        alike.setdefault(_cells(figure, topic == "budget", noted), []).append(figure)
    rows = {cells: (Strong(named(f.about for f in group)), *cells) for cells, group in alike.items()}
    if topic not in BRIEF:
        return list(rows.values())
    kinds: dict[str, list[tuple[Cell, ...]]] = {}
    for cells, group in alike.items():
        kinds.setdefault(group[0].name, []).append(cells)
    told: list[tuple[Cell, ...]] = []
    for name, kind in kinds.items():
        kind.sort(key=lambda cells: _urgency(alike[cells][0]))
        shown = max(TOLD, sum(_fails(alike[cells][0]) for cells in kind))
        more = [f for cells in kind[shown:] for f in alike[cells]]
        if len(more) < 2:
            shown, more = len(kind), []
        told += [rows[cells] for cells in kind[:shown]]
        if more:
            told.append(("", f"{name}: {len(more)} more, none with less left"))
    return told


def _urgency(figure: Figure) -> float:
    return inf if figure.margin is None else figure.margin


def _cells(figure: Figure, uses: bool, noted: Mapping[str, int]) -> tuple[Cell, ...]:
    sizes = (figure.least, figure.value, figure.most)
    factor, unit = scale(max((abs(size) for size in sizes if not isinf(size)), default=0.0), figure.unit)
    least, nominal, most = ("no limit" if isinf(size) else number(size / factor) for size in sizes)
    band = ("", Strong(nominal), "") if least == nominal == most else (least, Strong(nominal), most)
    came = typeset(_from(figure, uses, noted))
    if figure.margin is None:
        return (figure.name, *band, unit, came)
    must = typeset(_signed(figure) + (f" ({figure.bound})" if figure.bound else ""))
    left = Fails(f"FAILS by {_margin(figure)}") if _fails(figure) else _margin(figure)
    return (figure.name, *band, unit, came, must, Gauge(*sizes, figure.floor, figure.ceiling), left)


def _signed(figure: Figure) -> str:
    """The bound in short: "≥ 10.2 V"."""
    return bound(figure).replace("at least", "≥").replace("at most", "≤")


def _from(figure: Figure, uses: bool, noted: Mapping[str, int]) -> str:
    """In short where a figure comes from: what it adds up, what a hand check gives, its source, the note that it has."""
    said = [_inputs(figure)] if uses and figure.inputs else []
    if figure.hand is not None:
        said.append(f"network; by hand {quantity(figure.hand, figure.unit)}")
    elif not uses or not figure.inputs:
        said.append(figure.source)
    if figure.note:
        said.append(f"note {noted[figure.note]}")
    return "; ".join(said)


def _inputs(figure: Figure) -> str:
    parts = (
        f"{name.replace('_', ' ')} {quantity(value, figure.units.get(name, ''))}" for name, value in figure.inputs.items()
    )
    return ", ".join(parts)


def _folded(topic: str, kind: Sequence[Figure], noted: Mapping[str, int]) -> Facts:
    """Figures of one kind without a limit, side by side; what they share stands in the caption."""
    first = kind[0]
    said: dict[str, list[str]] = {}
    for f in kind:
        band = "" if f.least == f.value == f.most else f" ({spread(f.least, f.most, f.unit)})"
        said.setdefault(quantity(f.value, f.unit) + band, []).append(f.about)
    rows = tuple((named(about), value) for value, about in said.items())
    said_once = dict.fromkeys((first.name, *typeset(_from(first, False, noted)).split("; ")))
    return Facts(rows, across=3, caption=f"{topic}: {'; '.join(said_once)}")

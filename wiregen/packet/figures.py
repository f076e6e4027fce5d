"""The figures of a study on paper: value, least and most, formula with its inputs, source."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from wiregen.packet.content import Column, Facts, Table
from wiregen.packet.wording import number, quantity, spread
from wiregen.study.model import Figure, Study


def figures(study: Study) -> list[Table | Facts]:
    """One table; figures of many that are worked out alike stand together below it, what they share in the caption."""
    alike: dict[tuple[str, str, str], list[Figure]] = {}
    for f in study.figures:
        alike.setdefault((f.name, f.formula, f.source), []).append(f)
    many = {key for key, of in alike.items() if len(of) >= 3}
    rows = tuple(
        (f.about, f.name, quantity(f.value, f.unit), spread(f.least, f.most, f.unit), f.formula + _inputs(f.inputs), f.source)
        for f in study.figures
        if (f.name, f.formula, f.source) not in many
    )
    table = Table(
        "Figures, from ratings (inputs in volts, amperes, ohms, watts, metres)",
        (
            Column("About", 16),
            Column("Figure", 24),
            Column("Nominal", 12),
            Column("Least to most", 18),
            Column("Formula and inputs", 62),
            Column("Source", 32),
        ),
        rows,
    )
    return [table, *(_together(alike[key]) for key in alike if key in many)]


def _together(figures: Sequence[Figure]) -> Facts:
    first = figures[0]
    shared = {n: v for n, v in first.inputs.items() if all(f.inputs[n] == v for f in figures)}
    rows = []
    for f in figures:
        own = {n: v for n, v in f.inputs.items() if n not in shared}
        values = dict.fromkeys((quantity(f.value, f.unit), spread(f.least, f.most, f.unit)))
        rows.append((f.about, ", ".join(values) + _inputs(own)))
    caption = f"{first.name[:1].upper()}{first.name[1:]}: {first.formula}{_inputs(shared)}; {first.source}"
    return Facts(tuple(rows), across=3, caption=caption)


def _inputs(inputs: Mapping[str, float]) -> str:
    return ": " + ", ".join(f"{name} {number(value, 5)}" for name, value in inputs.items()) if inputs else ""

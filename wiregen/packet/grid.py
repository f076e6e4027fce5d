"""A table for other programs: titles and rows of texts and numbers, the same in a CSV file and in the workbook."""

from __future__ import annotations

import csv
import io
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass

Value = str | float | int | None  # None: nothing is said


@dataclass(frozen=True)
class Grid:
    """`name` is that of the file and of the sheet.  A title ends in the unit of the numbers below it: "length m"."""

    name: str
    titles: tuple[str, ...]
    rows: tuple[tuple[Value, ...], ...]


def grid(name: str, titles: Sequence[str], rows: Iterable[Sequence[Value]]) -> Grid:
    """ValueError where a row is longer or shorter than the titles."""
    made = tuple(tuple(row) for row in rows)
    for row in made:
        if len(row) != len(titles):
            raise ValueError(f"{name}: {len(row)} cells under {len(titles)} titles")
    return Grid(name, tuple(titles), made)


def csv_files(grids: Iterable[Grid]) -> Mapping[str, str]:
    """File name → text by RFC 4180."""
    return {f"{each.name}.csv": as_csv(each) for each in grids}


def as_csv(table: Grid) -> str:
    out = io.StringIO(newline="")
    writer = csv.writer(out)
    writer.writerow(table.titles)
    writer.writerows([written(cell) for cell in row] for row in table.rows)
    return out.getvalue()


def written(cell: Value) -> str:
    """A cell as text: numbers with nine figures, and no text that a spreadsheet would take for a formula.

    Such a text gets an apostrophe before it (OWASP, "CSV Injection").
    """
    if cell is None:
        return ""
    if not isinstance(cell, str):
        return f"{cell:.9g}"
    return f"'{cell}" if cell.lstrip(" ")[:1] in ("=", "+", "-", "@", "\t", "\r", "\n") else cell

"""What the columns of a door list mean: headings as architects and integrators write them, in any order."""

from __future__ import annotations

import difflib
import re
from collections.abc import Collection, Iterator, Sequence
from dataclasses import dataclass, replace
from itertools import zip_longest
from typing import Any

from wiregen.entering.cells import Cell
from wiregen.entering.entry import Entry
from wiregen.reading.model import Problem, SpecError, Where

# By key of an Entry; the first word of each is that which messages use.
HEADINGS = {
    "door": ("door", "door id", "door no", "door nr", "door number", "door mark", "id", "no", "nr", "number", "mark"),
    "name": ("name", "door name", "description", "room", "room name"),
    "kit": ("kit", "type", "kind", "door type", "door kit", "hardware", "hardware set", "hardware group", "hw set", "set"),
    "feed": ("feed", "fed from", "fed by", "power", "power from", "power supply", "supply", "source"),
    "closet": ("closet", "cable from", "run from", "from closet", "wiring closet", "cabinet", "riser"),
    "length": ("length", "cable length", "run length", "run", "cable run", "home run", "distance"),
    "fire_rating": ("fire rating", "fire", "fire rated", "fire class", "fire label", "rating", "label"),
    "notes": ("notes", "note", "remarks", "remark", "comments", "comment"),
}  # fmt: skip
MEANS = {heading: key for key, headings in HEADINGS.items() for heading in headings}
NEAR = 0.81  # a heading as like as this to a known one is a slip of the pen; another column of the list is not
RUN_WORDS = frozenset({"length", "run", "cable", "to", "of"})
UNIT = re.compile(r"[(\[]\s*(m|mm|cm|ft|in)\s*[)\]]")
COMMA = re.compile(r"(?<=\d),(?=\d)")
LOOSE = re.compile(r"(?:~|≈|ca\.?|approx\.?|abt\.?)\s*(?=\d)", re.IGNORECASE)


@dataclass(frozen=True)
class Column:
    """`key` of an Entry; `lengths` and `about` have a `part` each: the place, the heading.  `unit`, where it names one."""

    key: str
    part: str = ""
    unit: str = ""

    def alike(self, other: Column) -> bool:
        return (self.key, self.part) == (other.key, other.part)

    @property
    def spoken(self) -> str:
        return f"the length to {self.part}" if self.key == "lengths" else self.part or HEADINGS[self.key][0]


def entries(rows: Sequence[Sequence[Cell]], file: str, places: Collection[str], unit: str) -> tuple[list[Entry], list[Problem]]:
    """The doors of a list and what is wrong with rows.  `places` are those of runs that the kits know, `unit` that of lengths
    without one.

    Raises SpecError where the list has no usable heading.
    """
    at = next((n for n, row in enumerate(rows) if sum(_words(cell.text) in MEANS for cell in row) > 1), None)
    if at is None:
        wrong, instead = "no row of headings", "begin with one, such as door, name, kit, length, notes"
        raise SpecError((Problem(Where(file, 1, 1), "", wrong, instead),))
    columns, problems = _columns(rows[at], places)
    if problems:
        raise SpecError(tuple(problems))
    if not rows[at + 1 :]:
        raise SpecError((Problem(rows[at][0].where, "", "there is no door below the headings", "write a row a door"),))
    found = []
    for row in rows[at + 1 :]:
        headed = zip_longest(columns, row[: len(columns)])
        given = {column: cell for column, cell in headed if column and cell and cell.text}
        problems += (_beyond(cell) for n, cell in enumerate(row) if cell.text and (n >= len(columns) or not columns[n]))
        missing = {"door", "kit"} - {column.key for column in given}
        problems += (_missing(key, columns, row) for key in sorted(missing))
        if not missing:
            found.append(Entry(**_keys(given, unit)))
    return found, problems


def _words(heading: str) -> str:
    """A heading without unit, marks and capitals."""
    return " ".join(re.sub(r"[^\w]+|_", " ", UNIT.sub(" ", heading.casefold())).split())


def _columns(row: Sequence[Cell], places: Collection[str]) -> tuple[list[Column | None], list[Problem]]:
    """What each column means; None where it has no heading."""
    columns: list[Column | None] = []
    problems = []
    for cell in row:
        column = _column(cell, places) if cell.text else None
        if isinstance(column, Problem):
            problems.append(column)
            column = None
        elif column is not None and any(column.alike(other) for other in columns if other):
            problems.append(Problem(cell.where, "", f"{cell.text}: a second column for {column.spoken}", "keep one"))
        columns.append(column)
    lacking = {"door", "kit"} - {column.key for column in columns if column}
    if not problems:
        problems = [_no_column(key, row[0]) for key in sorted(lacking)]
    return columns, problems


def _column(cell: Cell, places: Collection[str]) -> Column | Problem:
    words = _words(cell.text)
    unit = UNIT.search(cell.text.casefold())
    if words in MEANS:
        return Column(MEANS[words], unit=unit[1] if unit else "")
    spoken = [word for word in words.split() if word not in RUN_WORDS]
    if "-".join(spoken) in places and (unit or len(spoken) < len(words.split())):
        return Column("lengths", "-".join(spoken), unit[1] if unit else "")
    near = difflib.get_close_matches(words, MEANS, n=1, cutoff=NEAR)
    if near:
        return Problem(cell.where, "", f"there is no column {cell.text}", f"did you mean {near[0]}?")
    return Column("about", cell.text)


def _keys(given: dict[Column, Cell], unit: str) -> dict[str, Any]:
    """The cells of a row under the keys of an Entry."""
    keys: dict[str, Any] = {"lengths": {}, "about": {}}
    for column, cell in given.items():
        if column.key in ("length", "lengths"):
            cell = replace(cell, text=_length(cell.text, column.unit or unit))
        if column.key in ("lengths", "about"):
            keys[column.key][column.part] = cell
        else:
            keys[column.key] = cell
    return keys


def _length(text: str, unit: str) -> str:
    """`~35,5` as `about 35.5 m`: as people write lengths, and as the spec language does."""
    text = LOOSE.sub("about ", COMMA.sub(".", text))
    return f"{text} {unit}" if text[-1:].isdigit() else text


def _missing(key: str, columns: Sequence[Column | None], row: Sequence[Cell]) -> Problem:
    at = next(n for n, column in enumerate(columns) if column and column.key == key)
    where = row[at].where if at < len(row) else row[-1].where
    return Problem(where, "", f"the row has no {key}", "write one, or take the row out")


def _beyond(cell: Cell) -> Problem:
    wrong = f"{cell.text} stands in a column without a heading"
    return Problem(cell.where, "", wrong, "give it one; put a cell with a comma inside in quotes")


def _no_column(key: str, first: Cell) -> Problem:
    return Problem(first.where, "", f"no column for the {key}", f"head one {' or '.join(HEADINGS[key][:4])}")


def said(entries: Sequence[Entry]) -> Iterator[str]:
    """The headings that mean nothing to a spec and are printed with what the door's sheet says about it."""
    yield from dict.fromkeys(heading for entry in entries for heading in entry.about)

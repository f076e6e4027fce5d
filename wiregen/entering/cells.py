"""A list as cells that remember where they stand: CSV by RFC 4180, as spreadsheets write it.

The standard library reads such files too, but does not say in which column of its line a cell begins.
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import dataclass
from functools import cache

from wiregen.reading.model import Problem, SpecError, Where

LARGEST_FILE = 1_000_000  # bytes
SEPARATORS = (",", ";", "\t")
DECLARED = re.compile(r"sep=([,;\t])[ \t]*(\r\n|\r|\n)", re.IGNORECASE)  # what Excel takes as a first line
LINE_END = re.compile(r"\r\n|\r|\n")


@dataclass(frozen=True)
class Cell:
    """One cell: its text without blanks at its ends, and the place where it begins."""

    text: str
    where: Where


def rows(raw: bytes, file: str) -> list[list[Cell]]:
    """The rows in which anything stands.  Raises SpecError with what makes the file no such list."""
    text = _decoded(raw, file)
    declared = DECLARED.match(text)
    problems: list[Problem] = []
    separator, start = (declared[1], declared.end()) if declared else (_separator(text), 0)
    found = [row for row in _rows(text, start, separator, file, problems) if any(cell.text for cell in row)]
    if problems:
        raise SpecError(tuple(problems))
    return found


def _decoded(raw: bytes, file: str) -> str:
    if len(raw) > LARGEST_FILE:
        raise SpecError((Problem(Where(file, 1, 1), "", "the list is larger than 1 MB", "split it"),))
    try:
        return raw.decode("utf-8-sig")
    except UnicodeDecodeError as error:
        lines = LINE_END.split(raw[: error.start].decode("utf-8-sig", "replace"))
        where = Where(file, len(lines), len(lines[-1]) + 1)
        raise SpecError((Problem(where, "", "the list is not UTF-8 text", "save it as CSV UTF-8"),)) from None


def _separator(text: str) -> str:
    """That which parts the most cells in the first line that is not empty."""
    line = next((line for line in LINE_END.split(text) if line.strip()), "")
    bare = re.sub(r'"(?:[^"]|"")*"', "", line)
    return max(SEPARATORS, key=bare.count)


@cache
def _cell(separator: str) -> re.Pattern[str]:
    """A cell and what ends it; a quoted one may hold anything, quotes twice."""
    return re.compile(rf'(?:"(?P<quoted>(?:[^"]|"")*)"[ \t]*(?=[{separator}\r\n]|\Z)|(?P<plain>[^{separator}\r\n]*))'
                      rf"(?P<end>{separator}|\r\n|\r|\n|\Z)")  # fmt: skip


def _rows(text: str, at: int, separator: str, file: str, problems: list[Problem]) -> Iterator[list[Cell]]:
    cell, row, line, begin = _cell(separator), [], 1 if at == 0 else 2, at
    while True:
        found = cell.match(text, at)
        assert found is not None  # an empty cell fits anywhere
        quoted, plain = found["quoted"], found["plain"]
        where = Where(file, line, at - begin + 1)
        if quoted is None and plain.startswith('"'):
            wrong = "the cell begins with a quote that is not closed"
            problems.append(Problem(where, "", wrong, 'close it at the end of the cell, and write a quote inside as ""'))
        row.append(Cell((plain if quoted is None else quoted.replace('""', '"')).strip(), where))
        for end in LINE_END.finditer(text, found.start(), found.end()):
            line, begin = line + 1, end.end()
        at = found.end()
        if found["end"] != separator:
            yield row
            if not found["end"]:
                return
            row = []

"""Cells against the reader of the standard library, and where they stand against a count by hand."""

from __future__ import annotations

import csv
import io

import pytest
from hypothesis import given
from hypothesis import strategies as st

from wiregen.entering.cells import rows

CELL = st.text(st.characters(codec="utf-8", exclude_characters="\ufeff\x00"), max_size=8)


@given(st.lists(st.lists(CELL, min_size=1, max_size=5), min_size=1, max_size=5), st.sampled_from([",", ";", "\t"]))
def test_cells_are_those_that_the_standard_library_reads(table: list[list[str]], separator: str) -> None:
    written = io.StringIO(newline="")
    csv.writer(written, delimiter=separator, quoting=csv.QUOTE_ALL).writerows(table)
    text = f"sep={separator}\r\n{written.getvalue()}"
    reader = csv.reader(io.StringIO(written.getvalue(), newline=""), delimiter=separator)
    read = [[cell.strip() for cell in row] for row in reader]
    assert [[cell.text for cell in row] for row in rows(text.encode(), "f")] == [row for row in read if any(row)]


@pytest.mark.parametrize("separator", [",", ";", "\t"])
@pytest.mark.parametrize("end", ["\n", "\r\n", "\r"])
@pytest.mark.parametrize("mark", ["", "\ufeff"])
def test_places(separator: str, end: str, mark: str) -> None:
    lines = ["id,name,notes", 'D1, one,"a', 'b ""c"", d",e', ",,", "D2,é,x"]
    text = end.join(line.replace(",", separator) for line in lines)
    found = rows((mark + text).encode(), "f")
    assert [[(str(cell.where), cell.text) for cell in row] for row in found] == [
        [("f:1:1", "id"), ("f:1:4", "name"), ("f:1:9", "notes")],
        [("f:2:1", "D1"), ("f:2:4", "one"), ("f:2:9", f'a{end}b "c"{separator} d'), ("f:3:13", "e")],
        [("f:5:1", "D2"), ("f:5:4", "é"), ("f:5:6", "x")],
    ]

"""The workbook, opened with another library (openpyxl): the same as the CSV files, numbers as numbers, nothing as a formula."""

from __future__ import annotations

import csv
import io
import os
import subprocess
import sys
import zipfile

import openpyxl
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from tests.packet.mill import mill
from wiregen.packet.grid import Grid, as_csv, csv_files, grid
from wiregen.packet.tables import tables
from wiregen.packet.workbook import CELL, workbook


@pytest.fixture(scope="module")
def grids() -> tuple[Grid, ...]:
    known = mill()
    return tables(known.site, known.wirings, known.studies)


def test_sheets_are_the_csv_files_cell_by_cell(grids: tuple[Grid, ...]) -> None:
    book = openpyxl.load_workbook(io.BytesIO(workbook(grids)))
    files = csv_files(grids)
    assert [f"{name}.csv" for name in book.sheetnames] == list(files)
    numbers = 0
    for sheet in book:
        told = list(csv.reader(io.StringIO(files[f"{sheet.title}.csv"], newline="")))
        assert (sheet.max_row, sheet.max_column) == (len(told), len(told[0]))
        for row, texts in zip(sheet.iter_rows(), told, strict=True):
            for cell, text in zip(row, texts, strict=True):
                assert cell.data_type != "f"
                if isinstance(cell.value, (int, float)):
                    numbers += 1
                    assert float(text) == cell.value
                else:
                    assert (cell.value or "") == text or f"'{cell.value}" == text
    assert numbers > 500


def test_a_workbook_of_many_rows_holds_the_same(grids: tuple[Grid, ...], monkeypatch: pytest.MonkeyPatch) -> None:
    held = _cells(workbook(grids))
    monkeypatch.setattr("wiregen.packet.workbook.HELD", 0)
    written = workbook(grids)
    assert _cells(written) == held
    assert written == workbook(grids)


def _cells(book: bytes) -> dict[str, list[tuple[object, ...]]]:
    opened = openpyxl.load_workbook(io.BytesIO(book), read_only=True)
    return {sheet.title: list(sheet.iter_rows(values_only=True)) for sheet in opened}


def test_titles_with_a_unit_stand_over_numbers(grids: tuple[Grid, ...]) -> None:
    for each in grids:
        for column, title in enumerate(each.titles):
            if title.split()[-1] in ("m", "A", "W"):
                assert not [row[column] for row in each.rows if isinstance(row[column], str)]


_cell = st.one_of(
    st.none(), st.floats(allow_nan=False), st.integers(-(10**9), 10**9),
    st.text(st.characters(codec="utf-8", exclude_categories=["Cc", "Cs"], exclude_characters="\ufffe\uffff"), max_size=20),
    st.sampled_from(["=1+1", "+1", "-1", "@x", "=HYPERLINK(1)", "http://x", "007", "{=1}", "1e5", "_x0041_"]),
)  # fmt: skip


@settings(deadline=None, max_examples=40)
@given(st.lists(st.tuples(_cell, _cell), max_size=4))
def test_any_cell_comes_back_as_what_it_is(rows: list[tuple[str | float | None, str | float | None]]) -> None:
    table = grid("t", ("one", "two"), rows)
    sheet = openpyxl.load_workbook(io.BytesIO(workbook([table])))["t"]
    for number, row in enumerate(rows, 2):
        for column, cell in enumerate(row, 1):
            found = sheet.cell(number, column)
            assert found.data_type != "f"
            assert found.hyperlink is None
            if isinstance(cell, str):
                assert (found.value or "") == cell
            elif cell is not None:
                assert str(float(found.value)) == str(float(f"{cell:.9g}"))
    for row in csv.reader(io.StringIO(as_csv(table), newline="")):
        assert not any(text.lstrip(" ")[:1] in ("=", "@") for text in row)


def test_a_text_longer_than_a_cell_says_where_it_goes_on() -> None:
    sheet = openpyxl.load_workbook(io.BytesIO(workbook([grid("t", ("one",), [("x" * (CELL + 1),)])])))["t"]
    assert len(sheet["A2"].value) == CELL
    assert sheet["A2"].value.endswith("… goes on in t.csv")


def test_its_bytes_know_no_clock_zone_or_locale() -> None:
    """In other processes, under other hash seeds, zones and locales; files lie in the archive uncompressed."""
    program = (
        "import sys; from wiregen.packet.grid import grid; from wiregen.packet.workbook import workbook;"
        "sys.stdout.buffer.write(workbook([grid('a', ('x', 'y'), [('=1', 2.5), ('ü', None)])]))"
    )
    made = {
        subprocess.run([sys.executable, "-c", program], env={**os.environ, **more}, stdout=subprocess.PIPE, check=True).stdout
        for more in (
            {"TZ": "Pacific/Auckland", "PYTHONHASHSEED": "1", "LC_ALL": "C"},
            {"TZ": "America/Lima", "PYTHONHASHSEED": "2", "LC_ALL": "de_DE.UTF-8"},
        )
    }
    assert len(made) == 1
    with zipfile.ZipFile(io.BytesIO(made.pop())) as archive:
        assert {(info.date_time, info.compress_type) for info in archive.infolist()} == {((1980, 1, 1, 0, 0, 0), 0)}
        assert b"1980-01-01T00:00:00Z" in archive.read("docProps/core.xml")

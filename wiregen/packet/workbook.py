"""All tables in one workbook (Office Open XML, ISO/IEC 29500), a sheet each; the same tables give the same bytes."""

from __future__ import annotations

import datetime
import shutil
import zipfile
from collections.abc import Iterable, Iterator
from dataclasses import replace
from io import BytesIO
from math import isfinite

import xlsxwriter

from wiregen.packet.grid import Grid

MADE = datetime.datetime(1980, 1, 1)  # the first moment that a ZIP file can name: no clock
ROWS, CELL = 1_000_000, 32_767  # rows of a sheet (1,048,576 with its head) and characters of a cell: limits of the format
HELD = 50_000  # rows; of more each is written out as it is set, and no text is kept to be named again
WIDEST = 60  # characters of a column


def workbook(grids: Iterable[Grid]) -> bytes:
    """Texts are texts, whatever they begin with, and numbers are numbers: no cell is a formula or leads anywhere."""
    parts = [part for whole in grids for part in _parted(whole)]
    many = sum(len(part.rows) for part in parts) > HELD
    packed = BytesIO()
    book = xlsxwriter.Workbook(
        packed,
        {"in_memory": not many, "constant_memory": many, "strings_to_formulas": False, "strings_to_urls": False,
         "strings_to_numbers": False},
    )  # fmt: skip
    book.set_properties({"created": MADE, "author": "", "comments": ""})
    bold = book.add_format({"bold": True})
    for each in parts:
        sheet = book.add_worksheet(each.name)
        sheet.freeze_panes(1, 0)
        for column, title in enumerate(each.titles):
            sheet.write_string(0, column, title, bold)
            longest = max((len(cell) for row in each.rows if isinstance(cell := row[column], str)), default=0)
            sheet.set_column(column, column, min(WIDEST, max(len(title), longest) + 2))
        for number, row in enumerate(each.rows, 1):
            for column, cell in enumerate(row):
                if isinstance(cell, str) or (cell is not None and not isfinite(cell)):
                    sheet.write_string(number, column, _held(str(cell), each.name))
                elif cell is not None:
                    sheet.write_number(number, column, float(f"{cell:.9g}"))
        if each.rows:
            sheet.autofilter(0, 0, len(each.rows), len(each.titles) - 1)
    book.close()
    return _stored(packed)


def _parted(table: Grid) -> Iterator[Grid]:
    """The table in sheets of no more rows than a sheet has."""
    yield replace(table, rows=table.rows[:ROWS])
    for number, start in enumerate(range(ROWS, len(table.rows), ROWS), 2):
        yield replace(table, name=f"{table.name} {number}", rows=table.rows[start : start + ROWS])


def _held(text: str, name: str) -> str:
    """No longer than a cell holds."""
    if len(text) <= CELL:
        return text
    more = f"… goes on in {name}.csv"
    return text[: CELL - len(more)] + more


def _stored(packed: BytesIO) -> bytes:
    """The archive with its files as they are: compressed ones would depend on the library that compresses."""
    out = BytesIO()
    with zipfile.ZipFile(packed) as old, zipfile.ZipFile(out, "w", zipfile.ZIP_STORED) as new:
        for name in sorted(old.namelist()):
            entry = zipfile.ZipInfo(name, MADE.timetuple()[:6])
            entry.file_size = old.getinfo(name).file_size
            with old.open(name) as source, new.open(entry, "w") as target:
                shutil.copyfileobj(source, target)
    return out.getvalue()

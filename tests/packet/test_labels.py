"""Labels: the printed sheets read back, held against the conductor list and against the cells that they are printed in."""

from __future__ import annotations

import csv
import io
from collections import Counter
from collections.abc import Iterator
from dataclasses import replace

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from tests.packet.mill import mill
from tests.packet.pages import opened
from wiregen.fonts import CAP, width
from wiregen.packet.grid import csv_files
from wiregen.packet.label_sheets import SMALLEST, fitted, label_sheets
from wiregen.packet.labels import Label, labels
from wiregen.packet.tables import tables
from wiregen.reading.model import LabelSheet
from wiregen.reading.shared import SITE

MM = 72 / 25.4


def _cells(pdf: bytes, sheet: LabelSheet) -> Iterator[tuple[str, ...]]:
    """The lettering of each cell, line by line; every character lies in the cell that its label has by the site's measures."""
    with opened(pdf) as document:
        for page in document.pages:
            found: dict[tuple[int, int], dict[float, list[str]]] = {}
            for char in page.chars:
                x, y = char["x0"] / MM / 1000, char["top"] / MM / 1000
                column, row = int((x - sheet.left) // sheet.across), int((y - sheet.top) // sheet.down)
                left, top = sheet.left + column * sheet.across, sheet.top + row * sheet.down
                assert 0 <= column < sheet.columns
                assert 0 <= row < sheet.rows
                assert left <= x <= char["x1"] / MM / 1000 <= left + sheet.wide
                assert top <= y <= char["bottom"] / MM / 1000 <= top + sheet.tall
                found.setdefault((row, column), {}).setdefault(round(char["bottom"], 1), []).append(char["text"])
            for at in sorted(found):
                yield tuple("".join(found[at][line]).strip() for line in sorted(found[at]))


@pytest.fixture(scope="module")
def printed() -> list[tuple[str, ...]]:
    known = mill()
    assert known.site.labels is not None
    return list(_cells(label_sheets(tuple(labels(known.wirings)), known.site.labels, "x"), known.site.labels))


def test_both_ends_of_every_conductor_have_their_label(printed: list[tuple[str, ...]]) -> None:
    wanted = Counter(
        (f"{of} {c.wire}", str(near), f"→ {far}")
        for of, wiring in mill().wirings.items()
        for c in wiring.conductors
        for near, far in ((c.a, c.b), (c.b, c.a))
    )
    assert len(wanted) > 100
    assert {label: n for label, n in Counter(printed).items() if label in wanted} == wanted


def test_both_ends_of_every_cable_and_each_device_have_theirs(printed: list[tuple[str, ...]]) -> None:
    known, heads = mill(), Counter(label[0] for label in printed)
    for of, wiring in known.wirings.items():
        for ref in (*wiring.cables, *(link.ref for link in wiring.links)):
            assert heads[f"{of} {ref}"] == 2
        devices = known.site.shared if of == SITE else known.site.doors[of].devices
        assert [heads[f"{of} {ref}"] for ref in devices] == [1] * len(devices)
        for link in wiring.links:
            assert (f"{of} {link.ref}", str(link.a), f"→ {link.b}") in printed
    conductors = sum(len(w.conductors) for w in known.wirings.values())
    cables = sum(len(w.cables) + len(w.links) for w in known.wirings.values())
    own = sum(d.origin == "stock" or ((d.origin == "site") == (of == SITE) and d.origin != "other door")
              for of, w in known.wirings.items() for d in w.devices.values())  # fmt: skip
    spares = sum(wire is None for w in known.wirings.values() for cable in w.cables.values() for _, wire in cable.cores)
    assert len(printed) == 2 * conductors + 2 * cables + 2 * spares + own


def test_both_ends_of_every_spare_core_have_their_label(printed: list[tuple[str, ...]]) -> None:
    wanted: Counter[tuple[str, ...]] = Counter()
    for door, wiring in mill().wirings.items():
        for cable in wiring.cables.values():
            ends = cable.along[0], cable.along[-1]
            for core in (core for core, wire in cable.cores if wire is None):
                wanted.update((f"{door} {cable.ref} {core}", "spare", f"→ {there}") for there in ends)
    assert wanted
    assert {label: n for label, n in Counter(printed).items() if label in wanted} == wanted


def test_a_label_printer_gets_the_same_as_a_table(printed: list[tuple[str, ...]]) -> None:
    known = mill()
    told = csv_files(tables(known.site, known.wirings, known.studies))["labels.csv"]
    rows = list(csv.DictReader(io.StringIO(told, newline="")))
    assert [tuple(filter(None, (r["line 1"], r["line 2"], r["line 3"]))) for r in rows] == [
        label.lines for label in labels(known.wirings)
    ]
    assert len(rows) == len(printed)
    assert {r["place"] for r in rows if r["door"] == "D1" and r["line 2"].startswith("Y1:")} == {"frame"}


SMALL = LabelSheet("A4", rows=30, columns=8, across=0.025, down=0.009, left=0.004, top=0.008, wide=0.024, tall=0.0085)


def test_small_cells_hold_their_lettering_too() -> None:
    known = mill()
    told = tuple(labels(known.wirings))
    assert len(list(_cells(label_sheets(told, SMALL, "x"), SMALL))) == len(told)


def test_the_same_labels_give_the_same_bytes_and_a_new_sheet_begins_where_one_is_full() -> None:
    told = tuple(Label("device", "D1", f"A{n}", "box", (f"D1 A{n}",)) for n in range(SMALL.rows * SMALL.columns + 1))
    pdf = label_sheets(told, SMALL, "x")
    assert pdf == label_sheets(told, SMALL, "x")
    with opened(pdf) as document:
        assert [len(page.extract_words()) for page in document.pages] == [2 * SMALL.rows * SMALL.columns, 2]
    letter = replace(SMALL, paper="letter", rows=1, columns=1)
    with opened(label_sheets(told[:1], letter, "x")) as document:
        (page,) = document.pages
        assert (float(page.width), float(page.height)) == pytest.approx((8.5 * 72, 11 * 72))


_line = st.text("ABCxyz0189:-→ Ωü", min_size=1, max_size=50).map(str.strip).filter(bool)


@settings(deadline=None, max_examples=100)
@given(st.lists(_line, min_size=1, max_size=3), st.floats(12, 90), st.floats(4, 40), st.integers(1, 99_999))
def test_lettering_fits_any_cell_and_loses_nothing(lines: list[str], wide: float, tall: float, number: int) -> None:
    size, told = fitted(lines, number, wide * MM, tall * MM)
    assert all(width(text, size, bold) <= wide * MM + 0.01 for text, bold in told)
    assert size * (CAP + 0.25 + 1.2 * (len(told) - 1)) <= tall * MM + 0.01 or size <= SMALLEST
    joined = "".join(text for text, _ in told).replace(" ", "")
    assert joined in ("".join(lines).replace(" ", ""), f"row{number}")

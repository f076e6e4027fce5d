"""The CSV tables: what they hold, and that no cell of them can be taken for a formula."""

from __future__ import annotations

import csv
import io
import re
from collections.abc import Mapping
from dataclasses import replace

import pytest

from tests.packet import synthetic
from tests.packet.again import again
from tests.packet.by_hand import DOOR, PIECES
from wiregen.packet.grid import csv_files
from wiregen.packet.tables import tables
from wiregen.reading.model import Site
from wiregen.study.model import Study
from wiregen.wiring.model import Wiring


def _csv(site: Site, wirings: Mapping[str, Wiring], studies: Mapping[str, Study]) -> Mapping[str, str]:
    return csv_files(tables(site, wirings, studies))


def _rows(text: str) -> list[dict[str, str]]:
    return list(csv.DictReader(io.StringIO(text, newline="")))


def test_terminations_are_the_conductors(site: Site, wiring: Wiring, study: Study) -> None:
    rows = _rows(_csv(site, {DOOR: wiring}, {DOOR: study})["terminations.csv"])
    wanted = sorted(tuple(line.split()[:4]) for line in PIECES.strip().splitlines())
    assert sorted((r["wire"], r["from"], r["to"], r["colour"]) for r in rows) == wanted


def test_cables_carry_length_and_spares(site: Site, wiring: Wiring, study: Study) -> None:
    rows = {r["cable"]: r for r in _rows(_csv(site, {DOOR: wiring}, {DOOR: study})["cables.csv"])}
    assert rows["W3"]["used"] == "2"
    assert rows["W3"]["spare"] == "RD, YE, GN, BU"
    assert (rows["W4"]["length m"], rows["W4"]["assumed"]) == ("5", "yes")
    assert rows["L1"]["type"] == "link-cat6"


def test_materials_count_devices_and_stock(site: Site, wiring: Wiring, study: Study) -> None:
    """Worked by hand from the door: 3 m + 4 m + 5 m of signal cable, 4 m of power cable, a tenth more of both; one diode."""
    rows = {(r["of"], r["type"], r["name"]): r for r in _rows(_csv(site, {DOOR: wiring}, {DOOR: study})["materials.csv"])}
    of = {(heading, type_): row["quantity"] + row["unit"] for (heading, type_, _), row in rows.items()}
    assert of["From stock", "cable-6x0.22"] == "13.2m"
    assert of["From stock", "cable-2x1.0"] == "4.4m"
    assert of["From stock", "diode-1a"] == "1"
    assert of["Doors without a kit", "strike-12"] == "1"
    assert of["Site, shared", "poe-switch-16"] == "1"


@pytest.mark.parametrize("start", ["=", "+", "-", "@", "\t", "\r", " ="])
def test_a_cell_that_begins_like_a_formula_is_quoted(site: Site, wiring: Wiring, study: Study, start: str) -> None:
    """OWASP, "CSV Injection": = + - @, tab and carriage return at the start of a cell."""
    bad = f"{start}HYPERLINK(1)"
    first, *others = wiring.conductors
    worded = replace(wiring, conductors=(replace(first, function=bad), *others))
    rows = _rows(_csv(site, {DOOR: worded}, {DOOR: study})["terminations.csv"])
    assert [r["function"] for r in rows if r["wire"] == first.wire] == [f"'{bad}"]
    assert not any(cell.strip(" ").startswith(("=", "+", "-", "@")) for row in rows for cell in row.values())


def test_tables_are_utf_8_text(site: Site, wiring: Wiring, study: Study) -> None:
    text = _csv(site, {DOOR: wiring}, {DOOR: study})["terminations.csv"]
    assert "Ω" in text.encode("utf-8").decode("utf-8")


def test_figures_can_be_worked_out_again_from_their_row(site: Site, wiring: Wiring) -> None:
    rows = _rows(_csv(site, {DOOR: wiring}, {DOOR: synthetic.study(DOOR)})["figures.csv"])
    assert len(rows) == len(synthetic.figures())
    for row in rows:
        inputs = {name: float(value) for name, value in re.findall(r"(\w+) = (\S+)", row["inputs"])}
        assert again(row["formula"], inputs) == pytest.approx(float(row["by hand"] or row["value"]), rel=1e-6)


def test_a_margin_below_nothing_is_a_number(site: Site, wiring: Wiring) -> None:
    rows = _rows(_csv(site, {DOOR: wiring}, {DOOR: synthetic.study(DOOR)})["figures.csv"])
    margins = [float(row["margin"]) for row in rows if row["margin"]]
    assert sum(margin < 0 for margin in margins) == 5
    assert min(margins) == pytest.approx((1.1 - 1.2) / 1.1)

"""The redline form is one page to write on; what comes back stands on the termination sheet and in the record."""

from __future__ import annotations

import json
from dataclasses import replace
from functools import cache
from typing import Any

import jsonschema
import pytest

from tests.demo import site_of
from tests.packet.pages import opened
from tests.proof.expect import from_wiring
from tests.proof.ink import prove
from tests.proof.printing import print_door
from wiregen.packet.content import Section, Strong, Table
from wiregen.packet.marking import running
from wiregen.packet.press import press
from wiregen.packet.record import door_record
from wiregen.packet.redline import redline_form
from wiregen.packet.termination import termination_sheet
from wiregen.packet.typeset import Part, typeset
from wiregen.reading.model import AsBuilt, Band, Door, Site, Target, Where
from wiregen.reading.schema import folder
from wiregen.study.model import Study
from wiregen.wiring.model import Wiring
from wiregen.wiring.wire import wire_door

HERE = Where("D104.yaml", 1, 1)
KEYS = dict.fromkeys(("wire", "from", "to", "colour", "length", "note"), HERE)
FOUND = (
    AsBuilt("S102b", HERE, KEYS, colour="GN", note="white core broken", by="R. Pike", date="2026-12-03"),
    AsBuilt("A102b", HERE, KEYS, from_=Target("A1", terminal="0V2")),
    AsBuilt("FB105a", HERE, KEYS, length=Band(47.0, 47.0, 47.0, "m", "47 m")),
    AsBuilt("A113a", HERE, KEYS, from_=Target("A1", terminal="AUX2")),
)


@cache
def wired(corrected: bool = False) -> tuple[Site, Door, Wiring]:
    site = site_of("fernhill")
    door = replace(site.doors["D104"], as_built=FOUND if corrected else ())
    return site, door, wire_door(site, door)


def rows(section: Section, *titles: str) -> dict[str, list[str]]:
    """Rows by their first cell, of the last table that has these titles."""
    tables = [b for b in section.blocks if isinstance(b, Table) and {c.title for c in b.columns} >= set(titles)]
    table = tables[-1]
    texts = [[cell.text if isinstance(cell, Strong) else cell for cell in row] for row in table.rows]
    return {row[0]: [cell for cell in row if isinstance(cell, str)] for row in texts if isinstance(row[0], str)}


@pytest.mark.parametrize("paper", ["A4", "letter"])
def test_the_form_is_one_page(paper: str) -> None:
    site, door, wiring = wired()
    form = redline_form(site, door, wiring)
    part = Part(form, running(site, door, form.title, "0" * 64), ())
    with opened(press(typeset([part], paper), paper, title="", author="", subject="")) as document:  # type: ignore[arg-type]
        (page,) = document.pages
        text = page.extract_text()
        boxes = [r for r in page.rects if r["width"] > 20]
    assert all(word in text for word in ("Wire", "From", "To", "Colour, core", "instead", "By", "Date", "Sketch", "as-built"))
    assert "Known already" not in text
    assert len(boxes) >= 1


def test_the_ink_of_the_wiring_sheet_is_what_is_built() -> None:
    site, door, wiring = wired(corrected=True)
    assert prove(print_door(site, door, wiring), from_wiring(wiring)) == []


def test_rows_of_the_termination_sheet_say_what_was_there() -> None:
    site, door, wiring = wired(corrected=True)
    table = rows(termination_sheet(site, door, wiring, Study(door=door.id)), "Wire", "Function")
    assert {"GN (was WH)", "W7 (was WH)", "lock +, chain; as built: white core broken"} <= set(table["S102b"])
    assert "A1:0V2 in box (was A1:0V3)" in table["A102b"]
    assert "A1:DOOR in box (found on A1:AUX2)" in table["A113a"]


def test_the_next_form_says_what_is_known_already() -> None:
    known = rows(redline_form(*wired(corrected=True)), "Wire", "By")
    assert known["S102b"][3:] == ["GN, was WH", "", "white core broken", "R. Pike", "2026-12-03"]
    assert known["FB105a"][4] == "47 m, was 55 m"
    assert known["A102b"][1] == "A1:0V2, was A1:0V3"


def test_the_record_has_both() -> None:
    site, door, wiring = wired(corrected=True)
    told: Any = door_record(site, door, wiring, Study(door=door.id), {}, "")
    of = {c["wire"]: c for c in told["conductors"]}
    assert (of["S102b"]["colour"], of["S102b"]["core"]) == ("GN", "GN")
    assert of["S102b"]["as-built"]["was"] == {"core": "WH", "colour": "WH"}
    assert (of["FB105a"]["length_m"], of["FB105a"]["as-built"]["was"]) == (47, {"length_m": 55})
    assert (of["A113a"]["from"], of["A113a"]["as-built"]["landed-off"]) == ("A1:DOOR", {"from": "A1:AUX2"})
    assert of["A105a"]["as-built"] is None
    schema = json.loads((folder() / "record.json").read_text("utf-8"))
    check = jsonschema.Draft202012Validator({**schema, **schema["$defs"]["conductor"], "required": []})
    assert [error.message for c in of.values() for error in check.iter_errors(c)] == []

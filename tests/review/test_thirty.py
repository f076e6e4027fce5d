"""The trade's thirty: what answers each of them is there: rules, keys of the language, steps that the demo's packet prints."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from functools import cache

import pytest

from tests import demo
from tests.faults.doors import trials
from tests.packet.pages import locks_of
from wiregen.build import Examined
from wiregen.faults.upkeep import upkeep
from wiregen.packet.commissioning import test_record as record_of_tests
from wiregen.packet.content import Block, Cell, Facts, GoTo, Notes, Section, Strong, Table
from wiregen.packet.datasheet import data_sheet
from wiregen.packet.doing import what_it_does
from wiregen.packet.egress import egress_list
from wiregen.packet.fault_guide import fault_guide
from wiregen.packet.materials import materials_list
from wiregen.packet.power import power_sheet
from wiregen.packet.release_page import release_page
from wiregen.packet.schedule import cable_schedule
from wiregen.packet.termination import termination_sheet
from wiregen.reading.schema import _at
from wiregen.reading.shared import SITE
from wiregen.review.review import RULES
from wiregen.review.thirty import Mistake, thirty


@cache
def pages() -> dict[str, list[str]]:
    """The rows of the demo's pages, by the title of the page; what stands in cells with a bar between."""
    found: dict[str, list[str]] = {}
    for section in (*(section for site in demo.SITES for section in _sections(demo.examined(site))), _fault_guide()):
        for block in section.blocks:
            found.setdefault(section.title, []).extend(_rows(block))
    return found


def _sections(of: Examined) -> Iterator[Section]:
    for door in of.site.doors.values():
        wiring, study = of.wirings[door.id], of.studies[door.id]
        yield data_sheet(of.site, door, wiring, [f for f in of.findings if f.door == door.id], study)
        yield termination_sheet(of.site, door, wiring, study)
        yield power_sheet(of.site, door, study)
        yield from filter(None, (what_it_does(of.site, door, wiring, study),))
        yield from filter(None, (release_page(of.site, door, wiring, of.wirings.get(SITE)),))
        yield record_of_tests(of.site, door, wiring, study, 0)
    yield cable_schedule(of.site, of.wirings)
    yield materials_list(of.site, of.wirings)
    yield egress_list(of.site, locks_of(of.site, of.wirings))


def _rows(block: Block) -> Iterator[str]:
    match block:
        case Table():
            yield block.caption
            yield from (" | ".join(map(_text, row)) for row in (tuple(c.title for c in block.columns), *block.rows))
        case Facts():
            yield block.caption
            yield from (" | ".join(row) for row in block.rows)
        case Notes():
            yield from (block.caption, *block.items)


def _text(cell: Cell) -> str:
    return cell if isinstance(cell, str) else cell.text if isinstance(cell, (Strong, GoTo)) else ""


def _fault_guide() -> Section:
    """The one of a door with a strike; faults are worked out for pages alone."""
    of = demo.examined("fernhill")
    guide = fault_guide(of.site.doors["D118"], replace(of.studies["D118"], upkeep=upkeep(trials("D118"))))
    assert guide is not None
    return guide


def _resolved(key: str) -> bool:
    """Whether a path of properties leads through a schema; its first step may name one of the schema's definitions."""
    name, *path = key.split(".")
    schema = _at(name, "")
    parts = schema.get("$defs", {})
    at = [parts[path.pop(0)]] if path[0] in parts else [schema]
    for step in path:
        at = [found for each in at if (found := each.get("properties", {}).get(step)) is not None]
    return bool(at)


def test_there_are_thirty_and_each_is_dealt_with() -> None:
    assert [one.number for one in thirty()] == [*range(1, 31)]
    assert all(one.rules or one.keys for one in thirty())
    assert all(one.prints for one in thirty())


@pytest.mark.parametrize("one", thirty(), ids=lambda one: str(one.number))
def test_what_answers_it_is_there(one: Mistake) -> None:
    assert set(one.rules) <= set(RULES)
    assert [key for key in one.keys if not _resolved(key)] == []
    printed = pages()
    missing = [(page, words) for page, words in one.prints if not any(words in row for row in printed.get(page, ()))]
    assert missing == []


def test_a_key_or_a_row_that_is_not_there_is_seen() -> None:
    assert not _resolved("door.device.colour")
    assert not _resolved("data-sheet.coil.duty")
    assert not any("press S77" in row for row in pages()["Test record"])

"""Fault guide and retest sheet, read back: every row is held against the wiring and against the door solved afresh."""

from __future__ import annotations

import re
from dataclasses import replace
from functools import cache

import pytest

from tests.demo import SITES, site_of
from tests.faults.doors import trials
from tests.packet.pages import opened, packet, table_rows, texts
from wiregen.faults.upkeep import Upkeep, upkeep
from wiregen.packet.fault_guide import fault_guide
from wiregen.packet.fault_words import complaint
from wiregen.packet.marking import running
from wiregen.packet.press import press
from wiregen.packet.retest_sheet import retest_sheet
from wiregen.packet.typeset import Part, typeset
from wiregen.packet.wording import state
from wiregen.reading.model import Site
from wiregen.states.happenings import Happening
from wiregen.states.settle import Point
from wiregen.study.model import Study
from wiregen.study.study import study_door
from wiregen.wiring.model import End
from wiregen.wiring.wire import wire_site

DOORS = ("D101", "D104", "D107", "D119")
TITLES = ("Step", "Door is", "Volts,", "Good", "If good", "If not")
RETEST = ("Test", "Bring about", "Then", "Must", "If not", "Read", "Name", "Date")
OPEN = re.compile(r"(\S+) open \((\S+) to ([^\s)]+)\)")


@cache
def kept(door: str) -> Upkeep:
    return upkeep(trials(door))


@cache
def _site(door: str) -> Site:
    return next(site_of(name) for name in SITES if door in site_of(name).doors)


@cache
def _pages(door: str, which: str) -> list[tuple[str, list[dict[str, str]]]]:
    """Text and rows of each page of the guide or of the retest sheet."""
    site, of = _site(door), trials(door)
    study = replace(study_door(site, of.door, of.wiring, wire_site(site)), upkeep=kept(door))
    page = fault_guide(of.door, study) if which == "guide" else retest_sheet(of.door, of.wiring, study)
    if page is None:
        return []
    part = Part(page, running(site, of.door, page.title, "0" * 64), ())
    with opened(press(typeset([part], site.house.paper), site.house.paper, title="", author="", subject="")) as document:
        titles = TITLES if which == "guide" else RETEST
        return [(p.extract_text(), list(table_rows(p, titles))) for p in document.pages]


def _text(door: str, which: str = "guide") -> str:
    return " ".join(" ".join(text.split()) for text, _ in _pages(door, which))


def _rows(door: str) -> list[dict[str, str]]:
    return [row for _, rows in _pages(door, "guide") for row in rows if re.fullmatch(r"\d+\.\d+", row["Step"])]


def _end(door: str, text: str) -> End:
    wiring = trials(door).wiring
    landed = {str(end): end for c in wiring.conductors for end in (c.a, c.b)}
    landed |= {str(End(ref, t.mark)): End(ref, t.mark) for ref, d in wiring.devices.items() for t in d.sheet.terminals}
    return landed[text]


@pytest.mark.parametrize("door", DOORS)
def test_every_complaint_is_there_or_named_as_left_out(door: str) -> None:
    guide, text = kept(door).guide, _text(door)
    assert guide.complaints
    for number, one in enumerate(guide.complaints, 1):
        assert f"{number} {complaint(one.symptom)}" in text
        assert one.symptom.alone or all(look[1:] in text for look in one.looks)
    assert all(complaint(one) in text for one in guide.left_out)


@pytest.mark.parametrize("door", DOORS)
def test_good_values_are_those_of_the_door_solved_afresh(door: str) -> None:
    of = trials(door)
    states: dict[str, Happening] = {state(one.name): one for one in of.states}
    rows = _rows(door)
    assert len(rows) == sum(len(one.checks) for one in kept(door).guide.complaints) > 9
    for row in rows:
        said = re.fullmatch(r"(\S+) and (\S+)(?: \(.+\))?", row["Volts,"])
        assert said, row
        a, b = (of.settler.circuit.nodes[_end(door, name)] for name in said.groups())
        happening = states[row["Door is"].partition(":")[0]]
        settled = of.settler.settle([Point(happening.case, happening.strike)])
        volts = float(settled.solution().readings(*([[settled.gauge.network.index[n]] for n in (a, b)]))[0, 0])
        numbers = [float(n) for n in re.findall(r"-?\d+(?:\.\d+)?", row["Good"])]
        least, most = (0.0, numbers[0]) if row["Good"].startswith("up to") else (min(numbers), max(numbers))
        assert row["Good"].endswith(" V")
        assert least - 0.051 <= volts <= most + 0.051, row


@pytest.mark.parametrize("door", DOORS)
def test_wires_that_are_named_run_between_the_terminals_that_are_named(door: str) -> None:
    wiring = trials(door).wiring
    ends = {c.wire: {str(c.a), str(c.b)} for c in wiring.conductors} | {k.ref: {str(k.a), str(k.b)} for k in wiring.links}
    found = [one for row in _rows(door) for cell in row.values() for one in OPEN.findall(cell)]
    assert len(found) > 8
    for wire, a, b in found:
        assert ends[wire] == {a, b}


@pytest.mark.parametrize("door", DOORS)
def test_each_row_ends_the_search_or_goes_on(door: str) -> None:
    """What ends it stands at the outcome that the faults themselves have."""
    checks = [check for one in kept(door).guide.complaints for check in one.checks]
    for row, check in zip(_rows(door), checks, strict=True):
        ends, goes = ("If good", "If not") if check.if_good else ("If not", "If good")
        assert row[ends] not in ("", "next step")
        assert row[goes]
        if not check.if_good:
            shown = [float(v) for v in re.findall(r"(-?[\d.]+) V:", row["If not"])]
            assert shown == [pytest.approx(v, abs=0.051) for v in dict.fromkeys(round(x.volts, 1) + 0.0 for x in check.likely)]


@pytest.mark.parametrize("door", DOORS)
def test_it_takes_two_pages_and_warns(door: str) -> None:
    assert len(_pages(door, "guide")) <= 2
    text = _text(door)
    assert "licensed electrician" in text
    assert "Keep the door openable" in text


def test_a_pair_is_told_together_and_each_leaf_alone() -> None:
    of = [complaint(one.symptom) for one in kept("D107").guide.complaints]
    assert "Y1, Y2 do not hold at rest" in of
    assert of.index("Y1, Y2 do not hold at rest") < of.index("Y1 alone does not hold at rest")


@pytest.mark.sweep
def test_a_bank_is_told_once() -> None:
    of = [complaint(one.symptom) for one in kept("D121").guide.complaints]
    assert of[0] == "Y1 or one of Y2 to Y11 stays held when access is granted"
    assert not any(re.match(r"Y[2-9]", text) for text in of)
    assert len(_pages("D121", "guide")) == 2


def test_the_sensor_s_contact_is_retested_with_the_controller_kept_out() -> None:
    """From the trade: a release that works beside the controller is proved only with the controller unable to help."""
    ((text, rows),) = _pages("D104", "retest")
    first = rows[0]
    assert "switch A1.exit off in its settings" in first["Bring about"]
    assert first["Then"] == "walk up to S2"
    assert first["Must"] == "Y1 lets go, 0 V at it"
    assert "contact S2:3 and S2:4 welded shut" in first["If not"]
    assert "earthed frame" in rows[1]["If not"]
    assert "Retested by" in text
    assert [rows[0][title] for title in ("Read", "Name", "Date")] == ["V", "", ""]


def test_the_fire_contact_is_retested_with_the_panel_on_test() -> None:
    ((_, rows),) = _pages("D124", "retest")
    assert rows[0]["Bring about"].startswith("Fire panel on test first")
    assert "contact K90:11 and K90:14 welded shut" in rows[0]["If not"]


def test_a_door_that_is_left_by_its_handle_has_no_retest_sheet() -> None:
    assert _pages("D101", "retest") == []
    assert "it has no retest sheet" in _text("D101")


def test_they_have_their_bookmarks_and_their_place_in_the_index() -> None:
    site, of = _site("D104"), trials("D104")
    study = replace(study_door(site, of.door, of.wiring, wire_site(site)), upkeep=kept("D104"))
    pdf = packet(site, {"D104": of.wiring}, {"D104": study})
    with opened(pdf) as document:
        outlines = [title for _, title, *_ in document.doc.get_outlines()]
    pages_read = texts(pdf)
    heads = [text.partition("\n")[0] for text in pages_read]
    assert outlines.index("Test record") + 1 == outlines.index("Fault guide") == outlines.index("Retest sheet, yearly") - 1
    titles = ("Fault guide", "Retest sheet, yearly")
    pages = {title: next(n for n, head in enumerate(heads, 1) if title in head) for title in titles}
    lines = [line for text in pages_read for line in text.splitlines()]
    row = next(line for line in lines if line.startswith("D104 Seed hall") and line.split()[-1].isdigit())
    assert row.split()[-3:-1] == [str(page) for page in pages.values()]  # behind them the redline form


def test_a_stopped_door_has_nothing_to_sign() -> None:
    of = trials("D104")
    page = retest_sheet(of.door, of.wiring, Study(door="D104", upkeep=kept("D104")), stops=1)
    assert page is not None
    assert "Retest signed" not in repr(page)


@pytest.mark.sweep
@pytest.mark.parametrize("name", SITES)
def test_no_door_takes_more_than_two_pages_and_a_sheet(name: str) -> None:
    for door in site_of(name).doors:
        assert len(_pages(door, "guide")) <= 2
        assert len(_pages(door, "retest")) <= 1

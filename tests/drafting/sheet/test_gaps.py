"""Room for notes in the drawing, and how notes are set."""

from __future__ import annotations

from dataclasses import replace

from reportlab.graphics import shapes

from tests.drafting.sheet.hand import example
from wiregen.drafting.canvas import MM, Canvas
from wiregen.drafting.flow import PITCH, Block, Column, Parts, flow, pour
from wiregen.drafting.gaps import gaps_in
from wiregen.drafting.model import Layout, Rect, Region, Route
from wiregen.drafting.stacking import width_needed
from wiregen.reading.model import DataSheet


def empty() -> Layout:
    layout = example()[2]
    return replace(layout, devices=(), bars=(), routes=(), jackets=(), regions=(), exposed_line=(), texts=())


def apart(a: Rect, b: Rect) -> bool:
    return a.x + a.w <= b.x or b.x + b.w <= a.x or a.y + a.h <= b.y or b.y + b.h <= a.y


def test_gaps_keep_clear_of_ink_and_of_one_another() -> None:
    layout = example()[2]
    gaps = gaps_in(layout)
    assert gaps
    for gap in gaps:
        assert all(apart(gap, d.box) for d in layout.devices)
        for route in layout.routes:
            for (x0, y0), (x1, y1) in zip(route.points, route.points[1:], strict=False):
                assert apart(gap, Rect(min(x0, x1), min(y0, y1), abs(x1 - x0), abs(y1 - y0)))
        assert all(apart(gap, other) for other in gaps if other is not gap)
        assert gap.x >= layout.field.x
        assert gap.y + gap.h <= layout.field.y + layout.field.h


def test_an_empty_field_is_one_gap_in_columns_and_a_full_one_none() -> None:
    field = empty().field
    assert sum(g.w * g.h for g in gaps_in(empty())) > 0.3 * field.w * field.h
    left, right = field.x, field.x + field.w
    routes = tuple(Route(f"w{n}", ((left, field.y + n), (right, field.y + n)), "BK") for n in range(0, int(field.h), 5))
    assert gaps_in(replace(empty(), routes=routes)) == ()


def test_nothing_is_printed_where_a_stranger_can_reach() -> None:
    field = empty().field
    assert gaps_in(replace(empty(), regions=(Region("outside", field, True),))) == ()


def printed(canvas: Canvas) -> list[tuple[str, float]]:
    return [(s.text, round(s.y / MM, 2)) for s in canvas.drawing.contents if isinstance(s, shapes.String)]


def test_a_block_goes_whole_where_it_has_room() -> None:
    canvas = Canvas(200, 100)
    low, high = Rect(0, 0, 60, 2.5 * PITCH), Rect(70, 0, 60, 6 * PITCH)
    blocks = [Block("Long", ("one two three " * 12,)), Block("Short", ("words",))]
    columns = [Column.of(0, low), Column.of(0, high)]
    assert flow(blocks, columns, {0: canvas}) == ()
    at = {s.text: s.x / MM for s in canvas.drawing.contents if isinstance(s, shapes.String)}
    assert at["Short"] < 60
    assert at["Long"] > 60


def test_numbered_notes_go_on_in_the_next_column_with_their_numbers() -> None:
    canvas = Canvas(200, 100)
    columns = [Column.of(0, Rect(x, 0, 40, 5 * PITCH)) for x in (0, 50, 100)]
    notes = Block("Notes", tuple(f"note-{n} and a few words that wrap" for n in range(1, 7)), first=1)
    rest = flow([notes], columns, {0: canvas})
    assert rest == ()
    texts = [t for t, _ in printed(canvas)]
    assert [t for t in texts if t.isdigit()] == ["1", "2", "3", "4", "5", "6"]
    assert texts.count("Notes") == 1
    assert "Notes, continued" not in texts


def test_what_finds_no_room_comes_back_whole() -> None:
    canvas = Canvas(200, 100)
    block = Block("Screws", ("much to say " * 30,))
    assert flow([block], [Column.of(0, Rect(0, 0, 40, 4 * PITCH))], {0: canvas}) == (block,)
    assert printed(canvas) == []
    (left,) = pour([block], [Column.of(0, Rect(0, 0, 40, 4 * PITCH))], {0: canvas})
    assert left.page == 0
    second = Canvas(200, 100)
    assert pour([left], [Column.of(1, Rect(0, 0, 100, 30 * PITCH))], {0: canvas, 1: second}) == ()
    assert printed(second)[0][0] == "Screws, continued"
    words = " ".join(t for t, _ in printed(canvas)[1:] + printed(second)[1:]).split()
    assert len(words) == 90


def test_a_box_is_asked_to_be_wide_enough_for_its_symbols() -> None:
    sheets = example()[0].sheets
    contact, relay, leads = sheets["key-switch"], sheets["relay-2p-24"], sheets["contact-plain"]
    assert isinstance(contact, DataSheet)
    assert isinstance(leads, DataSheet)
    assert isinstance(relay, DataSheet)
    small = width_needed(contact, ("1", "2"), ())
    one, two = width_needed(relay, ("A1", "A2", "11", "12", "14"), ()), width_needed(relay, ("A1", "A2"), ("11", "12", "14"))
    assert 4 < small < one < two
    assert width_needed(leads, ("1", "2"), ()) > small, "a lead's colour stands beside its mark"
    assert width_needed(relay, ("11", "21", "14", "24"), ()) > width_needed(relay, ("11", "14", "21", "24"), ())


def test_a_block_that_is_cut_tells_its_parts_and_on_which_sheet_it_goes_on() -> None:
    """Set twice: at first its parts are counted; devices are not parted from what is said of them."""
    block = Block("Screws (wires)", ("; ".join(f"S{n}: {n} x 1.0 mm2, 6 mm" for n in range(1, 13)),))
    before: dict[str, list[int]] = {}
    for _ in range(3):
        canvases = {0: Canvas(200, 100), 1: Canvas(200, 100)}
        parts = Parts(before)
        columns = [Column.of(0, Rect(x, 0, 40, 5 * PITCH), apart=True) for x in (0, 50)]
        columns.append(Column.of(1, Rect(0, 0, 40, 30 * PITCH)))
        assert pour([block], columns, canvases, parts) == ()
        before = parts.cut
    assert parts.cut == parts.before == {"Screws (wires)": [0, 0, 1]}
    first, second = ([t for t, _ in printed(canvas)] for canvas in canvases.values())
    assert [t for t in (*first, *second) if t.startswith("Screws")] == [
        "Screws (wires), 1 of 3",
        "Screws, continued, 2 of 3",
        "Screws, continued, 3 of 3",
    ]
    assert first.count("→ sheet 2") == 1, "only where it goes on on another sheet"
    told = " ".join(t for t in (*first, *second) if not t.startswith(("Screws", "→")))
    assert told == block.lines[0]
    after = [t for n, t in enumerate(first) if n + 1 == len(first) or first[n + 1].startswith(("Screws", "→"))]
    assert all(t.endswith(";") for t in after if not t.startswith("→"))

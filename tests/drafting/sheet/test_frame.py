"""Sheet sizes, margins and zones."""

import pytest

from wiregen.drafting.frame import columns, field_for, frame_of, notes_rect, paper_size, rows, title_rect, zone_at
from wiregen.reading.model import House

A4, LETTER = House(paper="A4"), House(paper="letter")


def test_paper_sizes() -> None:
    """A4: ISO 216.  Letter: ASME Y14.1 size A, 8.5 x 11 in."""
    assert paper_size(A4) == (297, 210)
    assert paper_size(LETTER) == pytest.approx((11 * 25.4, 8.5 * 25.4))


@pytest.mark.parametrize("house", [A4, LETTER])
def test_margins_of_iso_5457(house: House) -> None:
    """ISO 5457:1999: left margin 20 mm for binding, 10 mm elsewhere (from memory for the other three)."""
    width, height = paper_size(house)
    frame = frame_of(house)
    assert (frame.x, frame.y) == (20, 10)
    assert (frame.x + frame.w, frame.y + frame.h) == pytest.approx((width - 10, height - 10))


@pytest.mark.parametrize("house", [A4, LETTER])
def test_zones_of_iso_5457(house: House) -> None:
    """ISO 5457: fields of 50 mm from the centring marks, letters downwards without I and O, numbers from the left."""
    frame = frame_of(house)
    names = [n for n, _, _ in columns(house)]
    assert names == ["1", "2", "3", "4", "5", "6"]
    assert [n for n, _, _ in rows(house)] == ["A", "B", "C", "D"]
    assert all(b - a <= 50 + 1e-9 for _, a, b in (*columns(house), *rows(house)))
    assert columns(house)[2][2] == pytest.approx(frame.x + frame.w / 2)
    assert zone_at(house, (frame.x + 1, frame.y + frame.h - 1)) == "A1"
    assert zone_at(house, (frame.x + frame.w - 1, frame.y + 1)) == "D6"
    assert zone_at(house, (frame.x + frame.w / 2 + 1, frame.y + frame.h / 2 - 1)) == "C4"


@pytest.mark.parametrize("house", [A4, LETTER])
def test_field_notes_and_title_do_not_meet(house: House) -> None:
    frame, field, notes, title = frame_of(house), field_for(house), notes_rect(house), title_rect(house)
    assert field.x > frame.x
    assert field.x + field.w < frame.x + frame.w
    assert field.y > title.y + title.h
    assert field.y + field.h < frame.y + frame.h
    assert notes.x + notes.w == pytest.approx(title.x)
    assert title.x + title.w == pytest.approx(frame.x + frame.w)
    assert field.w * field.h > 0.8 * frame.w * frame.h

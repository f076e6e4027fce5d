"""Notes that go on overleaf are read to the end of a page before the next one begins."""

from __future__ import annotations

from wiregen.packet.content import Notes
from wiregen.packet.flow import Folded, flow

ROOM = 500.0  # points


def test_notes_in_two_columns_are_parted_in_the_order_in_which_they_are_read() -> None:
    notes = Notes(tuple(f"step {n}, told in some words" for n in range(1, 31)), 2, "Steps", numbered=True)
    whole = flow(notes, ROOM)
    assert isinstance(whole, Folded)
    tall = whole.wrap(ROOM, 0)[1]
    pages = []
    left: list[Folded] = [whole]
    while left:
        one = left.pop(0)
        if one.wrap(ROOM, 0)[1] > tall / 3:
            first, *left = one.split(ROOM, tall / 3)
            assert first.wrap(ROOM, 0)[1] <= tall / 3
            one = first
        pages.append(one)
    assert len(pages) > 2
    assert [name for page in pages for name, _ in page.items] == [str(n) for n in range(1, 31)]
    assert [page.caption for page in pages] == ["Steps", *["Steps, continued"] * (len(pages) - 1)]


def test_few_notes_stay_together() -> None:
    assert flow(Notes(("one", "two", "three"), 1, "Steps"), ROOM).split(ROOM, 30) == []

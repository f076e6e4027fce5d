"""Notes that go on overleaf are read to the end of a page before the next one begins."""

from __future__ import annotations

from reportlab.platypus import Flowable

from wiregen.packet.content import Column, Facts, Notes, Table
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


def test_a_text_that_no_page_holds_goes_on_overleaf_under_its_name() -> None:
    words = [f"G{n}:L1" for n in range(2000)]
    facts = flow(Facts((("Mains", ", ".join(words)), ("Set by the electrician", "nothing")), 1, "Site"), ROOM)
    pages = _pages(facts)
    assert len(pages) > 2
    items = [item for page in pages for item in page.items]  # type: ignore[attr-defined]
    assert [name for name, _ in items] == [*["Mains"] * len(pages), "Set by the electrician"]
    assert " ".join(text.replace("\n", " ") for name, text in items if name == "Mains") == ", ".join(words)


def test_names_that_no_page_holds_go_on_overleaf_with_what_is_said_of_them() -> None:
    names, said = [f"FB{n}" for n in range(2000)], ", ".join(f"F{n}+" for n in range(40))
    pages = _pages(flow(Facts(((", ".join(names), said), ("E1", "nothing")), 1, "Screws"), ROOM))
    assert len(pages) > 2
    items = [item for page in pages for item in page.items]  # type: ignore[attr-defined]
    assert [text.replace("\n", " ") for _, text in items] == [*[said] * (len(items) - 1), "nothing"]
    assert " ".join(name.replace("\n", " ") for name, _ in items) == f"{', '.join(names)} E1"


def test_names_and_a_text_that_no_page_holds_are_both_told_whole() -> None:
    names, said = [f"FB{n}" for n in range(900)], [f"F{n}+" for n in range(5000)]
    pages = _pages(flow(Facts(((", ".join(names), ", ".join(said)),), 1, "Screws"), ROOM))
    told: dict[str, list[str]] = {}
    for page in pages:
        for name, text in page.items:  # type: ignore[attr-defined]
            told.setdefault(name.replace("\n", " "), []).append(text.replace("\n", " "))
    assert " ".join(told) == ", ".join(names)
    assert [" ".join(texts) for texts in told.values()] == [", ".join(said)] * len(told)


def test_a_row_that_no_page_holds_goes_on_overleaf_under_its_name() -> None:
    doors = [f"D{n}" for n in range(9000)]
    columns = (Column("Type", 20), Column("Where", 80), Column("", 10))
    told = (("first", "D1", "A"), ("crimp", ", ".join(doors), "B"), ("last", "D2", "C"))
    pages = _pages(flow(Table("Materials", columns, told), ROOM))
    rows = [row.cells for page in pages for row in page.body]  # type: ignore[attr-defined]
    assert len(pages) > 2
    assert [row[0] for row in rows] == ["first", *["crimp"] * (len(rows) - 2), "last"]
    assert " ".join(row[1].replace("\n", " ") for row in rows[1:-1]) == ", ".join(doors)
    assert [row[2] for row in rows[1:-1]] == ["B", *[""] * (len(rows) - 3)]


PAGE = 500.0  # points


def _pages(whole: Flowable) -> list[Flowable]:
    pages, left = [], [whole]
    while left:
        one = left.pop(0)
        if one.wrap(ROOM, PAGE)[1] > PAGE:
            one, *left = one.split(ROOM, PAGE)
            assert one.wrap(ROOM, PAGE)[1] <= PAGE
        pages.append(one)
    return pages

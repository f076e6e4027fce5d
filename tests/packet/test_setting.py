"""Wrapping, and tables that go on overleaf."""

from __future__ import annotations

from hypothesis import given, settings
from hypothesis import strategies as st

from tests.packet.pages import texts
from wiregen.fonts import width
from wiregen.packet.content import Column, Section, Table
from wiregen.packet.flow import SIZE, wrap
from wiregen.packet.marking import SHOWN
from wiregen.packet.paper import Running
from wiregen.packet.press import press
from wiregen.packet.typeset import Part, typeset
from wiregen.packet.wording import joined, merged, named
from wiregen.quantities import number, quantity, spread

LETTERS = st.text(alphabet=st.sampled_from("abc WiΩ<&\"'-/0123456789"), max_size=120)


@settings(max_examples=200, deadline=None)
@given(LETTERS, st.floats(min_value=20, max_value=300))
def test_wrapped_lines_fit_and_lose_nothing(text: str, room: float) -> None:
    lines = wrap(text, room)
    assert all(width(line, SIZE) <= room or len(line) == 1 for line in lines)
    assert "".join(lines).replace(" ", "") == text.replace(" ", "")


def test_what_is_indented_stays_so() -> None:
    assert wrap("devices:\n  S1: {type: button}", 400) == ["devices:", "  S1: {type: button}"]
    assert all(line.startswith("  ") for line in wrap("  " + "word " * 20, 100))


def _pressed(*tables: Table) -> list[str]:
    section = Section("k", "A title", tables)
    part = Part(section, Running("X", "", "A title", "foot", "c" * SHOWN))
    return texts(press(typeset([part], "A4"), "A4", "t", "a", "s"))


def test_caption_titles_and_heading_come_again_overleaf() -> None:
    rows = (("Heading one",), *((f"row {n}", "x") for n in range(70)))
    pages = _pressed(Table("The caption", (Column("First", 1), Column("Second", 1)), rows, by_hand=True))
    assert len(pages) > 2
    assert "The caption, continued" not in pages[0]
    for page in pages[1:]:
        assert "The caption, continued" in page
        assert "First Second" in page
        assert "Heading one, continued" in page
    found = [line for page in pages for line in page.splitlines() if line.startswith("row ")]
    assert found == [f"row {n} x" for n in range(70)]


def test_a_heading_is_never_the_last_line_of_a_page() -> None:
    for above in range(22, 30):
        rows = (*((f"row {n}", "x") for n in range(above)), ("A heading",), ("below", "x"))
        pages = _pressed(Table("", (Column("First", 1), Column("Second", 1)), rows, by_hand=True))
        assert all("below x" in page for page in pages if "A heading" in page)


def test_numbers_read_as_people_write_them() -> None:
    assert number(0.235104) == "0.235"
    assert number(1234567.0) == "1230000"
    assert quantity(0.3, "A") == "300 mA"
    assert quantity(2200.0, "ohm") == "2.2 kΩ"
    assert quantity(0.0, "V") == "0 V"
    assert spread(1e6, float("inf"), "ohm") == "over 1 MΩ"
    assert spread(0.0, 1.5, "V") == "up to 1.5 V"
    assert spread(0.2714, 0.3316, "A") == "271 to 332 mA"
    assert spread(3.0, 3.0, "class") == "class 3"


def test_names_that_count_up_are_drawn_together() -> None:
    assert named(["A1", "Y1", "Y2", "Y3", "B1", "B2"]) == "A1, Y1 to Y3, B1, B2"
    assert named(["Y1", "Y2", "Y4", "Y5", "Y6"]) == "Y1, Y2, Y4 to Y6"
    assert named(["Y1.coil", "Y2.coil", "Y3.coil", "Y4:+"]) == "Y1.coil to Y3.coil, Y4:+"
    assert joined(["amps (of K1.c-1), held", "amps (of K1.c-2), held"]) == "amps (of K1.c-1, K1.c-2), held"
    assert joined(["with a diode", "without"]) == "with a diode; without"
    assert joined(["same\u00a0here; too", "same\u00a0here; too"]) == "same\u00a0here; too"
    assert merged([("Y1", "a"), ("B1", "b"), ("Y2", "a"), ("Y3", "a")]) == (("Y1 to Y3", "a"), ("B1", "b"))

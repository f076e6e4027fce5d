"""YAML as text: no dialect turns a mark into something else, and every value knows where it stands."""

from __future__ import annotations

import pytest

from wiregen.reading.document import Table
from wiregen.reading.model import Problem, Where
from wiregen.reading.parsing import parse


def read(source: str) -> Table:
    written = parse(source.encode(), "f.yaml", lambda problem: pytest.fail(str(problem)))
    assert written is not None
    return written


def refused(source: str | bytes) -> list[Problem]:
    problems: list[Problem] = []
    parse(source if isinstance(source, bytes) else source.encode(), "f.yaml", problems.append)
    return problems


# YAML 1.1 (type repository, bool, int, float, null, timestamp, merge, 2005) gives each of these another type.
@pytest.mark.parametrize(
    "scalar",
    [
        "NO",
        "ON",
        "OFF",
        "Y",
        "N",
        "yes",
        "true",
        "12:30",
        "01",
        "0x1F",
        "1_000",
        "1e3",
        ".inf",
        "~",
        "null",
        "2026-11-02",
        "<<",
        "=",
    ],
)
def test_scalar_stays_text(scalar: str) -> None:
    written = read(f"terminals: [{scalar}]\ngroups: {{{scalar}: {scalar}}}\n")
    assert written["terminals"] == [scalar]
    assert written["groups"] == {scalar: scalar}


def test_one_and_zero_one_are_two_keys() -> None:
    assert read("{1: RD, 01: BK, 1.0: GN, '1 ': WH}") == {"1": "RD", "01": "BK", "1.0": "GN", "1 ": "WH"}


def test_quotes_make_no_difference_but_to_commas() -> None:
    assert read('{a: "+", b: "x, y", c: ""}') == {"a": "+", "b": "x, y", "c": ""}


def test_where_things_stand() -> None:
    written = read("door: D1\ndevices:\n  A1: {type: motion, at: [box,\n    frame]}\n")
    assert written.where == Where("f.yaml", 1, 1)
    assert written.where_of("devices") == Where("f.yaml", 2, 1)
    device = written["devices"]["A1"]
    assert device["type"].where == Where("f.yaml", 3, 14)
    assert device["at"][1].where == Where("f.yaml", 4, 5)
    assert written["devices"].where_of("A1") == Where("f.yaml", 3, 3)


def test_columns_count_characters_not_bytes() -> None:
    assert read("name: Tür µ Ω, \nlike: x")["like"].where == Where("f.yaml", 2, 7)
    assert read("{name: Türe, like: x}")["like"].where == Where("f.yaml", 1, 20)


def test_a_byte_order_mark_is_passed_over() -> None:
    problems: list[Problem] = []
    written = parse("\ufeffdoor: D1".encode(), "f.yaml", problems.append)
    assert problems == []
    assert written is not None
    assert written["door"].where == Where("f.yaml", 1, 7)


def test_letters_with_marks_are_composed() -> None:
    """e and a combining acute print as one letter, not as two on one another; the ohm sign becomes the Greek letter."""
    assert read("name: caf\u0065\u0301 2 \u2126")["name"] == "caf\u00e9 2 \u03a9"


def test_folded_text_is_one_line() -> None:
    assert read("name: >\n  one\n  line\n")["name"] == "one line"


def test_crlf() -> None:
    assert read("door: D1\r\nname: x\r\n")["name"].where == Where("f.yaml", 2, 7)


@pytest.mark.parametrize(
    ("source", "line", "column", "wrong"),
    [
        ("a: 1\na: 2", 2, 1, "the key a is given twice (first in line 1)"),
        ("a: {x: 1, x: 2}", 1, 11, "the key x is given twice (first in line 1)"),
        ("a: &x 1\nb: *x", 2, 4, "the alias *x repeats another part of the file"),
        ("a: !!int 1", 1, 4, "the tag tag:yaml.org,2002:int"),
        ("a: 1\n--- \nb: 2", 2, 1, "a second document begins"),
        ("a: |\n  one\n  two\n", 1, 4, "a line end stands inside the text"),
        ('a: "\\u200B"', 1, 4, "the invisible character U+200B stands in the text"),
        ('a: "\\u05D0"', 1, 4, "the right-to-left character U+05D0 stands in the text"),
        ("a: \U0001f6aa", 1, 4, "the character 🚪 (U+1F6AA) has no glyph in the font"),
        ("a: [b, , c]", 1, 8, "this is not YAML: did not find expected node content (while parsing a flow node)"),
        ("a:\n\t- b", 2, 1, "a tab stands where YAML wants blanks"),
        ("{[a]: b}", 1, 2, "a key must be a word"),
        ("x" * 10, 1, 1, "a spec file is a mapping (key: value)"),
        ("a: " + "x" * 501, 1, 4, "a text of 501 characters"),
    ],
)
def test_refused(source: str, line: int, column: int, wrong: str) -> None:
    problem = refused(source)[0]
    assert (problem.where, problem.wrong) == (Where("f.yaml", line, column), wrong)


def test_thirty_levels_are_enough_for_anybody() -> None:
    def nested(levels: int) -> str:
        return "a: " + "{a: " * (levels - 1) + "x" + "}" * (levels - 1)

    assert refused(nested(30)) == []
    assert refused(nested(31))[0].wrong == "more than 30 levels deep"
    assert refused(nested(100_000))[0].wrong == "more than 30 levels deep"


def test_a_flood_of_problems_is_cut_off() -> None:
    problems = refused("a: 1\n" * 5000)
    assert len(problems) == 51
    assert problems[-1].wrong == "more than 50 problems in one file"


def test_a_file_of_another_kind() -> None:
    assert "UTF-8" in refused(b"%PDF-1.4\n%\xe2\xe3\xcf\xd3")[0].wrong
    assert refused(b"\x00\x01")[0].wrong == "the control character U+0000 stands in the file"
    assert refused("a: x".encode("utf-16"))[0].wrong == "the file is not UTF-8 text"

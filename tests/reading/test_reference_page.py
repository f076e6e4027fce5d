"""door_specs/README.md: its tables are those of the schemas, and its examples are right."""

from __future__ import annotations

import json
import re

import pytest

from tests.reading.reference_page import PAGE, PART, SCHEMAS, filled
from wiregen.reading import schema
from wiregen.reading.parsing import parse
from wiregen.reading.sheet_marks import CONDITIONS

TEXT = PAGE.read_text("utf-8")
BLOCKS = re.findall(r"```yaml\n(.*?)```", TEXT, re.DOTALL)


def test_the_tables_are_those_of_the_schemas() -> None:
    assert filled(TEXT) == TEXT, "run python -m tests.reading.reference_page"
    assert len(PART.findall(TEXT)) > 25


def test_every_key_is_on_the_page() -> None:
    def keys(part: object) -> set[str]:
        if isinstance(part, list):
            return set().union(*map(keys, part))
        if not isinstance(part, dict):
            return set()
        own = set(part.get("properties", {}))
        return own.union(*(keys(value) for word, value in part.items() if word not in ("examples", "enum", "if")))

    every = set().union(*(keys(SCHEMAS[name]) for name in SCHEMAS))
    assert {key for key in every if f"`{key}`" not in TEXT} == set()


def test_every_condition_word_is_on_the_page() -> None:
    assert {word for word in CONDITIONS if not re.search(rf"\b{word}\b", TEXT)} == set()


@pytest.mark.parametrize("block", BLOCKS)
def test_examples_are_right(block: str) -> None:
    written = parse(block.encode(), "README", lambda problem: pytest.fail(str(problem)))
    assert written is not None
    kind = next(
        name for key, name in (("type", "data-sheet"), ("site", "site"), ("door", "door"), ("kit", "door")) if key in written
    )
    assert schema.faults(kind, written) == []


def test_the_schema_line_points_at_a_schema() -> None:
    found = re.search(r"\$schema=(\S+)", TEXT)
    assert found
    path = PAGE.parent / "fernhill" / "doors" / found[1]
    assert json.loads(path.read_text("utf-8"))["title"] == "door"

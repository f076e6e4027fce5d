"""The schemas are the interface: every key explains itself, and every example that they give is right."""

from __future__ import annotations

import json
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import jsonschema
import pytest
from referencing import Registry, Resource
from referencing.jsonschema import DRAFT202012

from wiregen.reading import schema
from wiregen.reading.formats import checker

FOLDER = Path(__file__).parents[2] / "schemas"
NAMES = ("site", "door", "data-sheet", "record")
SCHEMAS: dict[str, Any] = {name: json.loads((FOLDER / f"{name}.json").read_text("utf-8")) for name in NAMES}
REGISTRY: Any = Registry().with_resources(
    [(f"{name}.json", Resource.from_contents(contents, DRAFT202012)) for name, contents in SCHEMAS.items()]
)
# Keywords that only ask something of keys that are described elsewhere in the same schema.
CONDITIONS = ("if", "then", "else", "not", "dependentSchemas")
QUANTITIES = {
    "length", "wire-size", "voltage", "current", "current-or-power", "power", "resistance", "time", "capacitance", "inductance",
    "temperature", "charge", "torque", "share", "surge", "rating", "limit", "pull-up", "level", "budget", "volts", "screw",
    "leads", "efficiency",
}  # fmt: skip


def keys(part: Any, path: tuple[str, ...], top: str) -> Iterator[tuple[str, str, Any]]:
    """Every key that any schema describes: name of its schema, path, and its own schema with references followed."""
    if isinstance(part, list):
        for index, each in enumerate(part):
            yield from keys(each, (*path, str(index)), top)
    if not isinstance(part, dict):
        return
    for word, value in part.items():
        if word == "properties" and not set(path) & set(CONDITIONS):
            for key, described in value.items():
                yield top, "/".join((*path, key)), described
        if word not in ("examples", "enum", "const"):
            yield from keys(value, (*path, word), top)


ALL = [each for name in NAMES for each in keys(SCHEMAS[name], (), name)]


def followed(described: Any, top: str) -> Any:
    if "$ref" not in described:
        return described
    file, _, pointer = described["$ref"].partition("#/")
    found: Any = SCHEMAS[file.removesuffix(".json") or top]
    for step in pointer.split("/"):
        found = found[step]
    return {**followed(found, file.removesuffix(".json") or top), **{k: v for k, v in described.items() if k != "$ref"}}


def validator(described: Any, top: str) -> Any:
    """A validator for a part of a schema, whose references are read from the whole."""
    return jsonschema.Draft202012Validator(rebased(described, top), registry=REGISTRY, format_checker=checker)


def rebased(part: Any, top: str) -> Any:
    if isinstance(part, list):
        return [rebased(each, top) for each in part]
    if not isinstance(part, dict):
        return part
    return {
        key: f"{top}.json{value}" if key == "$ref" and value.startswith("#") else rebased(value, top)
        for key, value in part.items()
    }


@pytest.mark.parametrize("name", NAMES)
def test_is_a_schema(name: str) -> None:
    jsonschema.Draft202012Validator.check_schema(SCHEMAS[name])
    assert SCHEMAS[name]["$schema"] == "https://json-schema.org/draft/2020-12/schema"


def test_the_walk_sees_the_keys() -> None:
    seen = {path.rpartition("/")[2] for _, path, _ in ALL}
    assert {"leave-by", "through", "pulls-in", "power", "transfer", "length_m", "poe-class", "wires", "dc-12"} - seen == {
        "dc-12"
    }
    assert len(ALL) > 300


@pytest.mark.parametrize("name", NAMES)
def test_keys_explain_themselves(name: str) -> None:
    lacking = {path: lacks for top, path, described in ALL if top == name and (lacks := _lacks(described, top))}
    assert lacking == {}


def _lacks(described: Any, top: str) -> list[str]:
    """What a key does not tell, and what is wrong with its examples."""
    whole = followed(described, top)
    wanted = {"title": "no title", "description": "no description", "examples": "no example"}
    if whole.get("format") in QUANTITIES:
        wanted["x-unit"] = "no unit"
    check = validator(described, top)
    lacks = [words for key, words in wanted.items() if not whole.get(key)]
    return lacks + [error.message for example in whole.get("examples", ()) for error in check.iter_errors(example)]


@pytest.mark.parametrize("name", NAMES)
def test_the_whole_example_is_right(name: str) -> None:
    check = validator(SCHEMAS[name], name)
    for example in SCHEMAS[name]["examples"]:
        assert [error.message for error in check.iter_errors(example)] == []


def test_groups_and_parts_are_told_apart_by_kind() -> None:
    """No bare oneOf or anyOf: a message about one would name every branch but the one that was meant."""
    for name in ("site", "door", "data-sheet"):
        text = json.dumps(SCHEMAS[name])
        assert '"oneOf"' not in text
        assert '"anyOf"' not in text
    kinds = SCHEMAS["data-sheet"]["$defs"]["group"]["properties"]["kind"]["enum"]
    assert [branch["if"]["properties"]["kind"]["const"] for branch in SCHEMAS["data-sheet"]["$defs"]["group"]["allOf"]] == kinds


def test_every_format_word_is_one_that_the_reader_knows() -> None:
    words = {
        value for name in ("site", "door", "data-sheet") for value in _values(SCHEMAS[name], "format") if isinstance(value, str)
    }
    assert words - set(checker.checkers) == set()
    assert len(words) > 30


def _values(part: Any, key: str) -> Iterator[Any]:
    if isinstance(part, dict):
        if key in part:
            yield part[key]
        for value in part.values():
            yield from _values(value, key)
    elif isinstance(part, list):
        for value in part:
            yield from _values(value, key)


def test_the_reader_finds_the_schemas_that_it_ships() -> None:
    assert schema.folder() == FOLDER

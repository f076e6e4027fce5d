"""A spec against its JSON Schema, as problems in plain words with file, line and column.

The schemas are the interface that editors see (schemas/*.json); jsonschema judges, this module says it to people.
"""

from __future__ import annotations

import difflib
import json
from collections.abc import Iterable, Iterator, Mapping, Sequence
from functools import cache
from importlib.resources import files
from itertools import islice
from pathlib import Path
from typing import Any, NamedTuple

from jsonschema.exceptions import ValidationError

from wiregen.reading.document import Table, Text
from wiregen.reading.formats import checker
from wiregen.reading.keywords import Validator
from wiregen.reading.model import Problem, Where
from wiregen.reading.quantity import Unfit

MOST_FAULTS = 200  # of one file; a person mends those first


class Fault(NamedTuple):
    """A problem, and the keys that lead to it from the top of the table."""

    path: tuple[str | int, ...]
    problem: Problem


def folder() -> Path:
    """Where the schemas are: inside the installed package, or beside it in a checkout."""
    inside = Path(str(files("wiregen"))) / "schemas"
    return inside if inside.is_dir() else inside.parent.parent / "schemas"


@cache
def _read(name: str) -> Any:
    return json.loads((folder() / f"{name}.json").read_text(encoding="utf-8"))


@cache
def _at(name: str, pointer: str) -> Any:
    """The part of a schema at that pointer, with the parts that it refers to written in: following them is slow."""
    part = _read(name)
    for step in filter(None, pointer.split("/")):
        part = part[step]
    return _written_in(part, name)


def _written_in(part: Any, name: str) -> Any:
    if isinstance(part, list):
        return [_written_in(each, name) for each in part]
    if not isinstance(part, dict):
        return part
    if "$ref" not in part:
        return {word: value if word in ("examples", "$defs") else _written_in(value, name) for word, value in part.items()}
    file, _, pointer = part["$ref"].partition("#")
    target = _at(file.removesuffix(".json") or name, pointer)
    beside = {word: _written_in(value, name) for word, value in part.items() if word != "$ref"}
    return target if not beside else {"allOf": [target], **beside}


@cache
def _validator(name: str) -> Any:
    return Validator(_at(name, ""), format_checker=checker)


def faults(name: str, written: Table) -> list[Fault]:
    """What the schema of that name has against `written`."""
    errors = islice(_validator(name).iter_errors(written), MOST_FAULTS)
    told = (fault for error in errors for fault in _told(error, written, _read(name)))
    return list(dict.fromkeys(told))


def suggestion(word: str, known: Iterable[str]) -> str:
    """`did you mean from?` for a near miss among `known`, else an empty text."""
    near = difflib.get_close_matches(word, sorted(known), n=1, cutoff=0.6)
    return f"did you mean {near[0]}?" if near else ""


def in_words(path: Sequence[str | int]) -> str:
    """`devices, Y1, through, 2`."""
    return ", ".join(str(step + 1) if isinstance(step, int) else str(step) for step in path)


def offered(words: Iterable[str], lead: str = "allowed: ") -> str:
    return lead + ", ".join(words)


# ---- from jsonschema's errors to words -------------------------------------------------------------------------------


def _told(error: ValidationError, top: Table, root: Any) -> Iterator[Fault]:
    path = tuple(error.absolute_path)
    value: Any = error.instance
    where = _where(top, path)
    schema: Any = error.schema
    title = schema.get("title", "") if isinstance(schema, Mapping) else ""
    match error.validator:
        case "additionalProperties" if isinstance(value, Table):
            known = schema.get("properties", {})
            for key in value:
                if key not in known:
                    wrong = f"{_a(title)} has no key {key}" if title else f"there is no key {key}"
                    instead = _join(suggestion(key, known), offered(known))
                    yield Fault((*path, str(key)), Problem(key.where, in_words(path), wrong, instead))
        case "required":
            for key in schema["required"]:
                if key not in value:
                    wrong = f"{key} is missing" + (f" in the {title}" if title else "")
                    yield Fault(path, Problem(where, in_words(path), wrong, _how(key, schema, root)))
        case "dependentRequired":
            missing = [(key, other) for key, others in schema["dependentRequired"].items() if key in value for other in others]
            for key, other in missing:
                if other not in value:
                    yield Fault(
                        path,
                        Problem(
                            value.where_of(key), in_words(path), f"{key} needs {other} beside it", _how(other, schema, root)
                        ),
                    )
                    return
        case "not":
            yield Fault(
                path,
                Problem(_key_where(top, path[:-1], str(path[-1])), in_words(path), "this key has no place here", "take it out"),
            )
        case "format" if value == "" and "minLength" in schema:
            return  # the empty text was told already
        case _:
            wrong, instead = _plainly(error, schema, value)
            if path and _is_key(error):
                where = _key_where(top, path, str(value))
                path = (*path, str(value))
            yield Fault(path, Problem(where, in_words(path), wrong, instead))


def _plainly(error: ValidationError, schema: Any, value: Any) -> tuple[str, str]:
    """What is wrong, and what to write."""
    if isinstance(error.cause, Unfit):
        return error.cause.wrong, error.cause.instead
    example = _example(schema)
    match error.validator:
        case "enum" | "const":
            allowed = list(dict.fromkeys(map(_spelt, schema.get("enum", [schema.get("const")]))))
            if not isinstance(value, Text):
                return f"{_kind(value)} where a word is due", offered(allowed)
            return f"{value} is not one of the words allowed", _join(suggestion(value, allowed), offered(allowed))
        case "type":
            due: Any = error.validator_value
            allowed = [due] if isinstance(due, str) else list(due)
            return f"{_kind(value)} where {_due(allowed)} is due", example
        case "minLength":
            return "an empty text", example
        case "minItems" | "minProperties":
            least = error.validator_value
            return (f"{len(value)} of at least {least}" if len(value) else f"{_kind(value)} with nothing in it"), example
        case "maxItems" | "maxProperties" | "items":
            most = schema.get("maxItems", error.validator_value)
            return f"{len(value)} entries where there may be {most}", example
    return error.message.splitlines()[0], example


def _is_key(error: ValidationError) -> bool:
    return "propertyNames" in error.absolute_schema_path


def _how(key: str, schema: Any, root: Any) -> str:
    """What the schemas say of a key that is missing: a rule that only asks for it leaves that to the whole schema."""
    holders = (schema, root, root.get("$defs", {}).get("device", {}))
    described: Any = next((found for holder in holders if (found := holder.get("properties", {}).get(key))), {})
    example = _example(described, f"{key}: ")
    return _join(described.get("description", "") if isinstance(described, Mapping) else "", example)


def _example(schema: Any, lead: str = "") -> str:
    examples = schema.get("examples") if isinstance(schema, Mapping) else None
    return f"such as {lead}{flow(examples[0])}" if examples else ""


def flow(value: Any) -> str:
    """A value as YAML on one line."""
    if isinstance(value, Mapping):
        return "{" + ", ".join(f"{key}: {flow(each)}" for key, each in value.items()) + "}"
    if isinstance(value, list):
        return "[" + ", ".join(map(flow, value)) + "]"
    return f'"{value}"' if any(mark in str(value) for mark in ",{}[]:#") or str(value) in ("+", "-") else str(value)


def _join(*parts: str) -> str:
    return "; ".join(part.rstrip(".") for part in parts if part)


def _spelt(value: Any) -> str:
    return str(value).lower() if isinstance(value, bool) else str(value)


def _a(title: str) -> str:
    return f"{'an' if title[0] in 'aeiou' else 'a'} {title}"


def _kind(value: Any) -> str:
    return "a list" if isinstance(value, list) else "a mapping" if isinstance(value, dict) else "a text"


def _due(types: Sequence[str]) -> str:
    words = {"string": "a text", "array": "a list", "object": "a mapping"}
    return " or ".join(words[each] for each in words if each in types)


def _where(top: Table, path: Sequence[str | int]) -> Where:
    """The value at that path; for a text, the text itself."""
    value: Any = top
    for step in path:
        value = value[step]
    where: Where = value.where
    return where


def _key_where(top: Table, path: Sequence[str | int], key: str) -> Where:
    value: Any = top
    for step in path:
        value = value[step]
    return value.where_of(key) if isinstance(value, Table) else _where(top, path)

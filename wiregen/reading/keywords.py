"""Five keywords of jsonschema, each with a shortcut to the same answer.

Evolving a validator for every scalar and for each of the ten kinds that a group might have is most of the time that
reading a site would take.  A scalar that plainly passes is passed over, and a branch for one kind is told by its key;
whatever fails goes the library's own way, so that errors are jsonschema's.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping
from typing import Any

import jsonschema
from jsonschema.exceptions import ValidationError

from wiregen.reading.formats import checker
from wiregen.reading.quantity import Unfit

Test = Callable[[str], bool]
Errors = Iterator[ValidationError]

SAYS_NOTHING = frozenset({"title", "description", "examples", "x-unit"})
SCALAR = frozenset({"type", "minLength", "format", "enum", "const"})

_tests: dict[int, tuple[Any, Test | None]] = {}  # by identity of the schema, which is kept beside so that it stays


def _passes(schema: Any, value: Any) -> bool:
    """Whether `value` is a text that `schema`, one that speaks of scalars only, lets pass."""
    if not isinstance(value, str):
        return False
    known = _tests.get(id(schema))
    if known is None:
        known = _tests[id(schema)] = (schema, _scalar_test(schema) if isinstance(schema, dict) else None)
    test = known[1]
    return test is not None and test(value)


def _scalar_test(schema: dict[str, Any]) -> Test | None:
    if not schema.keys() <= SAYS_NOTHING | SCALAR:
        return None
    types = schema.get("type", "string")
    if types != "string" and "string" not in types:
        return None
    shortest = schema.get("minLength", 0)
    words = schema.get("enum", [schema["const"]] if "const" in schema else None)
    check = checker.checkers[schema["format"]][0] if "format" in schema else None

    def test(value: str) -> bool:
        if len(value) < shortest or (words is not None and value not in words):
            return False
        try:
            return check is None or bool(check(value))
        except Unfit:
            return False

    return test


def _properties(validator: Any, properties: Mapping[str, Any], instance: Any, schema: Any) -> Errors:
    if isinstance(instance, dict):
        for key, part in properties.items():
            if key in instance and not _passes(part, instance[key]):
                yield from validator.descend(instance[key], part, path=key, schema_path=key)


def _additional_properties(validator: Any, part: Any, instance: Any, schema: Any) -> Errors:
    if isinstance(instance, dict):
        known = schema.get("properties", {})
        if part is False:
            if not instance.keys() <= known.keys():
                yield ValidationError("unknown keys")
        else:
            for key, value in instance.items():
                if key not in known and not _passes(part, value):
                    yield from validator.descend(value, part, path=key)


def _property_names(validator: Any, part: Any, instance: Any, schema: Any) -> Errors:
    if isinstance(instance, dict):
        for key in instance:
            if not _passes(part, key):
                yield from validator.descend(instance=key, schema=part)


def _items(validator: Any, part: Any, instance: Any, schema: Any) -> Errors:
    if isinstance(instance, list):
        first = len(schema.get("prefixItems", ()))
        if part is False and len(instance) > first:
            yield ValidationError("too many")
        elif part is not False:
            for index, entry in enumerate(instance[first:], first):
                if not _passes(part, entry):
                    yield from validator.descend(entry, part, path=index)


def _all_of(validator: Any, branches: Any, instance: Any, schema: Any) -> Errors:
    for index, branch in enumerate(branches):
        holds = _holds(branch, instance)
        if holds is None:
            yield from validator.descend(instance, branch, schema_path=index)
        elif holds:
            yield from validator.descend(instance, branch["then"], schema_path=index)


def _holds(branch: dict[str, Any], instance: Any) -> bool | None:
    """Whether the branch {if: one key is there, maybe with one constant value; then: ...} is meant; None if it is no such."""
    if branch.keys() != {"if", "then"} or not isinstance(instance, dict):
        return None
    condition: dict[str, Any] = branch["if"]
    required, tests = condition.get("required"), condition.get("properties", {})
    if not condition.keys() <= {"required", "properties"} or not isinstance(required, list) or len(required) != 1:
        return None
    key = required[0]
    if not tests:
        return key in instance
    test = tests.get(key) if tests.keys() == {key} else None
    if isinstance(test, dict) and test.keys() in ({"const"}, {"enum"}):
        return key in instance and instance[key] in test.get("enum", (test.get("const"),))
    return None


_extend: Any = jsonschema.validators.extend
Validator: Any = _extend(
    jsonschema.Draft202012Validator,
    {
        "properties": _properties,
        "additionalProperties": _additional_properties,
        "propertyNames": _property_names,
        "items": _items,
        "allOf": _all_of,
    },
)

"""The tables of door_specs/README.md, made from the schemas.  `python -m tests.reading.reference_page` writes them anew."""

from __future__ import annotations

import json
import re
from collections.abc import Iterator
from pathlib import Path
from typing import Any

from wiregen.reading.quantity import EXAMPLES, KINDS, SPELLINGS
from wiregen.reading.schema import flow

ROOT = Path(__file__).parents[2]
PAGE = ROOT / "door_specs" / "README.md"
SCHEMAS: dict[str, Any] = {
    n: json.loads((ROOT / "schemas" / f"{n}.json").read_text("utf-8")) for n in ("site", "door", "data-sheet")
}
PART = re.compile(r"(<!-- made: (?P<what>[^>]+) -->\n).*?(<!-- end -->)", re.DOTALL)


def filled(page: str) -> str:
    """The page with each part between `made` and `end` made anew."""
    return PART.sub(lambda part: f"{part[1]}\n{made(part['what'])}\n{part[3]}", page)


def made(what: str) -> str:
    if what == "units":
        return units()
    file, _, pointer = what.partition("#/")
    return "\n".join(table(file, pointer))


def units() -> str:
    rows = ["| quantity | units | such as |", "|---|---|---|"]
    for unit, kind in KINDS.items():
        spelt = ", ".join(f"`{spelling}`" for spelling in SPELLINGS[unit] if spelling)
        rows.append(f"| {kind} | {spelt} | `{EXAMPLES[unit]}` |")
    return "\n".join([*rows, ""])


def table(file: str, pointer: str) -> Iterator[str]:
    """A table of the keys of that part of a schema, and one for each part inside that has keys of its own."""
    described = _at(file, pointer)
    yield "| key | meaning | value | such as |"
    yield "|---|---|---|---|"
    inner = []
    required = set(described.get("required", ())) | set(described.get("then", {}).get("required", ()))
    for key, value in described["properties"].items():
        whole = _whole(value, file)
        mark = " *" if key in required else ""
        examples = "<br>".join(f"`{_cell(flow(each))}`" for each in whole["examples"][:2])
        yield f"| `{key}`{mark} | {_cell(whole['description'])} | {_cell(_value(whole))} | {examples} |"
        inner.extend(_inner(key, value))
    yield ""
    for title, part in inner:
        yield f"**{title}**"
        yield ""
        yield "| key | meaning | value | such as |"
        yield "|---|---|---|---|"
        for key, value in part["properties"].items():
            mark = " *" if key in part.get("required", ()) else ""
            example = _cell(flow(value["examples"][0]))
            yield f"| `{key}`{mark} | {_cell(value['description'])} | {_cell(_value(value))} | `{example}` |"
        yield ""


def _inner(key: str, value: Any) -> Iterator[tuple[str, Any]]:
    """Tables of keys inside a key that are written out there; those referred to have sections of their own."""
    if "$ref" in value:
        return
    if "properties" in value:
        yield f"`{key}`", value
        for name, each in value["properties"].items():
            items = each.get("items")
            if isinstance(items, dict) and "properties" in items:
                yield f"`{key}`, each of `{name}`", items
            if "properties" in each:
                yield f"`{key}`, `{name}`", each
    for holder in ("items", "additionalProperties"):
        held = value.get(holder)
        if isinstance(held, dict) and "properties" in held:
            yield f"each of `{key}`", held


def _value(whole: Any) -> str:
    if "enum" in whole:
        return ", ".join(dict.fromkeys(str(word).lower() if isinstance(word, bool) else word for word in whole["enum"]))
    if "const" in whole:
        return str(whole["const"])
    unit = f" ({whole['x-unit']})" if "x-unit" in whole and whole["x-unit"] != "1" else ""
    types = whole.get("type", "object")
    words = {"array": "list", "object": "mapping", "string": _text(whole)}
    said = [words[each] for each in words if each in types]
    if "if" in whole and "then" in whole:
        said = [", ".join(whole["then"].get("enum", [])) if word == "text" else word for word in said]
    return " or ".join(said) + unit


def _text(whole: Any) -> str:
    form = whole.get("format", "")
    plain = ("", "name", "place", "place-name", "designation", "id", "setting", "stay", "active", "duty", "volts", "core")
    return "text" if form in plain else {"wire-size": "wire size", "current-or-power": "current or power"}.get(form, form)


def _cell(text: str) -> str:
    return text.replace("|", "\\|")


def _at(file: str, pointer: str) -> Any:
    found = SCHEMAS[file]
    for step in filter(None, pointer.split("/")):
        found = found[step]
    return found


def _whole(value: Any, file: str) -> Any:
    if "$ref" not in value:
        return value
    other, _, pointer = value["$ref"].partition("#/")
    return {**_whole(_at(other.removesuffix(".json") or file, pointer), other.removesuffix(".json") or file), **value}


if __name__ == "__main__":
    PAGE.write_text(filled(PAGE.read_text("utf-8")), encoding="utf-8")

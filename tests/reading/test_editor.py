"""What an editor sees: the files as they stand, numbers and booleans as YAML 1.2 has them, and none of our formats."""

from __future__ import annotations

import re
from pathlib import Path
from typing import Any

import jsonschema
import pytest

from tests.reading.test_schemas import REGISTRY, SCHEMAS, rebased
from wiregen.reading.document import Items, Table
from wiregen.reading.parsing import parse

SPECS = Path(__file__).parents[2] / "door_specs"
FILES = sorted(path for path in SPECS.rglob("*.yaml"))
CHECKS = {
    kind: jsonschema.Draft202012Validator(rebased(SCHEMAS[kind], kind), registry=REGISTRY)
    for kind in ("data-sheet", "site", "door")
}


def as_an_editor(value: Any) -> Any:
    """Core schema of YAML 1.2, section 10.3.2: what an editor takes a plain scalar for."""
    if isinstance(value, Table):
        return {str(key): as_an_editor(each) for key, each in value.items()}
    if isinstance(value, Items):
        return [as_an_editor(each) for each in value]
    if re.fullmatch(r"[-+]?[0-9]+", value):
        return int(value)
    if re.fullmatch(r"[-+]?(\.[0-9]+|[0-9]+(\.[0-9]*)?)([eE][-+]?[0-9]+)?", value):
        return float(value)
    return {"true": True, "false": False}.get(value, str(value))


@pytest.mark.parametrize("folder", sorted({path.relative_to(SPECS).parts[0] for path in FILES}))
def test_an_editor_finds_nothing_wrong(folder: str) -> None:
    seen = {str(path.relative_to(SPECS)): _wrong(path) for path in FILES if path.relative_to(SPECS).parts[0] == folder}
    assert {name: wrong for name, wrong in seen.items() if wrong} == {}


def _wrong(path: Path) -> list[str]:
    problems: list[str] = []
    written = parse(path.read_bytes(), path.name, lambda problem: problems.append(str(problem)))
    if written is None or problems:
        return [*problems, "not read"]
    kind = "data-sheet" if "type" in written else "site" if "site" in written else "door"
    return [f"{list(error.absolute_path)}: {error.message}" for error in CHECKS[kind].iter_errors(as_an_editor(written))]


def test_there_are_files_of_every_kind() -> None:
    assert {path.parent.name for path in FILES} >= {"devices", "doors", "kits", "fernhill"}

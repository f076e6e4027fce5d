"""The record of a whole site is what its schema says."""

from __future__ import annotations

import json
from pathlib import Path

import jsonschema

from tests.demo import examined, made

ROOT = Path(__file__).parents[2]


def test_the_record_is_what_its_schema_says() -> None:
    schema = json.loads((ROOT / "schemas" / "record.json").read_text("utf-8"))
    known = examined("annex")
    written = json.loads(made("annex")["record.json"])
    errors = jsonschema.Draft202012Validator(schema).iter_errors(written)
    assert [f"{list(error.absolute_path)}: {error.message}" for error in errors] == []
    assert len(written["doors"]) == len(known.site.doors)
    assert written["doors"][0]["conductors"]

"""Every rule has its story, and no story is of a rule that does not exist; each example is what a spec may say."""

from __future__ import annotations

import json
import re
from collections.abc import Mapping
from typing import Any

import yaml

from tests.cli.run import wiregen
from wiregen.reading.keywords import Validator
from wiregen.reading.schema import _at
from wiregen.review.review import RULES
from wiregen.review.stories import stories

PLAIN = {"fire-alarm", "fire-rated", "leave-by"}  # no codes


def partial(schema: Any) -> Any:
    """The schema for a part of a file: nothing is required."""
    if isinstance(schema, list):
        return [partial(each) for each in schema]
    if isinstance(schema, dict):
        return {key: partial(value) for key, value in schema.items() if key != "required" or not isinstance(value, list)}
    return schema


SCHEMAS = [partial(_at(*of)) for of in (("door", ""), ("site", ""), ("data-sheet", "$defs/device"))]


def fits(example: Mapping[str, Any], schema: Any) -> bool:
    properties = schema["properties"]
    return set(example) <= set(properties) and Validator({"properties": properties}).is_valid(example)


def test_every_rule_has_a_story_and_every_story_a_rule() -> None:
    assert set(stories()) == set(RULES)


def test_examples_are_what_a_spec_a_site_or_a_data_sheet_may_say() -> None:
    examples = {code: yaml.load(story.example, Loader=yaml.CBaseLoader) for code, story in stories().items()}
    assert [code for code, example in examples.items() if not any(fits(example, schema) for schema in SCHEMAS)] == []


def test_an_example_that_no_schema_takes_is_seen() -> None:
    assert not any(fits(example, schema) for schema in SCHEMAS for example in ({"fire": "free"}, {"leave-by": "roof"}))


def test_a_story_names_other_rules_by_codes_that_exist() -> None:
    named = {
        word
        for story in stories().values()
        for text in (story.symptom, story.cause, story.found, story.cure, story.approval)
        for word in re.findall(r"\b(?:release|leave|fire|volts|diode|calmer|secured|exit|line|contact|battery)-[a-z-]+", text)
    }
    assert named <= set(RULES) | PLAIN


def test_it_is_told_whether_a_stop_can_be_approved() -> None:
    stops = [code for code, rule in RULES.items() if rule.level == "stop"]
    told = {code: json.loads(wiregen("check", "--explain", code, "--format", "json").stdout) for code in stops}
    begins = {True: "In the door's spec", False: "None"}
    assert stops
    assert {code for code in stops if bool(told[code]["accept"]) != RULES[code].approvable} == set()
    assert {code for code in stops if not told[code]["approval"].startswith(begins[RULES[code].approvable])} == set()


def test_it_is_told_as_text_without_a_site() -> None:
    done = wiregen("check", "--explain", "release-numbers")
    assert done.returncode == 0
    story = stories()["release-numbers"]
    text = " ".join(done.stdout.split())
    for part in (story.symptom, story.cause, story.found, story.cure, story.prints, story.example, story.approval):
        assert " ".join(part.split()) in text

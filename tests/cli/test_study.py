"""`wiregen study`: every figure with its formula, inputs and source, for people and as JSON."""

from __future__ import annotations

import json
from pathlib import Path

import pytest

from tests.cli.run import ROOT, stopped, two_doors, wiregen
from tests.packet.again import again

pytestmark = pytest.mark.usefixtures("kept")


@pytest.fixture(scope="module")
def site(tmp_path_factory: pytest.TempPathFactory) -> Path:
    return two_doors(tmp_path_factory.mktemp("specs") / "mill")


def not_json(word: str) -> float:
    raise AssertionError(f"{word} is no JSON")


def test_each_printed_formula_gives_its_value_again(site: Path) -> None:
    done = wiregen("study", site, "--door", "E1", "--format", "json")
    assert done.returncode == 0, done.stderr
    (study,) = json.loads(done.stdout, parse_constant=not_json)
    assert study["door"] == "E1"
    assert study["figures"]
    for figure in study["figures"]:
        wanted = figure["value"] if figure["hand"] is None else figure["hand"]
        assert again(figure["formula"], figure["inputs"]) == pytest.approx(wanted)
        assert figure["source"]
        assert figure["least"] <= figure["value"] <= figure["most"]


def test_text_holds_what_json_holds(site: Path) -> None:
    data = json.loads(wiregen("study", site, "--door", "E1", "--format", "json").stdout)[0]
    text = wiregen("study", site, "--door", "E1").stdout
    for figure in data["figures"]:
        assert f"    = {figure['formula']}" in text
        assert f"    source: {figure['source']}" in text
    for reading in data["readings"]:
        assert f"{' to '.join(reading['between'])}, {reading['state']}: " in text
    for what in data["missing"]:
        assert f"not computed: {what}" in text


def test_doors_come_in_the_order_asked_for(site: Path) -> None:
    done = wiregen("study", site, "--door", "E2", "--door", "E1", "--format", "json")
    assert [study["door"] for study in json.loads(done.stdout)] == ["E2", "E1"]


def test_a_stop_ends_with_1(tmp_path: Path) -> None:
    assert wiregen("study", stopped(tmp_path / "mill"), "--door", "E1").returncode == 1


def test_what_doors_share_has_a_study_of_its_own() -> None:
    site = ROOT / "door_specs" / "annex"
    done = wiregen("study", site, "--door", "site", "--door", "D113", "--format", "json")
    assert [study["door"] for study in json.loads(done.stdout)] == ["site", "D113"]


def test_nothing_but_a_study_takes_what_is_shared_for_a_door() -> None:
    done = wiregen("check", ROOT / "door_specs" / "annex", "--door", "site")
    assert done.returncode == 2
    assert "has no door site" in done.stderr

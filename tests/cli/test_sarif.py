"""`--format sarif` against what SARIF 2.1.0 (OASIS, 2020) requires: properties and values from memory of the standard."""

from __future__ import annotations

import json
from pathlib import Path

import pytest

from tests.cli.run import SPECS, broken, stopped, wiregen
from tests.small_site import lay_out_site
from wiregen.review.stories import stories

pytestmark = pytest.mark.usefixtures("kept")


def check_log(text: str) -> tuple[dict, list[dict]]:
    """The one run of a log and its results, every required property checked."""
    log = json.loads(text)
    assert log["version"] == "2.1.0"  # 3.13.2, required
    assert log["$schema"].endswith("sarif-schema-2.1.0.json")
    (run,) = log["runs"]  # 3.13.4, required
    driver = run["tool"]["driver"]  # 3.14.6 and 3.18.2, required
    assert driver["name"] == "wiregen"  # 3.19.8, required
    rules = driver["rules"]
    assert len({rule["id"] for rule in rules}) == len(rules)  # 3.49.3: id required, 3.19.23: unique
    for invocation in run["invocations"]:
        assert isinstance(invocation["executionSuccessful"], bool)  # 3.20.14, required
    for rule in rules:
        for key in ("shortDescription", "fullDescription", "help"):
            assert key not in rule or rule[key]["text"]  # 3.12.3; 3.49.9, 3.49.10, 3.49.11
        assert "help" not in rule or rule["help"]["markdown"]  # 3.12.4: only beside a text
    for result in run["results"]:
        assert result["message"]["text"]  # 3.27.11, required
        assert rules[result["ruleIndex"]]["id"] == result["ruleId"]  # 3.27.6
        assert result["level"] in ("none", "note", "warning", "error")  # 3.27.10
        for suppression in result.get("suppressions", ()):
            assert suppression["kind"] in ("inSource", "external")  # 3.35.2, required
            assert suppression["status"] in ("accepted", "underReview", "rejected")  # 3.35.3
            assert suppression["justification"]  # 3.35.4
        (location,) = result["locations"]
        physical = location["physicalLocation"]
        assert " " not in physical["artifactLocation"]["uri"]  # 3.4.3: a URI reference, RFC 3986
        assert physical["region"]["startLine"] >= 1  # 3.30.5
        assert physical["region"]["startColumn"] >= 1  # 3.30.6
    return run, run["results"]


def test_findings_stand_at_their_line(tmp_path: Path) -> None:
    site = stopped(tmp_path / "with a blank" / "mill")
    done = wiregen("check", site, "--format", "sarif")
    assert done.returncode == 1
    run, results = check_log(done.stdout)
    assert run["invocations"] == [{"executionSuccessful": True}]
    stops = [result for result in results if result["level"] == "error"]
    assert stops
    for result in stops:
        where = result["locations"][0]["physicalLocation"]
        assert where["artifactLocation"]["uri"] == (site / "doors" / "E1.yaml").as_uri()
    findings = json.loads(wiregen("check", site, "--format", "json").stdout)["findings"]
    assert [result["ruleId"] for result in results] == [finding["code"] for finding in findings]


def test_a_relative_path_stays_relative(tmp_path: Path) -> None:
    stopped(tmp_path / "mill")
    _, results = check_log(wiregen("check", "mill", "--format", "sarif", cwd=tmp_path).stdout)
    assert "mill/doors/E1.yaml" in {r["locations"][0]["physicalLocation"]["artifactLocation"]["uri"] for r in results}


def test_problems_are_errors_of_a_run_that_failed(tmp_path: Path) -> None:
    done = wiregen("check", broken(tmp_path / "mill"), "--format", "sarif")
    assert done.returncode == 2
    run, results = check_log(done.stdout)
    assert run["invocations"] == [{"executionSuccessful": False}]
    assert [result["level"] for result in results] == ["error"]


def test_a_rule_carries_its_story(tmp_path: Path) -> None:
    run, _ = check_log(wiregen("check", stopped(tmp_path / "mill"), "--format", "sarif").stdout)
    rules = {rule["id"]: rule for rule in run["tool"]["driver"]["rules"]}
    story = stories()["release-manual"]
    told = rules["release-manual"]
    assert story.symptom in told["fullDescription"]["text"]
    assert f"```yaml\n{story.example}\n```" in told["help"]["markdown"]
    assert "```" not in told["help"]["text"]


@pytest.mark.parametrize(
    ("pair", "accept", "level", "justification"),
    [
        ("exit-masks", "{exit-masks: {reason: no gap, by: P. Sedge}}", "note", "no gap, P. Sedge"),
        ("volts", "{volts: {reason: rewound, who: O. Reed, date: 2026-11-12, clause: order 7}}", "warning",
         "O. Reed, 2026-11-12, order 7: rewound"),
    ],
)  # fmt: skip
def test_what_is_answered_for_is_suppressed_in_the_source(
    pair: str, accept: str, level: str, justification: str, tmp_path: Path
) -> None:
    door = (SPECS / pair / "wrong.yaml").read_text("utf-8").replace("devices:\n", f"accept: {accept}\ndevices:\n", 1)
    site = lay_out_site(tmp_path / "mill", (SPECS / "site.yaml").read_text("utf-8"), {"E1": door})
    _, results = check_log(wiregen("check", site, "--format", "sarif").stdout)
    assert [(r["level"], r["suppressions"]) for r in results if "suppressions" in r] == [
        (level, [{"kind": "inSource", "status": "accepted", "justification": justification}])
    ]

"""`wiregen diagnose`: its streams and exit status."""

from __future__ import annotations

import json
from pathlib import Path

import pytest

from tests.cli.run import ROOT, two_doors, wiregen

pytestmark = pytest.mark.usefixtures("kept")


@pytest.fixture(scope="module")
def site(tmp_path_factory: pytest.TempPathFactory) -> Path:
    return two_doors(tmp_path_factory.mktemp("specs") / "mill")


def test_text_and_json_say_the_same(site: Path) -> None:
    told = ("lock stays held on grant", "grant: Y1.+ Y1.- = 0 V")
    text = wiregen("diagnose", site, "--door", "E1", *told)
    assert text.returncode == 0, text.stderr
    data = json.loads(wiregen("diagnose", site, "--door", "E1", *told, "--format", "json").stdout)
    assert data["door"] == "E1"
    assert data["suspects"][0]["faults"][0]["words"] in " ".join(text.stdout.split())
    assert data["first"][0] in " ".join(text.stdout.split())
    assert data["next"]["between"][0] in text.stdout
    shares = [one["share"] for one in data["suspects"]]
    assert shares == sorted(shares, reverse=True)
    assert sum(shares) == pytest.approx(1, abs=0.1)


def test_bad_input_is_one_message_each(site: Path) -> None:
    done = wiregen("diagnose", site, "--door", "E1", "lock is hedl", "Y1.+ Y9.- = 3 V")
    assert done.returncode == 2
    assert done.stdout == ""
    assert [line.partition(": ")[0] for line in done.stderr.splitlines()] == ['"lock is hedl"', '"Y1.+ Y9.- = 3 V"']
    assert "did you mean held?" in done.stderr
    data = json.loads(wiregen("diagnose", site, "--door", "E1", "lock is hedl", "--format", "json").stdout)
    assert data == {"problems": [done.stderr.splitlines()[0]]}


def test_a_door_is_needed_and_one_alone(site: Path) -> None:
    for doors in ((), ("--door", "E1", "--door", "E2")):
        done = wiregen("diagnose", site, *doors)
        assert done.returncode == 2
        assert "diagnose needs one door" in done.stderr


def test_the_example_of_the_help_runs() -> None:
    shown = wiregen("diagnose", "--help").stdout
    assert "lock stays held on grant" in shown
    done = wiregen("diagnose", "door_specs/fernhill", "--door", "D104", "lock stays held on grant", cwd=ROOT)
    assert done.returncode == 0
    assert "First: push the door and try again" in done.stdout

"""The exposure command: pairs in its file, and not a word of them anywhere else."""

from __future__ import annotations

import json
from pathlib import Path

import pytest
from click.testing import CliRunner

from tests.review.test_pairs import SPECS
from tests.small_site import lay_out_site
from wiregen.cli import commands


@pytest.fixture
def bad(tmp_path: Path) -> Path:
    door = (SPECS / "secured-side--exit-unlocks" / "wrong.yaml").read_text("utf-8")
    return lay_out_site(tmp_path / "site", (SPECS / "site.yaml").read_text("utf-8"), {"door": door})


@pytest.mark.parametrize("form", ["text", "json"])
def test_what_opens_the_door_stands_in_the_file_alone(form: str, bad: Path, tmp_path: Path) -> None:
    place = tmp_path / "exposed"
    ran = CliRunner().invoke(commands, ["exposure", str(bad), "--door", "E3", "-o", str(place), "--format", form],
                             standalone_mode=False)  # fmt: skip
    assert ran.return_value == 1
    assert place.stat().st_mode & 0o777 == 0o600
    told = place.read_text("utf-8")
    if form == "json":
        assert all(one["at"] or one["wires"] for one in json.loads(told)["succeed"])
    assert "Y1 is free" in told
    assert "A1" in told
    assert "A1" not in ran.output


def test_it_needs_a_file(bad: Path) -> None:
    ran = CliRunner().invoke(commands, ["exposure", str(bad), "--door", "E3"])
    assert ran.exit_code == 2
    assert "-o FILE" in ran.output

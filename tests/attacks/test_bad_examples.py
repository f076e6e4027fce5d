"""The examples of doors that can be opened from outside: each is stopped, its twin clean, and nothing told of it says how."""

from __future__ import annotations

import io
import json
import re
import zipfile
from functools import cache
from pathlib import Path

import pytest
from click.testing import CliRunner

from tests.packet.pages import texts
from wiregen.attacks.exposure import exposure_text
from wiregen.build import Examined, examine
from wiregen.cli import commands
from wiregen.making import make
from wiregen.reading.load import load_site
from wiregen.results import study_data, study_text

EXAMPLES = Path(__file__).parents[2] / "door_specs" / "bad_examples"
NAMES = sorted(path.name for path in EXAMPLES.iterdir() if path.name != "cured")


@cache
def check(folder: Path, form: str = "text") -> tuple[int, str]:
    ran = CliRunner().invoke(commands, ["check", str(folder), "--format", form], standalone_mode=False)
    return ran.return_value, ran.output


def test_each_has_a_twin() -> None:
    assert len(NAMES) >= 4
    assert sorted(path.name for path in (EXAMPLES / "cured").iterdir()) == NAMES


@pytest.mark.parametrize("name", NAMES)
def test_it_is_stopped_and_its_twin_is_clean(name: str) -> None:
    status, told = check(EXAMPLES / name)
    assert status == 1
    assert ": stop secured-side" in told
    assert "tried again with it" in told
    status, told = check(EXAMPLES / "cured" / name)
    assert status == 0
    assert ": stop" not in told


@pytest.mark.parametrize("name", NAMES)
def test_the_twin_differs_only_where_the_finding_says(name: str) -> None:
    """The cure is one line to change and, at the most, one device to add."""
    wrong, cured = (next((folder / "doors").iterdir()) for folder in (EXAMPLES / name, EXAMPLES / "cured" / name))
    _, told = check(EXAMPLES / name)
    (at,) = map(int, re.findall(r":(\d+):\d+: \w+ secured-side ", told))
    lines = wrong.read_text("utf-8").splitlines()
    ref = re.match(r"  (\w+):", lines[at - 1])[1]  # type: ignore[index]
    devices = [set(re.findall(r"^  (\w+): (.*)$", path.read_text("utf-8"), re.M)) for path in (wrong, cured)]
    changed = {one for one, _ in devices[0] ^ devices[1]}
    assert ref in changed
    assert changed - {ref} <= {"K1"}


@pytest.fixture(scope="module")
def opened() -> Examined:
    return examine(EXAMPLES / "joined-pair")


def _secrets(known: Examined) -> list[re.Pattern[str]]:
    """Each pair of terminals that opens the door, named in one breath."""
    (door,) = known.site.doors
    tried = known.studies[door].tried
    assert tried is not None
    pairs = {tuple(re.escape(str(end)) for end in s.attack.at) for s in tried.successes if s.attack.kind in ("joined", "fed")}
    assert pairs
    return [re.compile(rf"\b{one}\b\W{{1,4}}\w{{0,4}}\W{{0,4}}{other}\b") for a, b in pairs for one, other in ((a, b), (b, a))]


@pytest.mark.parametrize("form", ["text", "json", "sarif"])
def test_no_form_of_the_findings_says_how(form: str, opened: Examined) -> None:
    _, told = check(EXAMPLES / "joined-pair", form)
    assert not [secret for secret in _secrets(opened) if secret.search(told)]


def test_nor_does_what_is_printed_or_recorded(opened: Examined) -> None:
    """The exposure file does, or the search would find nothing anywhere."""
    (door,) = opened.site.doors
    study, wiring = opened.studies[door], opened.wirings[door]
    assert study.tried is not None
    secrets = _secrets(opened)
    exposed = re.sub(r" \([^)]*\)", "", exposure_text(door, wiring, study.tried)).replace("A1 ", "A1:").replace("\n   ", " ")
    assert any(secret.search(exposed) for secret in secrets)
    made = make(opened)
    told = [*texts(made["packet.pdf"]), *(data.decode() for name, data in made.items() if not name.endswith((".pdf", ".xlsx")))]
    told += zipfile_texts(made["tables.xlsx"])
    told += [study_text(study), json.dumps(study_data(study))]
    assert not [secret.pattern for secret in secrets for text in told if secret.search(text)]
    assert not [text for text in told if "foreign" in text]
    assert not [door for door in json.loads(made["record.json"])["doors"] if {"tried", "cured"} & door.keys()]


def zipfile_texts(workbook: bytes) -> list[str]:
    with zipfile.ZipFile(io.BytesIO(workbook)) as parts:
        return [parts.read(name).decode() for name in parts.namelist()]


def test_data_sheets_are_found_above_the_folder_of_the_examples() -> None:
    assert {"reader-controller", "inside-board", "strike-12"} <= load_site(EXAMPLES / "cured" / "joined-pair").sheets.keys()

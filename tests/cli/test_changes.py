"""wiregen changes: its two sides as folders, git revisions and kept records; its three forms; what it says of bad sides."""

from __future__ import annotations

import json
import os
import shutil
import subprocess
from pathlib import Path

import pytest

from tests.changes.records import edit
from tests.cli.run import broken, two_doors, wiregen
from tests.packet.pages import texts

pytestmark = pytest.mark.usefixtures("kept")


def _git(folder: Path, *arguments: str) -> None:
    who = {f"GIT_{role}_{what}": "p.sedge@example.org" for role in ("AUTHOR", "COMMITTER") for what in ("NAME", "EMAIL")}
    subprocess.run(["git", *arguments], cwd=folder, check=True, capture_output=True, env={**os.environ, **who})


@pytest.fixture(scope="module")
def repository(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A site under git; since its first revision a fuse is another one.  Its data sheets lie in a folder above it."""
    top = tmp_path_factory.mktemp("job") / "top"
    site = two_doors(top / "specs" / "mill")
    shutil.move(site / "devices", top / "devices")
    _git(top, "init", "-q")
    _git(top, "add", ".")
    _git(top, "commit", "-q", "-m", "first")
    edit(site, {"doors/E1.yaml": ("FB1.f-1, through", "FB1.f-2, through")})
    return top


def test_a_git_revision_against_what_stands_there(repository: Path, tmp_path: Path) -> None:
    sheet = tmp_path / "changes.pdf"
    done = wiregen("changes", "HEAD:specs/mill", "specs/mill", "-o", sheet, cwd=repository)
    assert done.returncode == 0, done.stderr
    assert "move conductor FB105a: FB1:F1+ to X1:s2 → FB1:F2+ to X1:s2" in done.stdout
    assert "E2" not in done.stdout
    printed = "\n".join(texts(sheet.read_bytes()))
    assert "FB1:F1+ to X1:s2" in printed
    assert "page 1 of" in printed


def test_two_revisions_alike_as_json_from_within(repository: Path) -> None:
    done = wiregen("changes", "HEAD:./mill", "HEAD:specs/mill", "--format", "json", "--quiet", cwd=repository / "specs")
    assert (done.returncode, json.loads(done.stdout)) == (0, {"doors": [], "sheets": []})
    assert done.stderr == ""


def test_a_kept_record_stands_for_its_site(tmp_path: Path) -> None:
    """Its program is not asked: a record of one door less says that the door is gone."""
    packet = Path(__file__).parents[2] / "output" / "annex"
    less = json.loads((packet / "record.json").read_text("utf-8"))
    gone = less["doors"].pop()
    kept = tmp_path / "kept.json"
    kept.write_text(json.dumps(less), encoding="utf-8")
    done = wiregen("changes", packet, kept)
    assert done.returncode == 0
    assert f"{gone['id']} {gone['name']}: the door is gone" in done.stdout


@pytest.mark.parametrize(
    ("side", "said"),
    [
        ("nowhere", "nowhere: no such folder; a git revision of one is written REV:PATH"),
        ("HEAD:elsewhere", "HEAD has no folder elsewhere"),
        ("before:specs/mill", "before: no such git revision"),
        ("specs/mill/site.yaml", "site.yaml: is no JSON"),
    ],
)
def test_a_side_that_cannot_be_had_is_told_in_one_line(repository: Path, side: str, said: str) -> None:
    done = wiregen("changes", side, "specs/mill", "--quiet", cwd=repository)
    assert (done.returncode, done.stdout) == (2, "")
    assert said in done.stderr
    assert len(done.stderr.splitlines()) == 1


@pytest.mark.parametrize(
    ("text", "lacks"),
    [
        ("[]", "site, doors"),
        ('{"site": {}, "doors": []}', "site, doors"),
        ('{"site": {"wiring": null}, "doors": [{"id": "E1", "name": "x"}]}', "hash of E1"),
        ('{"site": {"wiring": null}, "doors": []}', "id"),
    ],
)
def test_a_record_that_is_none_says_what_it_lacks(tmp_path: Path, text: str, lacks: str) -> None:
    kept = tmp_path / "kept.json"
    kept.write_text(text, encoding="utf-8")
    done = wiregen("changes", kept, kept)
    assert (done.returncode, done.stdout) == (2, "")
    assert f"it lacks {lacks};" in done.stderr


def test_problems_of_a_side_are_told_with_their_place(tmp_path: Path) -> None:
    site = broken(tmp_path / "mill")
    done = wiregen("changes", site, site, "--quiet")
    assert done.returncode == 2
    assert "E1.yaml:" in done.stderr

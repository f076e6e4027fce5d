"""The hook that others run before a commit: its entry is run as https://pre-commit.com does, with the files that changed."""

from __future__ import annotations

import os
import shlex
import subprocess
import sys
from pathlib import Path

import pytest
import yaml

from tests.cli.run import broken, stopped, two_doors
from tests.small_site import ROOT
from wiregen.hook import sites_of


@pytest.fixture(scope="module")
def repository(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """Three sites of a repository, two of which share a folder of data sheets."""
    folder = tmp_path_factory.mktemp("repository")
    for name, make in {"good": two_doors, "stop": stopped, "bad": broken}.items():
        make(folder / name / "site")
    (folder / "good" / "devices").mkdir()
    (folder / "good" / "devices" / "other.yaml").write_text("type: other\n", encoding="utf-8")
    return folder


def run(repository: Path, *files: str) -> subprocess.CompletedProcess[str]:
    (hook,) = yaml.safe_load((ROOT / ".pre-commit-hooks.yaml").read_text("utf-8"))
    assert {"id", "name", "entry", "language"} <= hook.keys(), "what pre-commit.com asks of a hook"
    assert (hook["language"], hook["types"]) == ("python", ["yaml"])
    python, *arguments = shlex.split(hook["entry"])
    assert python == "python"
    command = [sys.executable, *arguments, *files]
    environment = {**os.environ, "PYTHONPATH": str(ROOT)}
    return subprocess.run(command, capture_output=True, text=True, cwd=repository, env=environment, check=False)


def test_the_site_of_a_spec_is_checked(repository: Path) -> None:
    done = run(repository, "good/site/doors/E1.yaml", "good/site/doors/E2.yaml")
    assert done.returncode == 0
    assert done.stdout.splitlines()[-1].startswith("2 doors: 0 stop")


def test_the_worst_of_all_sites_is_its_status(repository: Path) -> None:
    done = run(repository, "stop/site/doors/E1.yaml", "bad/site/doors/E1.yaml")
    assert done.returncode == 2
    assert "bad/site/doors/E1.yaml:" in done.stderr
    assert "1 door: 1 stop" in done.stdout


def test_which_sites_a_file_belongs_to(repository: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.chdir(repository)
    assert sites_of([Path("good/devices/other.yaml")]) == [Path("good/site")], "a data sheet that sites share"
    assert sites_of([Path("good/site/devices/any.yaml"), Path("good/site/kits/any.yaml")]) == [Path("good/site")]
    assert sites_of([Path("mkdocs.yaml"), Path(".github/workflows/a.yaml")]) == []
    assert run(repository, "mkdocs.yaml").returncode == 0

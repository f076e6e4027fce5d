"""The built wheel, installed alone, does the whole job in an empty folder: schemas and fonts travel in it."""

from __future__ import annotations

import importlib.util
import os
import shutil
import subprocess
import sys
import zipfile
from pathlib import Path

import pytest

from tests.keeping.sites import quick_site
from tests.small_site import ROOT

needs_hatchling = pytest.mark.skipif(
    importlib.util.find_spec("hatchling") is None, reason="hatchling, which builds the wheel, is not installed"
)
pytestmark = needs_hatchling
TRAVELS = ("pyproject.toml", "README.md", "wiregen", "schemas")


@pytest.fixture(scope="module")
def wheel(tmp_path_factory: pytest.TempPathFactory) -> Path:
    source = tmp_path_factory.mktemp("source with a blank")
    for name in TRAVELS:
        path = ROOT / name
        if path.is_dir():
            shutil.copytree(path, source / name, ignore=shutil.ignore_patterns("__pycache__"))
        else:
            shutil.copy(path, source)
    built = tmp_path_factory.mktemp("wheel")
    command = [sys.executable, "-m", "hatchling", "build", "-t", "wheel", "-d", str(built)]
    done = subprocess.run(command, cwd=source, capture_output=True, text=True, check=False)
    assert done.returncode == 0, done.stderr
    (path,) = built.glob("wiregen-*.whl")
    return path


def test_it_holds_what_the_program_reads(wheel: Path) -> None:
    names = set(zipfile.ZipFile(wheel).namelist())
    for folder in ("wiregen", "schemas"):
        for path in (ROOT / folder).rglob("*"):
            if path.is_file() and "__pycache__" not in path.parts:
                inside = path.relative_to(ROOT).as_posix()
                assert (inside if folder == "wiregen" else f"wiregen/{inside}") in names
    assert not any(name.startswith(("tests/", "bench/", "door_specs/", "output/")) for name in names)


def test_it_makes_a_packet_in_an_empty_folder(wheel: Path, tmp_path: Path) -> None:
    installed, empty = tmp_path / "installed", tmp_path / "empty"
    empty.mkdir()
    options = ("--quiet", "--no-deps", "--no-index", "--no-compile", "--target", str(installed))
    pip = [sys.executable, "-m", "pip", "install", *options, str(wheel)]
    subprocess.run(pip, check=True, capture_output=True)
    site = quick_site(tmp_path / "specs" / "mill", doors=1)
    environment = {**os.environ, "PYTHONPATH": str(installed)}

    def run(*arguments: str) -> subprocess.CompletedProcess[str]:
        command = [sys.executable, *arguments]
        return subprocess.run(command, cwd=empty, env=environment, capture_output=True, text=True, check=False)

    assert run("-c", "import wiregen; print(wiregen.__file__)").stdout.startswith(str(installed))
    done = run("-m", "wiregen", "packet", str(site))
    assert done.returncode == 0, done.stderr
    assert (empty / "output" / "mill" / "packet.pdf").read_bytes().startswith(b"%PDF")

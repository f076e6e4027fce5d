"""Runs the real command line in a process of its own."""

from __future__ import annotations

import os
import subprocess
import sys
from collections.abc import Mapping
from pathlib import Path

from tests.small_site import ROOT, lay_out_site

SPECS = ROOT / "tests" / "review" / "specs"


def wiregen(
    *arguments: str | Path, cwd: Path | None = None, env: Mapping[str, str] | None = None, python: tuple[str, ...] = ()
) -> subprocess.CompletedProcess[str]:
    """Exit status and both streams of `wiregen ARGUMENTS`."""
    command = [sys.executable, *python, "-m", "wiregen", *map(str, arguments)]
    environment = {**os.environ, "PYTHONPATH": str(ROOT), **(env or {})}
    return subprocess.run(command, capture_output=True, text=True, encoding="utf-8", cwd=cwd, env=environment, check=False)


def two_doors(folder: Path) -> Path:
    """A small site with a door on a strike and one on a magnet, nothing at level stop."""
    pairs = {"E1": "secured-supply", "E2": "exit-masks"}
    doors = {door: (SPECS / pair / "cured.yaml").read_text("utf-8") for door, pair in pairs.items()}
    return lay_out_site(folder, (SPECS / "site.yaml").read_text("utf-8"), doors)


def stopped(folder: Path) -> Path:
    """A small site whose one door has findings at level stop."""
    door = (SPECS / "release-manual" / "wrong.yaml").read_text("utf-8")
    return lay_out_site(folder, (SPECS / "site.yaml").read_text("utf-8"), {"E1": door})


def broken(folder: Path) -> Path:
    """A small site that cannot be used: a device of a type that no data sheet describes, though one is near."""
    door = (SPECS / "volts" / "cured.yaml").read_text("utf-8").replace("contact-plain", "contact-plane") + "# contact-plain"
    return lay_out_site(folder, (SPECS / "site.yaml").read_text("utf-8"), {"E1": door})

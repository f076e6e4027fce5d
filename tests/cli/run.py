"""Runs the command line: its own entry point in this process, or a process of its own where the environment matters."""

from __future__ import annotations

import contextlib
import os
import subprocess
import sys
import tempfile
from collections.abc import Mapping
from pathlib import Path

from tests.small_site import ROOT, lay_out_site
from wiregen.cli import main

SPECS = ROOT / "tests" / "review" / "specs"


def wiregen(
    *arguments: str | Path, cwd: Path | None = None, env: Mapping[str, str] | None = None, python: tuple[str, ...] = ()
) -> subprocess.CompletedProcess[str]:
    """Exit status and both streams of `wiregen ARGUMENTS`; with `env` or `python` (its options) in a process of its own."""
    command = [sys.executable, *python, "-m", "wiregen", *map(str, arguments)]
    if env is None and not python:
        return _here(command, [*map(str, arguments)], cwd or Path.cwd())
    environment = {**os.environ, "PYTHONPATH": str(ROOT), **(env or {})}
    return subprocess.run(command, capture_output=True, text=True, encoding="utf-8", cwd=cwd, env=environment, check=False)


def _here(command: list[str], arguments: list[str], cwd: Path) -> subprocess.CompletedProcess[str]:
    with contextlib.ExitStack() as stack:
        out, err = (stack.enter_context(tempfile.NamedTemporaryFile("w", encoding="utf-8")) for _ in range(2))
        with contextlib.chdir(cwd), contextlib.redirect_stdout(out), contextlib.redirect_stderr(err):
            try:
                main(arguments)
                raise AssertionError("the command line came back instead of ending")
            except SystemExit as end:
                status = end.code if isinstance(end.code, int) else 1
        for stream in (out, err):
            stream.flush()
        return subprocess.CompletedProcess(command, status, *(Path(s.name).read_text("utf-8") for s in (out, err)))


def two_doors(folder: Path) -> Path:
    """A small site with a door on a strike and one on a magnet, nothing at level stop."""
    pairs = {"E1": "secured-side--supply-outside", "E2": "exit-masks"}
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

"""What a shell asks for while a command is typed, by the mechanism that click documents (click: Shell Completion)."""

from __future__ import annotations

import shlex
from pathlib import Path

import pytest

from tests.cli.run import wiregen
from tests.demo import SPECS, site_of
from wiregen.review.review import RULES

FERNHILL = str(SPECS / "fernhill")


def offered(*words: str | Path, cwd: Path | None = None, **env: str) -> dict[str, str]:
    """Words with what is told of them, as fish is given them; the last word is the one begun."""
    asked = {"_WIREGEN_COMPLETE": "fish_complete", "COMP_WORDS": shlex.join(map(str, ("wiregen", *words[:-1]))), **env}
    done = wiregen(cwd=cwd, env={**asked, "COMP_CWORD": str(words[-1])})
    assert (done.returncode, done.stderr) == (0, "")
    lines = [line.partition(",")[2].partition("\t") for line in done.stdout.splitlines() if line]
    return {word: about for word, _, about in lines}


def test_doors_of_the_site_with_their_names(tmp_path: Path) -> None:
    doors = {door.id: door.name for door in site_of("fernhill").doors.values() if door.id.startswith("D12")}
    assert offered("check", FERNHILL, "--door", "D12") == doors
    assert offered("check", "--door", "D12", cwd=SPECS / "fernhill") == doors, "in the site's own folder"
    assert offered("check", "--door", "D12", cwd=tmp_path) == {}


def test_rules_and_kits() -> None:
    begun = {code: rule.words for code, rule in RULES.items() if code.startswith("fire")}
    assert offered("check", "--explain", "fire") == begun
    assert set(offered("new", "door", FERNHILL, "--type", "m")) >= {"magnet", "mortise"}
    assert "stair-leaf" in offered("new", "door", FERNHILL, "--type", "")


@pytest.mark.parametrize("shell", ["bash", "zsh", "fish"])
def test_each_shell_is_given_its_script(shell: str) -> None:
    done = wiregen(env={"_WIREGEN_COMPLETE": f"{shell}_source"})
    assert done.returncode == 0
    assert f"_WIREGEN_COMPLETE={shell}_complete" in done.stdout

"""Every rule on a pair of doors, one wrong and one cured: it finds the wrong one at its line and is silent on the cured.

A folder of `specs/` is named after the code that it is for (what follows `--` tells cases apart); in `wrong.yaml` each line
where a finding must stand ends in `# found here`.  What the rules ask is trade practice and, where they say so, a code;
see the sources of the rules themselves.  What opens which lock from outside is trade knowledge: a lock that needs power to
open is opened by joining what its relay joins, one that needs power to hold by cutting it, and a board inside obeys a
controller outside that is told to unlock.
"""

from __future__ import annotations

import re
import shutil
from collections.abc import Sequence
from pathlib import Path

import pytest

from tests.small_site import lay_out_site
from wiregen.attacks.model import Tried
from wiregen.build import Examined, examine
from wiregen.review.model import Finding
from wiregen.review.review import RULES

SPECS = Path(__file__).parent / "specs"
PAIRS = sorted(path.name for path in SPECS.iterdir() if path.is_dir())
MARK = "# found here"
# of a whole site, or only told: with tests of their own in test_site.py
ELSEWHERE = {"battery", "letters", "contact-twice", "contact-at-rest", "crosses-outside", "other-door", "secured-supply"}
ELSEWHERE |= {"line-cable-small", "wiring", "battery-short", "accepted-nothing", "by-unsaid"}


def lay_out_pair(pair: str, which: str, folder: Path) -> Path:
    """The site of one side of a pair, with its own data sheets."""
    site = SPECS / pair / "site.yaml"
    text = (site if site.exists() else SPECS / "site.yaml").read_text("utf-8")
    door = (SPECS / pair / f"{which}.yaml").read_text("utf-8")
    made = lay_out_site(folder / "site", text, {"door": door})
    for sheet in (SPECS / pair).glob("devices/*.yaml"):
        shutil.copy(sheet, made / "devices")
    return made


def examined(pair: str, which: str, folder: Path) -> Examined:
    return examine(lay_out_pair(pair, which, folder))


def _attacked(known: Examined) -> Tried:
    """What was tried from outside on the one door of a pair."""
    (door,) = known.site.doors
    tried = known.studies[door].tried
    assert tried is not None
    return tried


def test_every_rule_has_a_pair() -> None:
    assert {pair.split("--")[0] for pair in PAIRS} | ELSEWHERE == set(RULES)


@pytest.mark.parametrize("pair", PAIRS)
def test_the_wrong_one_is_found_at_its_line(pair: str, tmp_path: Path) -> None:
    code = pair.split("--")[0]
    lines = (SPECS / pair / "wrong.yaml").read_text("utf-8").splitlines()
    marked = {("door.yaml", number) for number, text in enumerate(lines, 1) if text.endswith(MARK)}
    known = examined(pair, "wrong", tmp_path)
    findings = [f for f in known.findings if f.code == code]
    assert marked
    assert {(Path(f.where.file).name, f.where.line) for f in findings} == marked
    assert all(f.cure and f.message and f.source for f in findings)
    if code.startswith("secured-"):
        assert _attacked(known).successes
        _tell_nobody_how(known.findings)


def _tell_nobody_how(findings: Sequence[Finding]) -> None:
    """A finding on tampering names the door and the cure; which two points open it stands in no packet, record or log."""
    found = [f for f in findings if f.code.startswith("secured-")]
    assert found
    for finding in found:
        assert not re.search(r"\b[A-Z]+\d+:\S", finding.message)
        assert not re.search(r"\b(short|join|bridge|cut)", finding.message)


@pytest.mark.parametrize("pair", PAIRS)
def test_the_cured_one_is_silent(pair: str, tmp_path: Path) -> None:
    code, known = pair.split("--")[0], examined(pair, "cured", tmp_path)
    assert [f for f in known.findings if f.code == code and f.level != "note"] == []
    assert [f for f in known.findings if f.level == "stop"] == []
    if code.startswith("secured-"):
        assert sum(count for _, count in _attacked(known).counts)
        assert _attacked(known).successes == ()

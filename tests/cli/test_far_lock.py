"""A lock too far from its supply, as a designer meets it: a sheet that nobody may install from, and the cable that cures it."""

from __future__ import annotations

import re
from pathlib import Path

import pytest

from tests.cli.run import SPECS, wiregen
from tests.packet.pages import texts
from tests.small_site import lay_out_site
from wiregen.build import examine
from wiregen.review.model import Finding

STOCK = "power: [cable-2x0.75, cable-2x1.0, cable-2x1.5, cable-2x2.5, cable-4x0.75]"
# what the cure says: "cable-2x1.5 (1.5 mm2) in place of W3 (frame to box)"
CURE = r"(?P<type>\S+) \((?P<size>[\d.]+ mm2)\) in place of (?P<ref>W\d+) \((?P<a>\w+) to (?P<b>\w+)\)"


def far(folder: Path, metres: int, lock: str = "Y1", cables: str = "") -> Path:
    """A small site whose one door has its strike, or a bank of strikes, so far from the controller that feeds it."""
    site = re.sub(r"power: .*", f"{STOCK[:-1]}, cable-4x1.0]", (SPECS / "site.yaml").read_text("utf-8"))
    door = (SPECS / "volts-short" / "wrong.yaml").read_text("utf-8").replace("70 m", f"{metres} m").replace("Y1:", f"{lock}:")
    return lay_out_site(folder, site, {"E2": f"{cables}\n{door}" if cables else door})


def shorts(site: Path) -> list[Finding]:
    """The findings of locks that get too few volts."""
    return [finding for finding in examine(site).findings if finding.code == "volts-short"]


def cured(findings: list[Finding]) -> str:
    """The cures as an author would write them into the door's `cables`."""
    found = [(re.match(CURE, f.cure), f.message.split(".")[0]) for f in findings]
    words = [f"{m['ref']}: {{type: {m['type']}, along: [{m['a']}, {m['b']}], for: [{lock}]}}" for m, lock in found if m]
    assert len(words) == len(findings)
    return f"cables: {{{', '.join(words)}}}"


def test_it_prints_only_as_not_for_installation(tmp_path: Path) -> None:
    done = wiregen("packet", far(tmp_path / "mill", 70), "-o", tmp_path / "out")
    assert done.returncode == 1, done.stderr
    assert "volts-short" in done.stdout + done.stderr
    pages = texts((tmp_path / "out" / "packet.pdf").read_bytes())
    of_door = [text for text in pages if re.search(r"\bE2 A [0-9A-F]{8} page|\bMILL-E2-W\b", text)]  # its sheets by their foot
    assert len(of_door) > 4
    assert all("NOT FOR INSTALLATION" in text for text in of_door)
    (cause,) = (text for text in of_door if "volts-short" in text)
    assert "W3" in cause
    assert "cable-2x1.5" in cause


def test_the_cable_that_it_names_cures_it(tmp_path: Path) -> None:
    wrong = far(tmp_path / "mill", 70)
    (found,) = shorts(wrong)
    assert found.level == "stop"
    assert "data sheet strike-12: range of Y1.coil" in found.message
    told = re.match(CURE, found.cure)
    assert told
    assert {told["a"], told["b"]} == {"box", "frame"}  # the run
    assert told["size"] == "1.5 mm2"
    assert wiregen("check", wrong).returncode == 1
    done = wiregen("check", far(tmp_path / "cured", 70, cables=cured([found])))
    assert done.returncode == 0, done.stderr
    assert "volts-short" not in done.stdout


@pytest.mark.parametrize(("metres", "lock"), [(45, "Y1"), (55, "Y1"), (75, "Y1"), (40, "Y1..2"), (52, "Y1..2"), (70, "Y1..2")])
def test_at_any_length_and_with_a_second_strike_beside_it(metres: int, lock: str, tmp_path: Path) -> None:
    """A strike beside it draws over the same contact: the cable that is named allows for it."""
    found = shorts(far(tmp_path / "mill", metres, lock))
    assert found
    assert shorts(far(tmp_path / "cured", metres, lock, cured(found))) == []

"""A value that a data sheet does not give: the study says which figure it is wanted for and where to add it, and goes on."""

from __future__ import annotations

import re
from pathlib import Path

import pytest

from tests.review.test_pairs import SPECS
from tests.small_site import lay_out_site
from wiregen.build import examine
from wiregen.study.model import Study

STRIKE, INPUT, CONDUIT = "volts-short", "input-doubtful", "conduit-full"

# pair whose cured door it is, data sheet, what is taken out of it (a regular expression), and what is then said
TAKEN_OUT = [
    (STRIKE, "strike-12", r"inside:\n.*\n", "current of Y1.coil (its data sheet gives neither load nor coil)"),
    (STRIKE, "strike-12", r", inductance: 180 mH ±15 %", "release time of Y1: its data sheet strike-12 gives no inductance"),
    (STRIKE, "reader-osdp", r", range: [^,}]*", "least volts of U1.power: its data sheet gives neither a range nor"),
    (STRIKE, "inner-controller", r", poe-class: 4", "class of A1.lan: inner-controller gives none (groups: lan: poe-class)"),
    (STRIKE, "inner-controller", r", own: 3.4 W ±10 %", "watts that A1 takes itself: its data sheet inner-controller"),
    (STRIKE, "inner-controller", r", limit: 1.1 A", "what A1.out can give: its data sheet inner-controller gives no limit"),
    (STRIKE, "inner-controller", r"dc-13: 1 A 30 V, ", "whether A1.relay carries Y1.coil: its data sheet inner-controller"),
    (STRIKE, "contact-plain", r", rating: {.*?}", "whether B1.tell carries A1.door: its data sheet contact-plain"),
    (STRIKE, "inner-controller", r", pull-up: 2.2 kohm to 5 V", "what A1.door puts on the contact that it reads"),
    (STRIKE, "diode-1a", r", rating: 1 A 400 V", "what R1 (diode) at Y1 stands: its data sheet diode-1a gives no"),
    (INPUT, "inner-controller", r", pull-up: 2.2 kohm to 5 V", "volts at A1.door: its data sheet inner-controller gives no"),
    (CONDUIT, "link-cat6", r"diameter: .*\n", "fill of the conduit to box: link-cat6 gives no diameter"),
]  # fmt: skip


def study(folder: Path, pair: str, sheet: str = "", out: str = "") -> Study:
    door = (SPECS / pair / "cured.yaml").read_text("utf-8")
    made = lay_out_site(folder / "site", (SPECS / "site.yaml").read_text("utf-8"), {"E2": door})
    if sheet:
        path = made / "devices" / f"{sheet}.yaml"
        less, times = re.subn(out, "", path.read_text("utf-8"))
        assert times
        path.write_text(less, encoding="utf-8")
    return examine(made).studies["E2"]


@pytest.mark.parametrize("pair", [STRIKE, INPUT])
def test_nothing_is_missing_of_whole_data_sheets(pair: str, tmp_path: Path) -> None:
    assert study(tmp_path, pair).missing == ()


@pytest.mark.parametrize(("pair", "sheet", "out", "said"), TAKEN_OUT)
def test_what_is_missing_is_named(pair: str, sheet: str, out: str, said: str, tmp_path: Path) -> None:
    missing = study(tmp_path, pair, sheet, out).missing
    assert [text for text in missing if said in text], missing


@pytest.mark.parametrize(
    ("sheet", "out", "noted"),
    [
        ("inner-controller", r", efficiency: 86 %", "efficiency"),
        ("cable-2x1.0", r"stranded: class 5\n", "the data sheet does not say how a core is made up"),
        ("poe-switch-16", r", allots: use", "does not say whether it allots by class or by use"),
    ],
)
def test_a_default_that_is_taken_is_noted_with_the_figure(sheet: str, out: str, noted: str, tmp_path: Path) -> None:
    door = (SPECS / STRIKE / "cured.yaml").read_text("utf-8")
    made = lay_out_site(tmp_path / "site", (SPECS / "site.yaml").read_text("utf-8"), {"E2": door})
    path = made / "devices" / f"{sheet}.yaml"
    path.write_text(re.sub(out, "", path.read_text("utf-8")), encoding="utf-8")
    notes = {figure.note for told in examine(made).studies.values() for figure in told.figures}
    assert [note for note in notes if noted in note]
    before = lay_out_site(tmp_path / "whole", (SPECS / "site.yaml").read_text("utf-8"), {"E2": door})
    assert not [f for told in examine(before).studies.values() for f in told.figures if noted in f.note]

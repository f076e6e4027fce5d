"""What doors draw together from what they share: three doors that are fine apart and too much together, and sums by hand."""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import replace
from functools import cache
from math import isclose
from pathlib import Path

import pytest

from tests.cli.run import wiregen
from tests.demo import examined
from tests.packet.pages import opened, packet
from tests.small_site import lay_out_site
from wiregen.build import Examined, examine
from wiregen.reading.model import Band, Joint
from wiregen.reading.shared import SITE
from wiregen.study.formula import CALLS
from wiregen.study.hanging import Part, at_once
from wiregen.study.model import Figure

SHARED = """\
site: Osier Works
codes: {egress: local code}
stock:
  power: [cable-2x1.0, cable-4x1.0, cable-2x2.5]
  signal: [cable-6x0.22, cable-12x0.22]
  line: cable-4x0.22s
  link: link-cat6
  wire: wire-1.0
  calm: [diode-1a, varistor-24]
  line-end: line-end-1k-1k
  strip: lever
use: {grant: 5 s, per-hour: 12}
standby: 4 h
battery: {alarm: 30 min, margin: 25 %, temperature: 15..30 °C}
revisions:
  - {rev: A, date: 2026-11-25, what: first issue}
runs: {closet-2: [closet-1, 48 m]}
shared:
  N1: {type: poe-switch-16, at: closet-1, from: mains}
  BT1: {type: battery-24-17, at: closet-1}
  G1: {type: supply-24-8, at: closet-1, from: {mains: mains, battery: BT1}, set: {fire: out of use}}
  FA1: {type: fire-contact-8, at: closet-1}
  FB1: {type: fuse-board-8, at: closet-1, from: G1.out, through: [FA1.c-1]}
"""
DOOR = """\
door: {id}
name: Shed {n}
leave-by: [sensor, button]
want: {{idle: held, grant: free, controller-dead: free, power-dead: free, fire: free}}
runs: {{box: [{closet}, 20 m], frame: [box, 3 m], inside: [box, 6 m]}}
devices:
  A1: {{type: inner-controller, at: box, from: N1.p-{n}, set: {{exit: unlock}}}}
  Y1: {{type: magnet-24, at: frame, from: {board}.f-{branch}, through: [S1.pole-1, S2.chain, A1.relay]}}
  S1: {{type: button-30s, at: inside, mount: {{height: 1100 mm, within: 1.2 m}}}}
  S2: {{type: motion, at: inside, from: A1.out, tells: {{tell: A1.exit}}}}
  B1: {{type: contact-plain, at: frame, tells: A1.door}}
"""
MAGNET = 27.3 / 104  # A: 27.3 V over 104 ohm, without its wires
MOST = 27.573 / 98.8  # A: 27.3 V +1 % over 104 ohm -5 %
# data sheet, what it says, what it says instead: each enough for one door and too little for three
SMALL = {
    "G1.out": ("supply-24-8", "limit: 8 A, overload: shuts off", "limit: 700 mA, overload: shuts off"),
    "FA1.c-1": ("fire-contact-8", "dc-13: 2 A 30 V", "dc-13: 600 mA 30 V"),
    "N1": ("poe-switch-16", "budget: 240 W together, allots: use", "budget: 40 W together, allots: class"),
    "BT1": ("battery-24-17", "capacity: 17 Ah", "capacity: 4 Ah"),
}


def _doors(count: int, board: str = "FB1", closet: str = "closet-1", shared_branch: bool = False) -> dict[str, str]:
    return {
        f"E{n}": DOOR.format(id=f"E{n}", n=n, board=board, closet=closet, branch=1 if shared_branch else n)
        for n in range(1, count + 1)
    }


Changes = tuple[tuple[str, str, str], ...]


def _laid_out(folder: Path, doors: Mapping[str, str], changes: Changes = (), site: str = SHARED) -> Path:
    laid = lay_out_site(folder / "osier", site, doors)
    for sheet, old, new in changes:
        path = laid / "devices" / f"{sheet}.yaml"
        text = path.read_text("utf-8")
        assert old in text
        path.write_text(text.replace(old, new), encoding="utf-8")
    return laid


def _figures(examined: Examined, about: str) -> dict[str, Figure]:
    return {figure.name: figure for figure in examined.studies[SITE].figures if figure.about == about}


def _broken(examined: Examined) -> set[str]:
    return {figure.about for figure in examined.studies[SITE].figures if (figure.margin or 0) < 0}


@pytest.fixture(scope="module")
def three(tmp_path_factory: pytest.TempPathFactory) -> Examined:
    return examine(_laid_out(tmp_path_factory.mktemp("three"), _doors(3)))


def test_three_doors_are_added_up_on_their_board_supply_and_battery(three: Examined) -> None:
    """Each magnet takes 27.3 V over 104 ohm and some 1 % of wire; a fire drops them all, the supply itself takes 90 mA."""
    out, battery = _figures(three, "G1.out"), _figures(three, "BT1")
    worst = out["amps of all, worst states together"]
    assert worst.formula == "E1_FB1_f_1 + E2_FB1_f_2 + E3_FB1_f_3"
    assert worst.value == pytest.approx(3 * MAGNET, rel=0.02)
    assert worst.most == pytest.approx(3 * MOST, rel=0.02)
    assert (worst.ceiling, worst.doors) == (8, ("E1", "E2", "E3"))
    assert "amps of all, in a fire" not in out
    idle, alarm = battery["amps on battery, idle and in use"], battery["amps on battery, in an alarm"]
    assert idle.value == pytest.approx(3 * MAGNET + 0.09, rel=0.02)
    assert (alarm.value, alarm.formula) == (pytest.approx(0.09), "G1_battery")
    drawn = battery["A h drawn"]
    assert drawn.value == pytest.approx(idle.value * 4 + 0.09 * 0.5)
    assert not _broken(three)
    assert not [f for f in three.findings if f.code in ("battery", "battery-short", "over-budget", "contact-small")]


def test_the_contact_in_the_feed_of_a_board_carries_all_its_doors(three: Examined) -> None:
    """Magnets are coils: dc-13, though the board between is none."""
    carried = _figures(three, "FA1.c-1")["amps through the contact"]
    assert carried.most == pytest.approx(3 * MOST, rel=0.02)
    assert carried.ceiling == 2
    assert carried.bound.startswith("dc-13 2 A 30 V")


def test_ports_of_all_doors_are_held_against_their_switch(three: Examined) -> None:
    """Class 4 for each: 30 W at the port (IEEE 802.3, clause 33)."""
    told = _figures(three, "N1")
    assert told["switch budget, as allotted by class"].value == 3 * 30
    used = [use.watts.value for door in ("E1", "E2", "E3") for use in three.studies[door].uses]
    assert told["switch budget, as used"].value == pytest.approx(sum(used))
    assert len(used) == 3


@pytest.mark.parametrize("about", SMALL)
def test_what_is_enough_for_each_door_is_too_little_for_three(about: str, tmp_path: Path) -> None:
    """One door alone passes; three are stopped, and the finding says by how much; of one of them the sheet and the exit status
    too."""
    for count in (1, 3):
        folder = _laid_out(tmp_path / str(count), _doors(count), (SMALL[about],))
        examined = examine(folder)
        stops = [f for f in examined.findings if f.level == "stop"]
        if count == 1:
            assert not stops
            assert not _broken(examined)
            continue
        assert about in _broken(examined)
        assert {f.doors for f in stops} == {("E1", "E2", "E3")}
        for figure in examined.studies[SITE].figures:
            if (figure.margin or 0) < 0:
                assert figure.ceiling or figure.floor
                assert figure.cure
                assert any(f.message.startswith(f"{figure.about}: ") and figure.name in f.message for f in stops)
        for door in ("E1", "E2", "E3"):
            assert not [f for f in examined.studies[door].figures if (f.margin or 0) < 0]
        if about != "G1.out":
            continue
        assert wiregen("check", folder).returncode == 1
        site, known = examined.site, examined.studies[SITE]
        with opened(packet(site, {SITE: examined.wirings[SITE]}, {SITE: known}, examined.findings)) as pdf:
            text = " ".join(" ".join(page.extract_text() for page in pdf.pages).split())
        assert re.search(rf"{re.escape(about)}: [^–]*fails by", text)


def test_a_branch_that_doors_share_is_held_against_its_fuse(tmp_path: Path) -> None:
    """Four magnets of 0.27 A on one fuse of 1 A: 1.1 A at the most."""
    examined = examine(_laid_out(tmp_path, _doors(4, shared_branch=True)))
    told = _figures(examined, "FB1.f-1")
    worst = told["amps of all, worst states together"]
    assert worst.most == pytest.approx(4 * MOST, rel=0.02)
    assert worst.margin == pytest.approx(1 - worst.most)
    assert (worst.margin or 0) < 0
    assert told["amps of all through the fuse"].ceiling == pytest.approx(0.8)
    assert [f.doors for f in examined.findings if f.code == "over-budget"] == [("E1", "E2", "E3", "E4")]


def test_a_board_too_far_from_its_supply_does_not_keep_what_doors_were_promised(tmp_path: Path) -> None:
    """48 m of 1.0 mm2 are 96 m at 19.5 ohm/km (IEC 60228, class 5 and 20 °C): with four magnets they take 2 V, not 1.35 V.

    2.5 mm2 at 7.98 ohm/km take 0.9 V.
    """
    far = SHARED + "  FB2: {type: fuse-board-8, at: closet-2, from: G1.aux}\n"
    doors = {**_doors(4, "FB2", "closet-2")}
    unfreed = {door: text.replace("fire: free", "fire: held") for door, text in doors.items()}
    thin = examine(_laid_out(tmp_path / "thin", unfreed, site=far))
    told = _figures(thin, "FB2.in")
    volts = told["volts for its doors, least at f-1"]
    amps = 4 * MAGNET
    assert volts.floor == pytest.approx(27.3 * 0.99 * 0.95)
    assert volts.value == pytest.approx(27.3 - amps * 96 * 0.0195, rel=0.01)
    assert volts.value == pytest.approx(volts.hand, rel=2e-3)
    assert (volts.margin or 0) < 0
    assert "cable-2x2.5" in volts.cure
    assert "cable-2x2.5" in told["volts that the run loses"].cure
    (stop,) = (f for f in thin.findings if f.code == "volts-short")
    assert stop.doors == ("E1", "E2", "E3", "E4")
    thick = far.replace("closet-2: [closet-1, 48 m]", "closet-2: {to: closet-1, length: 48 m, cable: cable-2x2.5}")
    cured = examine(_laid_out(tmp_path / "thick", unfreed, site=thick))
    held = _figures(cured, "FB2.in")["volts for its doors, least at f-1"]
    assert held.value == pytest.approx(27.3 - amps * 96 * 0.00798, rel=0.01)
    assert (held.margin or 0) > 0
    assert not [f for f in cured.findings if f.code == "volts-short"]


def test_a_battery_without_capacity_is_said_not_to_be_computed(tmp_path: Path) -> None:
    bare = _laid_out(tmp_path, _doors(1), (("battery-24-17", ", capacity: 17 Ah", ""),))
    (unknown,) = (f for f in examine(bare).findings if f.code == "battery")
    assert (unknown.level, unknown.door) == ("note", "E1")
    assert "capacity" in unknown.message


def test_of_doors_that_open_one_at_a_time_the_largest_counts() -> None:
    """Idle 0.1 A each, open 0.5 and 0.7 A: 0.1 + 0.7 A together, not 1.2 A; what is no door of the group counts as it is."""

    def amps(value: float) -> Band:
        return Band(value, value, value, "A", "")

    part = Part("E1.a", "E1", amps(0.1), amps(0), amps(0.5), 0.5)
    others = [replace(part, name=f"{door}.a", door=door, worst=amps(most)) for door, most in (("E2", 0.7), ("E3", 0.3))]
    parts = [part, *others]
    on, said = at_once(parts, [Joint("lobby", ("E1", "E2"), at_once=1)])
    assert {name: band.most for name, band in on.items()} == {"E1.a": 0.1, "E2.a": 0.7, "E3.a": 0.3}
    assert said == "lobby: 1 of E1, E2 at once, the others idle"
    assert at_once(parts, [Joint("lobby", ("E1", "E2"), together=("fire",))])[0]["E1.a"].most == 0.5


@cache
def _demo(folder: str) -> Examined:
    return examined(folder)


@pytest.mark.parametrize("folder", ["fernhill", "annex"])
def test_the_demo_sites_keep_to_every_bound_and_every_sum_can_be_worked_out_again(folder: str) -> None:
    known = _demo(folder)
    for figure in known.studies[SITE].figures:
        again = eval(figure.formula, {"__builtins__": {}}, {**CALLS, **figure.inputs})
        assert isclose(again, figure.value if figure.hand is None else figure.hand, rel_tol=1e-9, abs_tol=1e-12), figure
        assert figure.least <= figure.value <= figure.most * (1 + 1e-9), figure
        assert figure.margin is None or (figure.bound and figure.cure), figure
        assert (figure.margin or 0) >= 0, figure


def test_every_draw_of_every_door_is_counted_once() -> None:
    """What hangs on G1 of the demo, by board, and on the accessory output of the controller that two doors share."""
    known = _demo("fernhill")
    drawn = {
        f"{door}_{draw.device}_{draw.output}".replace("-", "_").replace("site/", "")
        for door, study in known.studies.items()
        for draw in study.draws
        if draw.worst.most > 1e-3
    }
    whole = {*_figures(known, "G1.out")["amps of all, worst states together"].inputs}
    whole |= _figures(known, "G1.aux")["amps of all, worst states together"].inputs.keys()
    assert {name for name in drawn if "_FB3_" not in name and "_A90_" not in name} == whole - {"A90_dc", "K90_coil"}
    acc = _figures(known, "A90.acc")["amps of all, worst states together"]
    assert set(acc.inputs) == {"D102_A90_acc", "D118_A90_acc"} == {name for name in drawn if "_A90_" in name}
    current = next(f for f in known.studies[SITE].figures if f.about == "A90.dc" and f.name == "current")
    assert current.value == pytest.approx((6 + acc.value * 12 / 0.88) / 27.3)

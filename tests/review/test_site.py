"""Findings of a whole site, what is accepted, and what may not be said."""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import replace
from pathlib import Path

import pytest

from tests import demo
from tests.review.test_pairs import PAIRS, SPECS
from tests.small_site import lay_out_site
from wiregen.build import examine
from wiregen.review.model import Finding
from wiregen.review.review import RULES, review
from wiregen.wiring.model import Remark

SITE = (SPECS / "site.yaml").read_text("utf-8")


def findings(folder: Path, doors: Mapping[str, str], site: str = SITE) -> tuple[Finding, ...]:
    return examine(lay_out_site(folder / "site", site, doors)).findings


def spec(pair: str, which: str = "cured") -> str:
    return (SPECS / pair / f"{which}.yaml").read_text("utf-8")


def moved(text: str, door: str, port: str, branch: str) -> str:
    """The same door under another id, on a port and a branch of its own."""
    text = re.sub(r"^door: \S+", f"door: {door}", text)
    return text.replace("N1.p-1,", f"N1.{port},").replace("FB1.f-1,", f"FB1.{branch},")


def with_accept(text: str, accept: str) -> str:
    return text.replace("devices:\n", f"accept: {accept}\ndevices:\n", 1)


# ---- of a whole site -------------------------------------------------------------------------------------------------


def test_one_contact_in_the_circuits_of_two_doors_stops_both(tmp_path: Path) -> None:
    one = spec("secured-side--supply-outside").replace("[S1.pole-1", "[FA1.c-2, S1.pole-1")
    two = moved(one, "E9", "p-9", "f-2")
    (found,) = (f for f in findings(tmp_path, {"E1": one, "E9": two}) if f.code == "contact-twice")
    assert (found.level, found.doors) == ("stop", ("E1", "E9"))
    line = two.splitlines()[found.where.line - 1]
    assert line[found.where.column - 1 :].startswith("FA1.c-2")
    cured = two.replace("FA1.c-2", "FA1.c-3")
    assert not [f for f in findings(tmp_path / "cured", {"E1": one, "E9": cured}) if f.code == "contact-twice"]


def test_a_shared_branch_that_one_door_takes_outside_stops_the_other(tmp_path: Path) -> None:
    """The reader of E9 hangs outside on the branch that holds the magnet of E1."""
    reader = "U1: {type: reader-long, at: outside, from: FB1.f-1, speaks: A1.w1}"
    own = re.sub(r"U1: .*", reader, moved(spec("secured-side--supply-outside"), "E9", "p-9", "f-2"))
    both = {"E1": spec("secured-side--supply-outside"), "E9": own}
    found = [f for f in findings(tmp_path, both) if f.code == "secured-supply"]
    assert [(f.door, f.level) for f in found] == [("E1", "stop")]


def test_a_battery_that_nobody_named_is_said_not_to_be_computed(tmp_path: Path) -> None:
    standby = SITE.replace(", battery: BT1", "") + "standby: 4 h\n"
    (found,) = (f for f in findings(tmp_path, {"E1": spec("secured-side--supply-outside")}, standby) if f.code == "battery")
    assert "battery not computed" in found.message
    assert (found.level, found.door) == ("note", "E1")
    assert not [f for f in findings(tmp_path / "without", {"E1": spec("secured-side--supply-outside")}) if f.code == "battery"]


@pytest.mark.parametrize(("letters", "named"), [("iec", "Y for lock (M)"), ("ieee", "Y for lock (L)")])
def test_letters_that_are_not_the_tables_are_listed_once(letters: str, named: str, tmp_path: Path) -> None:
    """Class letters as in tests/reference of the same two standards; the note never stops anything."""
    site = SITE.replace("letters: iec", f"letters: {letters}")
    (found,) = (f for f in findings(tmp_path, {"E1": spec("secured-side--supply-outside")}, site) if f.code == "letters")
    assert found.level == "note"
    assert named in found.message
    assert "S for button" not in found.message  # S is a button in both


def test_devices_at_which_two_trades_meet_and_nobody_is_named_are_listed(tmp_path: Path) -> None:
    (found,) = (f for f in findings(tmp_path, {"E2": spec("exit-masks")}) if f.code == "by-unsaid")
    assert (found.level, found.door) == ("note", None)
    assert "FA1, G1, N1, T1," in found.message  # all of the site, on mains or of the fire system
    site = re.sub(r"^(  (?:FA1|G1|N1|T1): .*)}$", r"\1, by: {supply: owner, terminate: electrician}}", SITE, flags=re.M)
    assert not [f for f in findings(tmp_path / "cured", {"E2": spec("exit-masks")}, site) if f.code == "by-unsaid"]


def test_two_contacts_that_do_alike_are_told(tmp_path: Path) -> None:
    intercom = "  A2: {type: intercom, at: box, from: N1.p-8}\n"
    both = spec("exit-masks").replace("[A1.relay]", "[A1.relay or A2.relay]").replace("grant: free", "grant: free, call: free")
    both += intercom
    found = [f for f in findings(tmp_path, {"E2": both}) if f.code == "contact-at-rest"]
    assert [f.level for f in found] == ["note"]


def test_a_line_cable_with_too_few_cores_is_told(tmp_path: Path) -> None:
    """Wiegand with a light is five leads: plus, minus, two data lines, light; the stock's line cable has four cores."""
    reader = "U1: {type: reader-wiegand, at: outside, from: A1.reader, speaks: A1.w1, obeys: {led: A1.led}}"
    found = findings(tmp_path, {"E2": re.sub(r"U1: .*", reader, spec("exit-masks"))})
    assert [f.level for f in found if f.code == "line-cable-small"] == ["note"]


def test_what_another_door_lands_here_is_told(tmp_path: Path) -> None:
    contact = "B1: {type: contact-plain, at: frame, tells: E1/A1.aux-1}"
    two = re.sub(r"B1: .*", contact, moved(spec("secured-side--supply-outside"), "E9", "p-9", "f-2"))
    two = two.replace("runs: {box: [closet-1, 20 m]", "runs: {box: [E1/box, 5 m]")
    found = [f for f in findings(tmp_path, {"E1": spec("secured-side--supply-outside"), "E9": two}) if f.code == "other-door"]
    assert [(f.door, f.level) for f in found] == [("E1", "note")]


def test_a_remark_under_an_unknown_code_is_told_all_the_same(tmp_path: Path) -> None:
    examined_ = examine(lay_out_site(tmp_path / "site", SITE, {"E2": spec("volts")}))
    wiring = replace(examined_.wirings["E2"], remarks=(Remark("something new", None, "new"),))
    found = review(examined_.site, {"E2": wiring}, examined_.studies)
    assert [(f.message, f.level) for f in found if f.code == "wiring"] == [("something new", "note")]


# ---- what is accepted ------------------------------------------------------------------------------------------------


def test_a_warning_accepted_with_a_reason_becomes_a_note(tmp_path: Path) -> None:
    wrong = with_accept(spec("exit-masks", "wrong"), "{exit-masks: {reason: the wall has no gap, by: P. Sedge}}")
    (found,) = (f for f in findings(tmp_path, {"E2": wrong}) if f.code == "exit-masks")
    assert found.level == "note"
    assert "the wall has no gap, P. Sedge" in found.message


def test_a_stop_needs_more_than_a_reason(tmp_path: Path) -> None:
    wrong = with_accept(spec("volts", "wrong"), "{volts: it has worked so far}")
    (found,) = (f for f in findings(tmp_path, {"E2": wrong}) if f.code == "volts")
    assert found.level == "stop"
    assert "who, date, clause" in found.message


def test_an_approval_turns_a_stop_into_a_warning_with_its_words(tmp_path: Path) -> None:
    approval = "{volts: {reason: rewound, who: O. Reed, date: 2026-11-12, clause: works order 7}}"
    (found,) = (f for f in findings(tmp_path, {"E2": with_accept(spec("volts", "wrong"), approval)}) if f.code == "volts")
    assert found.level == "warn"
    assert found.approved == "O. Reed, 2026-11-12, works order 7: rewound"


@pytest.mark.parametrize("code", sorted(code for code, rule in RULES.items() if rule.level == "stop" and not rule.approvable))
def test_no_approval_helps_where_people_could_be_locked_in_or_let_in(code: str, tmp_path: Path) -> None:
    pair = next(pair for pair in PAIRS if pair.split("--")[0] == code)
    approval = f"{{{code}: {{reason: wanted, who: O. Reed, date: 2026-11-12, clause: '9'}}}}"
    wrong = with_accept(spec(pair, "wrong"), approval)
    site = SPECS / pair / "site.yaml"
    found = findings(tmp_path, {"door": wrong}, (site if site.exists() else SPECS / "site.yaml").read_text("utf-8"))
    levels = {f.level for f in found if f.code == code}
    assert levels == {RULES[code].level}


BY_HANDLE = """door: E2
name: Sluice room
leave-by: handle
want: {idle: held, grant: free, controller-dead: held, power-dead: free, fire: free}
runs: {box: [closet-1, 20 m], frame: [box, 3 m], outside: [box, 4 m]}
exposed: [outside]
accept: {fire-by-wire: {reason: the handle opens, who: O. Reed, date: 2026-11-12, clause: letter of 12 November}}
devices:
  A1: {type: inner-controller, at: box, from: N1.p-2}
  U1: {type: reader-osdp, at: outside, from: A1.reader, speaks: A1.line}
  Y1: {type: strike-24-held, at: frame, from: FB2.f-1, through: [A1.relay]}
"""


def test_release_by_program_may_be_approved_only_where_a_handle_opens(tmp_path: Path) -> None:
    approval = re.search(r"^accept: (.*)$", BY_HANDLE, re.M)
    assert approval
    electrical = with_accept(spec("fire-by-wire", "wrong"), approval[1])
    found = findings(tmp_path, {"E1": electrical, "E2": BY_HANDLE})
    levels = {f.door: (f.level, f.approved) for f in found if f.code == "fire-by-wire"}
    assert levels == {"E1": ("stop", ""), "E2": ("warn", "O. Reed, 2026-11-12, letter of 12 November: the handle opens")}


@pytest.mark.parametrize("pair", ["release-numbers--height", "fire-door-latched"])
def test_what_an_authority_decides_can_be_approved(pair: str, tmp_path: Path) -> None:
    code = pair.split("--")[0]
    approval = f"{{{code}: {{reason: agreed, who: authority, date: 2026-11-12, clause: '9'}}}}"
    own = SPECS / pair / "site.yaml"
    site = (own if own.exists() else SPECS / "site.yaml").read_text("utf-8")
    found = findings(tmp_path, {"door": with_accept(spec(pair, "wrong"), approval)}, site)
    assert {f.level for f in found if f.code == code} == {"warn"}


def test_accepting_what_is_not_found_is_told(tmp_path: Path) -> None:
    text = with_accept(spec("volts"), "{exit-mask: no such code, exit-masks: nothing of it}")
    told = {f.message: f.cure for f in findings(tmp_path, {"E2": text}) if f.code == "accepted-nothing"}
    assert len(told) == 2
    assert "did you mean exit-masks?" in told.values()


# ---- what may not be said --------------------------------------------------------------------------------------------


def test_what_may_cross_is_listed(tmp_path: Path) -> None:
    """A fail-secure lock's supply that is switched inside, a coded link, contacts that only report: common practice."""
    (found,) = (f for f in findings(tmp_path, {"E3": spec("secured-side--exit-unlocks")}) if f.code == "crosses-outside")
    assert found.level == "note"
    for crossing in ("the supply of Y1 (holds without it", "the coded link of K1"):
        assert crossing in found.message
    assert not re.search(r"\b[A-Z]+\d+:\S", found.message)


# ---- the demo --------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize("site", ["fernhill", "annex"])
def test_the_demo_has_no_stop(site: str) -> None:
    found = demo.examined(site)
    assert len(found.wirings) >= 2
    assert [f for f in found.findings if f.level == "stop"] == []


@pytest.mark.parametrize("site", ["fernhill", "annex"])
def test_no_attack_on_a_demo_door_succeeds(site: str) -> None:
    """As the examination of the site tried them."""
    known = demo.examined(site)
    for door in known.site.doors:
        study = known.studies[door]
        assert study.tried is not None
        assert study.tried.successes == (), door

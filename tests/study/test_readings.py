"""Readings: what a meter should show, against sums by hand."""

from __future__ import annotations

from dataclasses import replace
from math import inf

import pytest

from tests.packet.by_hand import wire_d101
from wiregen.reading.model import Band, Condition, LineEndValues, Site
from wiregen.study.copper import Copper
from wiregen.study.line_end import line_ends
from wiregen.study.model import Reading, Study
from wiregen.study.readings import contacts, loops
from wiregen.study.words import otherwise, when
from wiregen.wiring.model import End, LineEnd


def _of(study: Study, step: str, about: str = "") -> list[Reading]:
    return [r for r in study.readings if r.step == step and about in ("", r.about)]


def test_copper_joins_what_conductors_join(yard: Site) -> None:
    copper = Copper(wire_d101(yard))
    assert copper.same(End("A1", "1"), End("K1", "C"))
    assert copper.same(End("A1", "2"), End("B1", "2"))
    assert not copper.same(End("K1", "NO"), End("K1", "C"))
    assert not copper.same(End("A1", "3"), End("A1", "3"))  # nothing is landed there


def test_supply_volts_are_read_at_output_and_load(strike: Study) -> None:
    read = {(str(r.between[0]), str(r.between[1])): (r.least, r.most) for r in _of(strike, "supply")}
    pairs = (("A1:1", "A1:2"), ("K1:+", "K1:-"), ("S1:1", "S1:2"))
    assert read == {pair: pytest.approx((11.4, 12.6), abs=2e-3) for pair in pairs}


def test_lock_volts_follow_the_contacts(strike: Study) -> None:
    """On: 12 V ±5 % over 40 ohm ±5 % and 0.9 ohm of wire and contact, a little less than the supply gives (worked by hand)."""
    read = {r.state: (r.least, r.most) for r in _of(strike, "lock", "Y1")}
    assert read["grant"] == pytest.approx((11.07, 12.38), abs=0.01)
    assert read["idle"] == read["fire"] == read["power-dead"] == (0.0, 0.1)


def test_the_diode_is_proved_both_ways(strike: Study) -> None:
    """Common practice: 0.4 to 0.8 V forward on the diode range, nothing with the red lead on the band."""
    forward, backward = _of(strike, "calmer")
    assert str(forward.between[0]) == "V1:A"
    assert 0.35 < forward.least < forward.most < 0.8  # a silicon diode shows about 0.4 to 0.8 V: common practice, no source
    assert (backward.state, backward.most) == ("red lead on the band", inf)


def test_a_door_contact_reads_closed_when_shut(strike: Study) -> None:
    read = {r.state: r for r in _of(strike, "contact", "B1")}
    assert read["door shut"].most == pytest.approx(0.6)  # 0.1 ohm of the contact, 0.5 ohm of the meter's leads
    assert (read["door open"].least, read["door open"].most) == (1e6, inf)


def test_both_leads_of_a_lock_are_tried_against_the_frame(strike: Study) -> None:
    assert [str(r.between[0]) for r in _of(strike, "insulation", "Y1")] == ["Y1:+", "Y1:-"]


def test_a_supervised_loop_has_four_cases(yard: Site) -> None:
    """1 kohm in series, 2.2 kohm across: shut 1, open 3.2 kohm, cut open, shorted nothing; cable and meter leads on top."""
    values = LineEndValues(
        series=Band(1000, 990, 1010, "ohm", "1 kohm"), across=Band(2200, 2178, 2222, "ohm", "2.2 kohm")
    )
    wiring = replace(wire_d101(yard), line_ends=(LineEnd("B1", "tell", "A1.door", None, values),))
    found, missing = line_ends(yard, wiring)
    read = {r.state: r for r in loops(wiring, found)}
    assert read["door shut"].nominal == pytest.approx(1000, abs=2)
    assert read["door shut"].nominal > 1000
    assert (read["door open"].nominal, read["door open"].least) == pytest.approx((3200, 3168), abs=2)
    assert read["cable cut"].most == inf
    assert read["cable shorted"].least == 0
    assert 0.5 < read["cable shorted"].most < 3
    assert "gives no band (groups: {door: {supervised: {short: 0..0.6 V}}})" in missing[0]
    assert not [r for r in contacts(wiring, Copper(wiring)) if r.about == "B1"]


def test_two_end_resistors_read_as_sixty_ohms(demo: dict[str, Study]) -> None:
    """TIA-485-A lines end in 120 ohm at both ends: 60 ohm across the unpowered pair of 4 m (worked out)."""
    (read,) = _of(demo["fernhill D104"], "line")
    assert read.nominal == pytest.approx(60, abs=0.2)
    assert read.least < 57 < 63 < read.most


def test_every_lock_of_the_demo_has_readings(demo: dict[str, Study]) -> None:
    assert all(r.least <= r.most for study in demo.values() for r in study.readings)
    locked = [name for name, study in demo.items() if _of(study, "lock")]
    assert len(locked) > 15


def test_conditions_in_words() -> None:
    conditions = (Condition(("powered",)), Condition(("motion",), negated=True))
    assert when(conditions) == "powered, no motion"
    assert otherwise(conditions) == "unpowered or motion seen"

"""What a meter shows with the supply off, against Ohm's law and the junction's by hand."""

from __future__ import annotations

from math import inf, log

import pytest

from tests.demo import SITES, examined
from wiregen.reading.shared import SITE
from wiregen.study.laws import THERMAL
from wiregen.study.ohmmeter import OPEN, contact, diode


def test_a_closed_contact_is_its_ohms_and_the_leads() -> None:
    """0.05 ohm (0.01 to 0.1) and leads of 0.2 ohm (0 to 0.5): common practice, no source."""
    closed, open_ = contact()
    assert (closed.nominal, closed.least, closed.most) == pytest.approx((0.25, 0.01, 0.6), abs=1e-4)
    assert (open_.nominal, open_.least, open_.most) == (inf, OPEN, inf)


def test_a_rectifier_conducts_one_way() -> None:
    """About 0.8 mA through 7 nA and an emission of 1.8: n kT/q ln(I / Is), Shockley 1949 (from memory)."""
    forward, back = diode()
    amps = (3.0 - forward.nominal) / 3000.0
    assert forward.nominal == pytest.approx(1.8 * THERMAL * log(amps / 7e-9 + 1), rel=1e-4)
    assert 0.3 < forward.least < forward.nominal < forward.most < 0.8
    assert back.nominal == inf
    assert back.least == OPEN


@pytest.mark.parametrize("site", SITES)
def test_every_reading_of_the_test_record_is_worked_out(site: str) -> None:
    """What stands on it, each with least and most; ends of a wire in a box are told on the termination sheet alone."""
    for of, study in examined(site).studies.items():
        for reading in study.readings:
            assert reading.basis in ("solved", "computed") or reading.step == "continuity", (of, reading)
            assert reading.least <= reading.nominal <= reading.most, (of, reading)
    assert SITE in examined(site).studies

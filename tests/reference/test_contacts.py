"""Utilisation categories of IEC 60947-5-1, from memory but where a second source is named."""

from __future__ import annotations

import pytest

from wiregen.study.contact import COVERED_BY, MAKES, SLOWEST, SMALL_VA


def test_make_of_each_category() -> None:
    """IEC 60947-5-1, normal conditions of use: ac-14 makes 6 times its amps (also in a search excerpt), ac-15 ten times, dc-12
    and dc-13 once (from memory)."""
    assert {c: MAKES[c] for c in ("dc-12", "dc-13", "ac-14", "ac-15")} == {"dc-12": 1, "dc-13": 1, "ac-14": 6, "ac-15": 10}


def test_small_and_large_magnets_on_alternating_current() -> None:
    """IEC 60947-5-1: ac-14 up to 72 VA, ac-15 beyond."""
    assert SMALL_VA == 72


@pytest.mark.parametrize(("watts", "seconds"), [(1.0, 0.006), (10.0, 0.060), (50.0, 0.300), (80.0, 0.300)])
def test_slowest_coil_of_dc_13(watts: float, seconds: float) -> None:
    """IEC 60947-5-1, from memory: T0.95 = 6 P ms up to 50 W, so 300 ms at most."""
    assert SLOWEST(watts=watts) == pytest.approx(seconds)


def test_a_contact_for_coils_breaks_resistances_and_not_the_other_way_round() -> None:
    """IEC 60947-5-1: dc-12 resistive loads, dc-13 electromagnets."""
    assert "dc-13" in COVERED_BY["dc-12"]
    assert "dc-12" not in COVERED_BY["dc-13"]

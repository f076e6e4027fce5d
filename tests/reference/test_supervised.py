"""Supervised inputs: the voltage divider against published examples, and the test that keeps the four cases apart."""

from __future__ import annotations

import pytest

from wiregen.study.line_end import OHMS, VOLTS


@pytest.mark.parametrize(
    ("volts", "pull_up", "ohms", "at_input"),
    [
        (15.0, 10e3, 20e3, 10.0),  # a textbook divider: 15 V, 10 and 20 kohm, 10 V
        (5.0, 1500.0, 500.0, 1.25),  # a textbook divider: 5 V, 1.5 and 0.5 kohm, 1.25 V
        (9.0, 400.0, 500.0, 5.0),  # a textbook problem: 9 V down to 5 V at 10 mA
        (9.0, 400.0, 500.0 * 1000.0 / 1500.0, 4.091),  # the same with a load of 1 kohm (worked out)
    ],
)
def test_divider(volts: float, pull_up: float, ohms: float, at_input: float) -> None:
    assert VOLTS(volts=volts, pull_up=pull_up, ohms=ohms) == pytest.approx(at_input, rel=1e-3)


def test_current_of_an_end_of_line_resistor() -> None:
    """A maker's note: 2 kohm on 5 V draw 2.5 mA; 15 V on 10 and 20 kohm 0.5 mA."""
    assert VOLTS(volts=5.0, pull_up=1e-9, ohms=2000.0) / 2000.0 == pytest.approx(2.5e-3)
    assert VOLTS(volts=15.0, pull_up=10e3, ohms=20e3) / 20e3 == pytest.approx(0.5e-3)


@pytest.mark.parametrize(
    ("case", "loop", "at_input"),
    [("closed", 0.0, 2.500), ("open", 0.0, 3.333), ("short", 0.0, 0.0), ("closed", 50.0, 2.561)],
)
def test_series_and_parallel_resistors_of_1_kohm(case: str, loop: float, at_input: float) -> None:
    """5 V, 1 kohm each of pull-up, series and across; cut it is the whole 5 V (worked out)."""
    inputs = {"series": 1000.0, "across": 1000.0, "loop": loop}
    ohms = OHMS[case](**{name: value for name, value in inputs.items() if name in OHMS[case].inputs})
    assert VOLTS(volts=5.0, pull_up=1000.0, ohms=ohms) == pytest.approx(at_input, abs=5e-4)


def test_cut_is_all_of_the_pull_up() -> None:
    assert VOLTS(volts=5.0, pull_up=1000.0, ohms=1e12) == pytest.approx(5.0)

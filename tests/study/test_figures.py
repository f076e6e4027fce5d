"""Figures: each formula gives its value on its inputs; values against hand sums and published tables."""

from __future__ import annotations

import math
from math import isclose

import pytest

from wiregen.reading.model import Band
from wiregen.study.formula import CALLS, Formula, total
from wiregen.study.model import Figure, Study


def test_every_formula_gives_its_value(demo: dict[str, Study]) -> None:
    """Worked out on the printed inputs; of a figure of the network, the sum by hand that stands beside it."""
    seen = 0
    for study in demo.values():
        for told in study.figures:
            again = eval(told.formula, {"__builtins__": {}}, {**CALLS, **told.inputs})
            assert isclose(again, told.value if told.hand is None else told.hand, rel_tol=1e-12), told
            assert told.least <= told.value <= told.most, told
            assert told.inputs.keys() == told.units.keys(), told
            assert told.source
            seen += 1
    assert seen > 100


def test_what_can_fail_says_against_what_and_what_helps(demo: dict[str, Study]) -> None:
    bounded = [told for study in demo.values() for told in study.figures if told.margin is not None]
    assert len(bounded) > 50
    for told in bounded:
        assert told.bound, told
        assert told.cure or (told.margin or 0) >= 0, told


def _of(study: Study, about: str, name: str) -> Figure:
    return next(f for f in study.figures if f.about == about and f.name == name)


def test_lock_current_by_hand(strike: Study) -> None:
    """12 V ±5 % over 40 ohm ±5 %: 0.3 A, 11.4/42 to 12.6/38."""
    told = _of(strike, "Y1.coil", "current")
    assert (told.value, told.least, told.most) == pytest.approx((0.3, 11.4 / 42, 12.6 / 38))


def test_power_into_the_controller_by_hand(strike: Study) -> None:
    """3.9 W of its own, and 45 mA, 300 mA and 35 mA at 12 V through a converter of 84 %."""
    told = _of(strike, "A1.lan", "power taken in")
    assert told.value == pytest.approx(3.9 + 12 * (0.045 + 0.3 + 0.035) / 0.84)
    assert _of(strike, "A1.lan", "class needed (9: none carries it)").value == 3


def test_least_and_most_follow_the_sense_of_each_input() -> None:
    ratio = Formula("v / r", "A", {"v": "V", "r": "ohm"}, "test")
    told = ratio.figure("x", v=Band(12, 11, 13, "V", ""), r=Band(4, 3, 5, "ohm", ""))
    assert (told.value, told.least, told.most) == (3.0, 11 / 5, 13 / 3)


def test_a_figure_may_be_an_input() -> None:
    """2 (10 to 13) W, at 2 V (1 to 2.6): the band of a figure goes on into the next."""
    watts = Formula("v * a", "W", {"v": "V", "a": "A"}, "test").figure("w", v=10.0, a=Band(1, 1, 1.3, "A", ""))
    told = Formula("w / v", "A", {"w": "W", "v": "V"}, "test").figure("a", w=watts, v=Band(2, 1, 2.6, "V", ""))
    assert (told.value, told.least, told.most) == pytest.approx((5, 10 / 2.6, 13))


@pytest.mark.parametrize(
    ("text", "inputs"), [("v / r", {"v": "V"}), ("v", {"v": "V", "r": "ohm"}), ("open('x')", {}), ("v.real", {"v": "V"})]
)
def test_a_formula_names_all_that_it_uses_and_no_more(text: str, inputs: dict[str, str]) -> None:
    with pytest.raises(ValueError, match="inputs without unit"):
        Formula(text, "A", inputs, "test")


def test_sums() -> None:
    assert total("A", {}, "test")() == 0
    assert total("A", {"Y1": "A", "U1": "A"}, "test")(Y1=0.3, U1=0.1) == pytest.approx(0.4)
    assert math.isinf(Formula("inf * a", "A", {"a": "A"}, "test")(a=1.0))


def test_what_was_not_computed_is_named_with_where_to_add_it(strike: Study) -> None:
    assert any(text.startswith("release time of Y1") and "inductance: ..." in text for text in strike.missing)

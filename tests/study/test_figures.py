"""Figures: each formula gives its value on its inputs; values against hand sums and published tables."""

from __future__ import annotations

import ast
from math import isclose

import pytest

from wiregen.reading.model import Band
from wiregen.study.figure import figure
from wiregen.study.load import PD_WATTS
from wiregen.study.model import Figure, Study

ALLOWED = (
    ast.Expression, ast.BinOp, ast.Add, ast.Sub, ast.Mult, ast.Div, ast.Name, ast.Load, ast.Constant, ast.IfExp, ast.Compare,
    ast.LtE,
)  # fmt: skip


def _again(told: Figure) -> float:
    """The formula worked out on its printed inputs; nothing but sums, quotients and comparisons is let through."""
    tree = ast.parse(told.formula, mode="eval")
    assert all(isinstance(node, ALLOWED) for node in ast.walk(tree)), told.formula
    return float(eval(compile(tree, "formula", "eval"), {"__builtins__": {}}, dict(told.inputs)))


def test_every_formula_gives_its_value(demo: dict[str, Study]) -> None:
    seen = 0
    for study in demo.values():
        for told in study.figures:
            assert isclose(_again(told), told.value, rel_tol=1e-12), told
            assert told.least <= told.value <= told.most, told
            assert told.source
            seen += 1
    assert seen > 100


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


def test_power_at_the_device_by_class() -> None:
    """IEEE 802.3-2022 as search excerpts quote it: 3.84, 6.49, 12.95, 25.5, 40, 51, 62 and 71.3 W for classes 1 to 8."""
    assert PD_WATTS == {1: 3.84, 2: 6.49, 3: 12.95, 4: 25.5, 5: 40, 6: 51, 7: 62, 8: 71.3}


@pytest.mark.parametrize(
    ("watts_sent", "volts", "ohms", "least", "class_"),
    [(15.4, 44, 20, 12.95, 3), (30, 50, 12.5, 25.5, 4), (60, 50, 6.25, 51.0, 6), (90, 52, 6.25, 71.3, 8)],
)
def test_power_by_class_follows_from_what_the_port_sends(
    watts_sent: float, volts: float, ohms: float, least: float, class_: int
) -> None:
    """IEEE 802.3-2022: what arrives is P - (P/V)²R at the port's least volts and the loop's most ohms (worked out here)."""
    assert watts_sent - (watts_sent / volts) ** 2 * ohms == pytest.approx(least, abs=0.05)
    assert PD_WATTS[class_] == pytest.approx(least)


@pytest.mark.parametrize(("area", "ohms_per_km"), [(0.823e-6, 20.95), (3.31e-6, 5.211), (2.08e-6, 8.285)])
def test_copper_against_a_wire_table(area: float, ohms_per_km: float) -> None:
    """18, 12 and 14 AWG, solid, 20 °C, by the wire tables (mm² as the US code's table 8 gives them: 0.5 %)."""
    from wiregen.study.study import RESISTIVITY

    assert RESISTIVITY * 1000 / area == pytest.approx(ohms_per_km, rel=0.005)


def test_least_and_most_follow_the_sense_of_each_input() -> None:
    told = figure(
        "x", "A", "v / r", lambda v, r: v / r, "test", "", falls=("r",),
        v=Band(12, 11, 13, "V", ""), r=Band(4, 3, 5, "ohm", ""),
    )  # fmt: skip
    assert (told.value, told.least, told.most) == (3.0, 11 / 5, 13 / 3)


def test_what_was_not_computed_is_named(strike: Study) -> None:
    assert {"battery", "volts along the cable", "release times"} <= set(strike.missing)

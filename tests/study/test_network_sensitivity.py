"""Sensitivities against finite differences: each parameter of each element moved by a little, and solved again."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from tests.study.random_networks import make
from wiregen.study.elements import Converter, Diode, Element, Load, Resistor, Source, pairs
from wiregen.study.network import Network

SHIFT = 1e-5  # part of a parameter's value
SEEDS = range(4, 16)


def moved(elements: list[Element], name: str, what: str, part: float) -> Network:
    return Network([replace(e, **{what: getattr(e, what) * (1 + part)}) if e.name == name else e for e in elements])


@pytest.mark.parametrize("seed", SEEDS)
def test_a_sensitivity_is_what_a_moved_parameter_does(seed: int) -> None:
    elements, states = make(seed)
    network = Network(elements)
    at = network.solve(states)
    asked = [pairs(e)[-1] for e in elements if isinstance(e, Load | Diode | Converter | Resistor)][::3]
    names = [e.name for e in elements][::4]
    volts = np.array([at.sensitivity(*pair) for pair in asked])
    amps = np.array([at.current_sensitivity(name) for name in names])
    for p, (name, what) in enumerate(network.parameters):
        said = f"{name} {what}"
        size = getattr(network.elements[name], what)
        up, down = (moved(elements, name, what, part).solve(states) for part in (SHIFT, -SHIFT))
        # next to a bend in a law (a limit, the least volts) the two sides differ: no slope to compare with there
        smooth = np.array([
            a == b for a, b in zip(zip(up.limited(), up.brown_out(), strict=True),
                                   zip(down.limited(), down.brown_out(), strict=True), strict=True)
        ])
        for n, pair in enumerate(asked):
            by = (up.across(*pair) - down.across(*pair)) / (2 * SHIFT)
            held = smooth & (at.thevenin(*pair) < 1e5)  # rounding is all that moves what floats
            np.testing.assert_allclose(held * volts[n, :, p] * size, held * by, rtol=2e-4, atol=2e-5, err_msg=said)
        for n, other in enumerate(names):
            by = (up.current(other) - down.current(other)) / (2 * SHIFT)
            np.testing.assert_allclose(smooth * amps[n, :, p] * size, smooth * by, rtol=2e-4, atol=2e-4, err_msg=said)


def test_a_converter_makes_the_network_unsymmetric_and_the_transpose_is_taken() -> None:
    """By hand: 24 V behind 2 ohm feeds 12 V into 12 ohm at 80 %; input amps I = 15 W / v, v = 24 - 2 I."""
    network = Network([
        Source("G", "p", "m", 24.0, 2.0),
        Converter("A", "p", "m", "o", "z", 12.0, 1e-6, 0.8, 18.0),
        Resistor("lamp", "o", "z", 12.0),
    ])
    at = network.solve([{}])
    v = (24 + (24**2 - 4 * 2 * 15) ** 0.5) / 2
    assert at.across("p", "m") == pytest.approx([v], rel=1e-6)
    by = dict(zip(network.parameters, at.sensitivity("p", "m")[0], strict=True))
    grow = v / (2 * v - 24)  # dv/dE of v² - E v + r W = 0
    assert by["G", "volts"] == pytest.approx(grow, rel=1e-5)
    assert by["A", "efficiency"] == pytest.approx(2 * (12 / 0.8**2) / (2 * v - 24), rel=1e-5)
    assert by["lamp", "ohms"] == pytest.approx(2 * (12 / 12 / 0.8) / (2 * v - 24), rel=1e-5)
    back = dict(zip(network.parameters, at.sensitivity("o", "z")[0], strict=True))
    assert back["G", "volts"] == pytest.approx(0.0, abs=1e-9)  # its output does not feel its input


def test_between_two_islands_nothing_grows() -> None:
    network = Network([Source("G", "p", "m", 24.0, 2.0), Source("E", "x", "y", 12.0, 1.0)])
    assert not network.solve([{}]).sensitivity("p", "x").any()

"""Coils, calmers and limiters against textbook problems, makers' ratings, and the differential equation solved by scipy."""

from __future__ import annotations

from collections.abc import Callable

import numpy as np
import pytest
from scipy.integrate import solve_ivp

from wiregen.study.calming import CHARGE, COLD, STEP
from wiregen.study.decay import CLAMPED, RELEASE, STORED, TAU, VARISTOR, fall, ring, rung_time, varistor_volts


def test_current_of_a_coil_after_two_time_constants() -> None:
    """OpenStax College Physics, RL circuits, a problem: 7.50 mH, 3.00 ohm, 10.0 A; after 5.00 ms 1.35 A (from memory)."""
    assert TAU(inductance=7.5e-3, resistance=3.0) == pytest.approx(2.50e-3)
    after = [RELEASE(inductance=7.5e-3, resistance=3.0, volts=30.0, clamp=0.0, lets_go=3.0 * amps) for amps in (1.355, 1.345)]
    assert after[0] <= 5.00e-3 <= after[1]  # 1.35 A to its last printed figure


def test_source_free_coil() -> None:
    """A homework problem of a source-free circuit: 1 ohm, 2 H, 100 mJ; 0.3162 A, 0.1918 A after 1 s, 13.53 mJ after 2 s."""
    assert STORED(inductance=2.0, amps=0.3162) == pytest.approx(0.100, rel=1e-3)
    for amps, seconds in ((0.1918, 1.0), ((2 * 13.53e-3 / 2.0) ** 0.5, 2.0)):
        took = RELEASE(inductance=2.0, resistance=1.0, volts=0.3162, clamp=0.0, lets_go=amps)
        assert took == pytest.approx(seconds, rel=1e-3)


@pytest.mark.parametrize(
    ("henries", "amps", "joules"),
    [(0.4, 0.030, 0.18e-3), (0.032, 5.0, 0.4), (3.0, 2.0, 6.0), (2.5, 0.040, 2e-3), (13.89, 0.060, 25e-3)],
)
def test_energy_in_a_coil(henries: float, amps: float, joules: float) -> None:
    """Energy drills with answers: 400 mH at 30 mA, 32 mH at 5 A, 3.0 H at 2.0 A, 2.5 H at 40 mA, 13.89 H at 60 mA."""
    assert STORED(inductance=henries, amps=amps) == pytest.approx(joules, rel=1e-3)


def test_measured_relay_without_a_calmer() -> None:
    """Measured relay: 12 V, 275 ohm, 2.29 H; 43.6 mA gone in 0.5 ms; 211.7 V at the switch, leaving out the coil's own drop.

    That drop falls from 12 V to nothing, so it takes off 6 V on the average.
    """
    clamp = 211.7 - 12.0 - 6.0
    assert RELEASE(inductance=2.29, resistance=275.0, volts=12.0, clamp=clamp, lets_go=0.0) == pytest.approx(0.5e-3, rel=0.01)


def test_measured_relay_with_a_resistor() -> None:
    """Measured relay: coil 120 ohm at 12 V, 680 ohm across it: about 65 V at its peak."""
    assert STEP(amps=12 / 120, ohms=680.0) == pytest.approx(65, rel=0.05)


@pytest.mark.parametrize(("volts", "times"), [(24.0, 5.0), (12.0, 8.0)])
def test_a_plain_diode_takes_five_to_eight_times_as_long_as_a_clamp(volts: float, times: float) -> None:
    """Common practice, no source: to 10 % of the current, against a clamp of 40 V, on a coil for 24 and for 12 V."""

    def took(clamp: float) -> float:
        return RELEASE(inductance=1.0, resistance=1.0, volts=volts, clamp=clamp, lets_go=volts / 10)

    assert took(0.7) / took(40.0) == pytest.approx(times, rel=0.03)


@pytest.mark.parametrize(("volts", "amps"), [(120.0, 564.0), (325.0, 30.0)])
def test_cold_ohms_of_a_limiter(volts: float, amps: float) -> None:
    """Limiter makers: least cold ohms = peak volts / most amps; 120 V and 564 A 0.213 ohm, 325 V and 30 A 10.83 ohm."""
    assert COLD(volts=volts, amps=amps) == pytest.approx({120.0: 0.213, 325.0: 10.83}[volts], rel=2e-3)


def test_energy_that_a_limiter_takes() -> None:
    """½ L I² of 565 uH and 564 A is 90 J (a maker's example); ½ C V² of 330 uF and 325 V is 17.43 J."""
    assert STORED(inductance=565e-6, amps=564.0) == pytest.approx(90, rel=3e-3)
    assert CHARGE(capacitance=330e-6, volts=325.0) == pytest.approx(17.43, rel=1e-3)


def test_energy_of_a_clamp() -> None:
    """Data sheets of power switches: without resistance a clamp across the coil takes all of ½ L I².

    A clamp across the switch takes Vcl / (Vcl - Vs) times as much; with resistance
    E = Vcl L/R ((Vs - Vcl)/R ln(1 + R I/(Vcl - Vs)) + I).
    """
    assert CLAMPED(inductance=0.5, resistance=0.01, clamp=40.0, amps=0.25) == pytest.approx(0.5 * 0.5 * 0.25**2, rel=1e-3)
    henries, ohms, amps, clamp, source = 0.64, 104.0, 0.2625, 64.0, 24.0
    switch = clamp * henries / ohms * ((source - clamp) / ohms * np.log(1 + ohms * amps / (clamp - source)) + amps)
    ours = CLAMPED(inductance=henries, resistance=ohms, clamp=clamp - source, amps=amps) * clamp / (clamp - source)
    assert ours == pytest.approx(switch, rel=1e-12)


COILS = [(0.18, 40.0, 12.0, 1.5), (0.64, 104.0, 27.3, 2.0), (4.2, 1100.0, 24.0, 2.4), (0.0075, 3.0, 30.0, 3.0)]  # H, ohm, V, V


def _solved(henries: float, ohms: float, volts: float, clamp: Callable[[float], float], seconds: np.ndarray) -> np.ndarray:
    """The current by scipy's solver, held at nothing once it is there."""

    def law(_: float, amps: np.ndarray) -> list[float]:
        now = max(float(amps[0]), 0.0)
        return [-(ohms * now + clamp(now)) / henries if now > 0 else 0.0]

    steps = float(seconds[-1]) / 500
    told = solve_ivp(law, (0.0, float(seconds[-1])), [volts / ohms], t_eval=seconds, rtol=1e-9, atol=1e-9, max_step=steps)
    return np.maximum(told.y[0], 0.0)


@pytest.mark.parametrize(("henries", "ohms", "volts", "lets_go"), COILS)
@pytest.mark.parametrize("clamp", [0.8, 12.0, 40.0, 300.0])
def test_decay_with_a_clamp_against_scipy(henries: float, ohms: float, volts: float, lets_go: float, clamp: float) -> None:
    """A diode (0.8 V), zeners and a spark: the curve within 1 % of the first current, the release time within 1 %."""
    curve = fall("", henries, ohms, volts / ohms, lambda i: np.full_like(i, clamp))
    seconds = np.array(curve.seconds)
    solved = _solved(henries, ohms, volts, lambda _: clamp, seconds)
    assert np.abs(np.array(curve.amps) - solved).max() < 0.01 * volts / ohms
    took = RELEASE(inductance=henries, resistance=ohms, volts=volts, clamp=clamp, lets_go=lets_go)
    assert np.interp(took, seconds, solved) == pytest.approx(lets_go / ohms, abs=0.01 * volts / ohms)
    fine = np.linspace(0.0, curve.seconds[-1], 20001)
    passed = fine[np.argmax(_solved(henries, ohms, volts, lambda _: clamp, fine) <= lets_go / ohms)]
    assert took == pytest.approx(passed, rel=0.01)


@pytest.mark.parametrize(("henries", "ohms", "volts", "lets_go"), COILS)
def test_decay_with_a_varistor_against_scipy(henries: float, ohms: float, volts: float, lets_go: float) -> None:
    """The curve within 1 %; the formula, which holds its clamp volts still, has scipy's time between its ends."""
    curve = fall("", henries, ohms, volts / ohms, lambda i: varistor_volts(47.0, i))
    solved = _solved(henries, ohms, volts, lambda i: float(varistor_volts(47.0, i)), np.array(curve.seconds))
    assert np.abs(np.array(curve.amps) - solved).max() < 0.01 * volts / ohms
    fine = np.linspace(0.0, curve.seconds[-1], 20001)
    amps = _solved(henries, ohms, volts, lambda i: float(varistor_volts(47.0, i)), fine)
    passed = fine[np.argmax(amps <= lets_go / ohms)]
    ends = [VARISTOR(clamps=47.0, amps=at, one_milliampere=0.001, exponent=25.0) for at in (volts / ohms, lets_go / ohms)]
    times = [RELEASE(inductance=henries, resistance=ohms, volts=volts, clamp=end, lets_go=lets_go) for end in ends]
    assert times[0] <= passed <= times[1]


@pytest.mark.parametrize(("henries", "ohms", "volts", "lets_go"), COILS)
@pytest.mark.parametrize(("series", "farads"), [(100.0, 220e-9), (47.0, 1e-6), (680.0, 100e-6)])
def test_decay_with_resistor_and_capacitor_against_scipy(
    henries: float, ohms: float, volts: float, lets_go: float, series: float, farads: float
) -> None:
    """L di/dt = u - (R + r) i, C du/dt = -i, the capacitor charged to the source's volts when the contact opens."""
    curve = ring("", henries, ohms, series, farads, volts)

    def law(_: float, x: np.ndarray) -> list[float]:
        return [(x[1] - (ohms + series) * x[0]) / henries, -x[0] / farads]

    def below(_: float, x: np.ndarray) -> float:
        return float(x[0] - lets_go / ohms)

    below.terminal = True  # type: ignore[attr-defined]
    start = [volts / ohms, volts]
    told = solve_ivp(law, (0.0, curve.seconds[-1]), start, t_eval=curve.seconds, method="LSODA", rtol=1e-9, atol=1e-12)
    assert np.abs(np.array(curve.amps) - told.y[0]).max() < 0.01 * volts / ohms
    took = rung_time(henries, ohms, series, farads, volts, lets_go)
    passed = solve_ivp(law, (0.0, 10 * took), start, events=below, method="LSODA", rtol=1e-9, atol=1e-12).t_events[0][0]
    assert took == pytest.approx(passed, rel=0.01)

"""How the current of a coil dies away after its contact opens: through a clamp, or through a resistor and a capacitor.

A clamp of `V` volts across a coil of `L` henries and `R` ohms: L di/dt = -(R i + V), so the time from one current to another
is the integral of L / (R i + V) over the current.  That holds for a clamp whose volts depend on the current too.
"""

from __future__ import annotations

from collections.abc import Callable
from itertools import product

import numpy as np
from numpy.typing import NDArray

from wiregen.reading.model import Band
from wiregen.study.formula import Formula
from wiregen.study.model import Curve, Figure

Amps = NDArray[np.float64]
Rates = NDArray[np.complex128]

_COIL = {"inductance": "H", "resistance": "ohm"}
TAU = Formula("inductance / resistance", "s", _COIL, "L / R")
STORED = Formula("0.5 * inductance * amps ** 2", "J", {"inductance": "H", "amps": "A"}, "½ L I²")
RELEASE = Formula(
    "inductance / resistance * log((volts + clamp) / (lets_go + clamp))", "s",
    {**_COIL, "volts": "V", "clamp": "V", "lets_go": "V"},
    "i(t) = (I + V/R) exp(-t R/L) - V/R of a coil with a clamp across it, until its drop I R is the let-go volts",
)  # fmt: skip
CLAMPED = Formula(
    "clamp * inductance / resistance * (amps - clamp / resistance * log(1 + amps * resistance / clamp))", "J",
    {**_COIL, "clamp": "V", "amps": "A"}, "integral of clamp volts times current until it is nothing",
)  # fmt: skip
HALF_WAVE = Formula(
    "pi * sqrt(inductance * capacitance)", "s", {"inductance": "H", "capacitance": "F"},
    "half a wave of L and C: it has died away by then",
)  # fmt: skip

VARISTOR_AMPS = 0.001  # A at which a varistor shows the volts of its name (common practice of its makers)
VARISTOR_EXPONENT = 25.0  # I ~ V ** 25, zinc oxide: common practice, no source
VARISTOR = Formula(
    "clamps * (amps / one_milliampere) ** (1 / exponent)", "V",
    {"clamps": "V", "amps": "A", "one_milliampere": "A", "exponent": ""},
    "law of a varistor, I = 1 mA (V / V of 1 mA) ^ 25",
)  # fmt: skip

STEPS = 4000  # of current, from all to nothing
SHOWN = 61  # points of a curve


def varistor_volts(clamps: float, amps: Amps | float) -> Amps:
    """Volts across a varistor at that current: what the formula VARISTOR says, of many currents at once."""
    return np.asarray(clamps * (np.asarray(amps) / VARISTOR_AMPS) ** (1 / VARISTOR_EXPONENT))


def fall(label: str, henries: float, ohms: float, amps: float, clamp: Callable[[Amps], Amps]) -> Curve:
    """The current from `amps` A at 0 s to nothing, with `clamp(i)` V across the coil; SHOWN points, evenly in time."""
    current = np.linspace(amps, 0.0, STEPS + 1)
    middle = (current[1:] + current[:-1]) / 2  # never nothing: a varistor's clamp is none there
    seconds = np.concatenate([[0.0], np.cumsum(henries / (ohms * middle + clamp(middle)) * (amps / STEPS))])
    shown = np.linspace(0.0, seconds[-1], SHOWN)
    return Curve(label, tuple(map(float, shown)), tuple(map(float, np.interp(shown, seconds, current))))


def _rung(henries: float, ohms: float, series: float, farads: float, volts: float) -> tuple[Rates, Rates]:
    """Rates (1/s) and shares (A) of the current sum(shares * exp(rates * t)) of a coil with `series` ohm and a capacitor
    across it, the capacitor charged to `volts` when the contact opens: L di/dt = u - (R + r) i, C du/dt = -i.
    """
    law = np.array([[-(ohms + series) / henries, 1 / henries], [-1 / farads, 0.0]])
    rates, ways = np.linalg.eig(law.astype(complex))
    return rates, ways[0] * np.linalg.solve(ways, np.array([volts / ohms, volts], dtype=complex))


def _at(rates: Rates, shares: Rates, seconds: Amps) -> Amps:
    return np.asarray((shares * np.exp(np.outer(seconds, rates))).sum(axis=1).real)


def rung_time(henries: float, ohms: float, series: float, farads: float, volts: float, lets_go: float) -> float:
    """Seconds until that current is below lets_go / ohms for the first time."""
    rates, shares = _rung(henries, ohms, series, farads, volts)
    seconds = np.geomspace(1e-3 / np.abs(rates).max(), 20 / np.abs(rates.real).min(), STEPS)
    below = np.argmax(_at(rates, shares, seconds) <= lets_go / ohms)
    return float(seconds[below])


def ring(label: str, henries: float, ohms: float, series: float, farads: float, volts: float) -> Curve:
    """The current with resistor and capacitor across the coil, over two waves."""
    seconds = np.linspace(0.0, 4 * HALF_WAVE(inductance=henries, capacitance=farads), SHOWN)
    return Curve(
        label, tuple(map(float, seconds)), tuple(map(float, _at(*_rung(henries, ohms, series, farads, volts), seconds)))
    )


def rung_figure(
    name: str,
    about: str,
    inductance: Band,
    resistance: Band,
    series: Band,
    capacitance: Band,
    volts: Band,
    lets_go: Band,
    note: str = "",
) -> Figure:
    """Time to let-go with resistor and capacitor, worked out at every corner of the bands; half a wave is the check by hand."""
    inputs = (inductance, resistance, series, capacitance, volts, lets_go)
    corners = [rung_time(*corner) for corner in product(*({b.least, b.most} for b in inputs))]
    check = HALF_WAVE.figure(name, about, inductance=inductance, capacitance=capacitance)
    value = rung_time(*(b.nominal for b in inputs))
    return Figure(
        name=name, value=value, unit="s", least=min(value, *corners), most=max(value, *corners), formula=check.formula,
        inputs=check.inputs, units=check.units, source="L di/dt = u - (R + r) i, C du/dt = -i, worked out in time",
        about=about, hand=check.value, note=note,
    )  # fmt: skip

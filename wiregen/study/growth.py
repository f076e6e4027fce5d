"""How the current of an element grows with each of its parameters while its volts are held: what sensitivities start from."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

import numpy as np
from numpy.typing import NDArray

from wiregen.study.elements import Contact, Converter, Diode, Element, Load, Resistor, Source, Varistor
from wiregen.study.laws import FAR, STIFF, THERMAL
from wiregen.study.linear import Matrix


def parameters(element: Element) -> tuple[str, ...]:
    """The fields of an element that a sensitivity is given for."""
    match element:
        case Resistor() | Contact():
            return ("ohms",)
        case Source():
            return ("volts", "ohms", *(() if element.limit is None else ("limit",)))
        case Load():
            return ("watts" if element.watts else "amps", "least")
        case Diode():
            return ("saturation", "emission")
        case Varistor():
            return ("clamps", "exponent")
        case Converter():
            return ("volts", "ohms", "efficiency", "least", "own", *(() if element.limit is None else ("limit",)))


def growths(element: Element, volts: Sequence[Matrix], closed: NDArray[np.bool_]) -> dict[str, tuple[Matrix, ...]]:
    """Amperes into the first node of each pair of the element, by the unit of each parameter; (states,) like its volts."""
    v = volts[0]
    nil = np.zeros_like(v)
    match element:
        case Resistor():
            return {"ohms": (-v / element.ohms**2,)}
        case Contact():
            return {"ohms": (np.where(closed, -v / element.ohms**2, 0.0),)}
        case Source():
            return {what: (by,) for what, by in _source(element, v)[1].items()}
        case Load():
            inside = v >= element.least
            if element.watts:
                per_watt, by_least = _power(v, element.watts, element.least)
                return {"watts": (per_watt,), "least": (by_least,)}
            below = -v * element.amps / element.least**2
            return {"amps": (np.where(inside, 1.0, v / element.least),), "least": (np.where(inside, 0.0, below),)}
        case Diode():
            x = v / (element.emission * THERMAL)
            grown = np.exp(np.minimum(x, FAR))
            drawn = grown * (1 + np.maximum(x - FAR, 0.0)) - 1
            return {"saturation": (drawn,), "emission": (-element.saturation * grown * x / element.emission,)}
        case Varistor():
            ratio = np.minimum(np.abs(v) / element.clamps, STIFF)
            drawn = 1e-3 * np.sign(v) * ratio**element.exponent
            logs = np.log(np.where(ratio > 0, ratio, 1.0))
            clamps = np.where(ratio < STIFF, -drawn * element.exponent / element.clamps, 0.0)
            return {"clamps": (clamps,), "exponent": (drawn * logs,)}
        case Converter():
            given, output = _source(element, volts[1])
            passes = (given * volts[1] > 0) / element.efficiency  # what it gives is taken at its input
            watts = element.own + volts[1] * given * passes
            per_watt, by_least = _power(v, watts, element.least)
            return {
                "efficiency": (-per_watt * volts[1] * given * passes / element.efficiency, nil),
                "least": (by_least, nil),
                "own": (per_watt, nil),
                **{what: (-per_watt * volts[1] * by * passes, by) for what, by in output.items()},
            }


def _source(element: Source | Converter, v: Matrix) -> tuple[Matrix, dict[str, Matrix]]:
    """What it gives, and how what it draws (the negative) grows by its volts, ohms and limit."""
    limit: Any = np.inf if element.limit is None else element.limit
    free = (element.volts - v) / element.ohms
    within = free <= limit
    grows = {"volts": np.where(within, -1 / element.ohms, 0.0), "ohms": np.where(within, free / element.ohms, 0.0)}
    if element.limit is not None:
        grows["limit"] = np.where(within, 0.0, -1.0)
    return np.minimum(free, limit), grows


def _power(v: Matrix, watts: Any, least: float) -> tuple[Matrix, Matrix]:
    """Amperes by the watt, and by the volt of `least`, of a load of constant power."""
    inside = v >= least
    per_watt = np.where(inside, 1 / np.where(inside, v, 1.0), v / least**2)
    return per_watt, np.where(inside, 0.0, -2 * watts * v / least**3)

"""A second opinion on a network: each law written plainly, one element at a time, and scipy for the root of the sums."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from math import exp, inf

import numpy as np
from numpy.typing import NDArray
from scipy.optimize import root

from wiregen.study.elements import Contact, Converter, Diode, Element, Load, Node, Resistor, Source, Varistor, pairs

VT = 1.380649e-23 * 300 / 1.602176634e-19  # V at 300 K, SI constants
LEAK = 1e-9  # S: an open contact, and across whatever is not a wire or a source


def flows(element: Element, closed: bool, volts: Sequence[float]) -> list[float]:
    """Amperes into the first node of each pair."""
    v = volts[0]
    match element:
        case Resistor():
            return [v / element.ohms]
        case Contact():
            return [v / element.ohms if closed else v * LEAK]
        case Source():
            return [-min((element.volts - v) / element.ohms, element.limit or inf)]
        case Load():
            at = max(v, element.least)
            return [(element.watts / at + element.amps) * (1 if v >= element.least else v / element.least) + LEAK * v]
        case Diode():
            x = min(v / element.emission / VT, 100.0)
            return [element.saturation * (exp(x) - 1) + LEAK * v]
        case Varistor():
            return [1e-3 * (v / element.clamps) * abs(v / element.clamps) ** (element.exponent - 1) + LEAK * v]
        case Converter():
            given = min((element.volts - volts[1]) / element.ohms, element.limit or inf)
            watts = element.own + max(given * volts[1], 0.0) / element.efficiency
            return [watts / v + LEAK * v if v >= element.least else watts * v / element.least**2 + LEAK * v, -given]


def imbalance(
    elements: Sequence[Element], state: Mapping[str, bool], index: Mapping[Node, int], v: NDArray[np.float64]
) -> NDArray[np.float64]:
    """Amperes that leave each node; 0 everywhere at an operating point."""
    found = np.zeros(len(v))
    for element in elements:
        closed = state.get(element.name, getattr(element, "closed", False))
        ends = [(index[a], index[b]) for a, b in pairs(element)]
        for (a, b), amps in zip(ends, flows(element, closed, [v[a] - v[b] for a, b in ends]), strict=True):
            found[a] += amps
            found[b] -= amps
    return found


def solve(
    elements: Sequence[Element], state: Mapping[str, bool], index: Mapping[Node, int], held: Sequence[int],
    start: NDArray[np.float64],
) -> NDArray[np.float64]:
    """The root that scipy finds from `start`; one node of each island, `held`, is tied to 0 V by 1 S."""

    def sums(v: NDArray[np.float64]) -> NDArray[np.float64]:
        found = imbalance(elements, state, index, v)
        found[list(held)] += v[list(held)]
        return found

    return np.asarray(root(sums, start, method="hybr", options={"xtol": 1e-13, "maxfev": 20000}).x)

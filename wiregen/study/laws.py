"""The laws of non-linear elements, each as a port between two nodes with a linear companion that stands for it in the matrix.

What a port draws beyond its companion is its *excess*: zero for a source within its limit.  The laws go on outside their valid
range (a load of constant power below its least volts is a resistance), so that a solution always exists.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np

from wiregen.study.elements import Converter, Diode, Element, Load, Node, Source, Varistor, pairs
from wiregen.study.linear import Matrix

THERMAL = 1.380649e-23 * 300 / 1.602176634e-19  # V, k T / q at 300 K with the constants of the SI
LEAK = 1e-9  # S across each part but a source, so that a node behind one that draws nothing is still held
FAR = 40.0  # volts over slope volts of a diode, from where its law goes on as a straight line
FLAT = 1e-9  # S, for the slope of a source at its limit: nothing but it may be there to take the current
STIFF = 3.0  # volts over clamp volts of a varistor, from where its current grows no more

# in the order in which the ports stand, so that all of a kind are one slice; what gives is the two after the first
KINDS = ("input", "output", "source", "amps", "watts", "diode", "varistor")


@dataclass(frozen=True)
class Port:
    """Two nodes between which `element` draws a current; `companion` S stand for it in the matrix, `injects` A flow in."""

    element: Element
    kind: str
    a: int
    b: int
    companion: float
    injects: float = 0.0


def ports_of(elements: Sequence[Element], index: Mapping[Node, int]) -> list[Port]:
    """The non-linear ports in the order of KINDS; a converter has two, its input and its output."""
    found = []
    for element in elements:
        ends = [(index[a], index[b]) for a, b in pairs(element)]
        match element:
            case Source() if element.limit is not None:
                found.append(Port(element, "source", *ends[0], 1 / element.ohms, element.volts / element.ohms))
            case Load():
                kind = "watts" if element.watts else "amps"
                siemens = (element.amps or element.watts / element.least) / element.least
                found.append(Port(element, kind, *ends[0], siemens + LEAK))
            case Diode():
                found.append(Port(element, "diode", *ends[0], LEAK))
            case Varistor():
                found.append(Port(element, "varistor", *ends[0], LEAK))
            case Converter():
                found.append(Port(element, "input", *ends[0], (element.own or 1.0) / element.least**2 + LEAK))
                found.append(Port(element, "output", *ends[1], 1 / element.ohms, element.volts / element.ohms))
            case _:
                pass
    return sorted(found, key=lambda port: KINDS.index(port.kind))


class Laws:
    """What the non-linear ports draw beyond their companions, all states and ports at once.

    `most` is the sum of all sources' volts: no port of a network that holds nothing else can see more.
    """

    def __init__(self, ports: Sequence[Port], most: float) -> None:
        kinds = [port.kind for port in ports]
        first = {kind: sum(KINDS.index(k) < n for k in kinds) for n, kind in enumerate(KINDS)}
        self.at = {kind: slice(first[kind], first[kind] + kinds.count(kind)) for kind in KINDS}
        self.gives = slice(self.at["output"].start, self.at["source"].stop)
        self.count, self.most = len(ports), most
        self.companion = np.array([port.companion for port in ports])
        self.injects = np.array([port.injects for port in ports])
        # what loads let go of before a search begins; a thousandth stays in: nothing else may hold their nodes
        shed = [0.999 * port.companion if port.kind in ("input", "amps", "watts") else 0.0 for port in ports]
        self.sheds = np.array(shed)

        def of(at: slice, what: str) -> Matrix:
            values = [getattr(port.element, what) for port in ports[at]]
            return np.array([np.inf if value is None else value for value in values], dtype=float)

        self.limit = of(self.gives, "limit")
        self.own, self.efficiency, self.input_least = (of(self.at["input"], f) for f in ("own", "efficiency", "least"))
        self.amps, self.amps_least = of(self.at["amps"], "amps"), of(self.at["amps"], "least")
        self.watts, self.watts_least = of(self.at["watts"], "watts"), of(self.at["watts"], "least")
        self.saturation, self.slope_volts = of(self.at["diode"], "saturation"), of(self.at["diode"], "emission") * THERMAL
        self.knee = self.slope_volts * np.log(self.slope_volts / (np.sqrt(2) * self.saturation))
        self.clamps, self.exponent = of(self.at["varistor"], "clamps"), of(self.at["varistor"], "exponent")

    def excess(self, volts: Matrix) -> tuple[Matrix, Matrix]:
        """Amperes (states, ports) beyond the companion, and their slopes (states, ports, ports)."""
        linear = volts * self.companion - self.injects
        drawn = volts * LEAK
        slope = np.zeros((*volts.shape, self.count))
        own = np.einsum("snn->sn", slope)  # a view: d drawn / d v of the same port
        own += LEAK - self.companion
        if self.limit.size:
            at = self.gives
            drawn[:, at] = np.maximum(linear[:, at], -self.limit)
            own[:, at] = np.where(linear[:, at] < -self.limit, FLAT - self.companion[at], 0.0)
        if self.own.size:
            at, out = self.at["input"], self.at["output"]
            given, v = -drawn[:, out], volts[:, out]
            gives = v * given > 0
            watts = self.own + np.where(gives, v * given, 0.0) / self.efficiency
            amps, siemens, per_watt = _power(volts[:, at], watts, self.input_least)
            drawn[:, at] += amps
            own[:, at] += siemens
            grows = np.where(gives, given - v * (own[:, out] + self.companion[out]), 0.0) / self.efficiency
            n = np.arange(at.stop)
            slope[:, n, n + at.stop] = per_watt * grows
        if self.amps.size:
            at = self.at["amps"]
            inside = volts[:, at] >= self.amps_least
            drawn[:, at] += np.where(inside, self.amps, volts[:, at] * (self.amps / self.amps_least))
            own[:, at] += np.where(inside, 0.0, self.amps / self.amps_least)
        if self.watts.size:
            at = self.at["watts"]
            amps, siemens, _ = _power(volts[:, at], self.watts, self.watts_least)
            drawn[:, at] += amps
            own[:, at] += siemens
        if self.saturation.size:
            at = self.at["diode"]
            x = volts[:, at] / self.slope_volts
            beyond = np.maximum(x - FAR, 0.0)
            grown = self.saturation * np.exp(x - beyond)
            drawn[:, at] += grown * (1 + beyond) - self.saturation
            own[:, at] += grown / self.slope_volts
        if self.clamps.size:
            at = self.at["varistor"]
            v = volts[:, at]
            ratio = np.minimum(np.abs(v) / self.clamps, STIFF)
            steep = 1e-3 * ratio ** (self.exponent - 1)
            drawn[:, at] += np.sign(v) * steep * ratio
            own[:, at] += self.exponent * steep / self.clamps
        return drawn - linear, slope

    def within(self, volts: Matrix) -> Matrix:
        """Volts brought to where diodes and varistors begin to carry, none out of reach."""
        volts = np.clip(volts, -self.most, self.most)
        at = self.at["diode"]
        volts[:, at] = np.minimum(volts[:, at], 0.5)
        at = self.at["varistor"]
        volts[:, at] = np.clip(volts[:, at], -self.clamps, self.clamps)
        return volts

    def damp(self, volts: Matrix, step: Matrix) -> Matrix:
        """Steps shortened so that no volts get out of reach and no exponential current explodes (as for a junction)."""
        if volts.size and np.abs(volts + step).max() > self.most:
            step = np.clip(volts + step, -self.most, self.most) - volts
        if self.saturation.size:
            at = self.at["diode"]
            v, s = volts[:, at], step[:, at]
            far = (v + s > self.knee) & (s > 2 * self.slope_volts)
            if far.any():
                start = np.maximum(v, self.knee)
                shorter = start + self.slope_volts * np.log1p(np.maximum(v + s - start, 0.0) / self.slope_volts) - v
                step[:, at] = np.where(far, shorter, s)
        if self.clamps.size:
            at = self.at["varistor"]
            v, s = volts[:, at], step[:, at]
            most = np.maximum(np.abs(v), self.clamps) * (1 + 2 / self.exponent)
            step[:, at] = np.clip(v + s, -most, most) - v
        return step


def _power(volts: Matrix, watts: Any, least: Any) -> tuple[Matrix, Matrix, Matrix]:
    """Current of a load of constant power, its slope, and its growth by the watt; below `least` volts a resistance."""
    inside = volts >= least
    safe = np.where(inside, volts, 1.0)
    per_watt = np.where(inside, 1 / safe, volts / least**2)
    return watts * per_watt, np.where(inside, -watts / safe**2, watts / least**2), per_watt

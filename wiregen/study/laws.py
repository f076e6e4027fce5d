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


@dataclass(frozen=True)
class Port:
    """Two nodes between which `element` draws a current; `companion` S stand for it in the matrix, `injects` A flow in."""

    element: Element
    a: int
    b: int
    companion: float
    injects: float = 0.0


def ports_of(elements: Sequence[Element], index: Mapping[Node, int]) -> list[Port]:
    """The non-linear ports; a converter has its input and, right after it, its output."""
    found = []
    for element in elements:
        nodes = [(index[a], index[b]) for a, b in pairs(element)]
        match element:
            case Source() if element.limit is not None:
                found.append(Port(element, *nodes[0], 1 / element.ohms, element.volts / element.ohms))
            case Load():
                siemens = (element.amps or element.watts / element.least) / element.least
                found.append(Port(element, *nodes[0], siemens + LEAK))
            case Diode() | Varistor():
                found.append(Port(element, *nodes[0], LEAK))
            case Converter():
                found.append(Port(element, *nodes[0], (element.own or 1.0) / element.least**2 + LEAK))
                found.append(Port(element, *nodes[1], 1 / element.ohms, element.volts / element.ohms))
            case _:
                pass
    return found


class Laws:
    """What the non-linear ports draw beyond their companions, all states and ports at once.

    `most` is the sum of all sources' volts: no port of a network that holds nothing else can see more.
    """

    def __init__(self, ports: Sequence[Port], most: float) -> None:
        self.count = len(ports)
        kinds: dict[str, list[int]] = {"source": [], "amps": [], "watts": [], "diode": [], "varistor": []}
        self.converters: list[tuple[int, int, Converter]] = []  # input port, output port
        for n, port in enumerate(ports):
            element = port.element
            match element:
                case Converter() if n + 1 < len(ports) and ports[n + 1].element is element:
                    self.converters.append((n, n + 1, element))
                case Converter() | Source():
                    kinds["source"].append(n)
                case Load():
                    kinds["watts" if element.watts else "amps"].append(n)
                case Diode():
                    kinds["diode"].append(n)
                case Varistor():
                    kinds["varistor"].append(n)
        self.at = {kind: np.array(found, dtype=int) for kind, found in kinds.items()}
        self.companion = np.array([port.companion for port in ports])
        self.injects = np.array([port.injects for port in ports])

        def of(kind: str, what: str) -> Matrix:
            values = [getattr(ports[n].element, what) for n in kinds[kind]]
            return np.array([np.inf if v is None else v for v in values], dtype=float)

        self.limit = of("source", "limit")
        self.amps, self.amps_least = of("amps", "amps"), of("amps", "least")
        self.watts, self.watts_least = of("watts", "watts"), of("watts", "least")
        self.saturation, self.slope_volts = of("diode", "saturation"), of("diode", "emission") * THERMAL
        self.clamps, self.exponent = of("varistor", "clamps"), of("varistor", "exponent")
        self.most = most
        # a thousandth of a load stays in: nothing else may hold its nodes
        self.sheds = np.array([0.999 * p.companion if _loads(p) else 0.0 for p in ports])

    def excess(self, volts: Matrix) -> tuple[Matrix, Matrix]:
        """Amperes (states, ports) beyond the companion, and their slopes (states, ports, ports)."""
        linear = volts * self.companion - self.injects
        drawn = volts * LEAK
        own = np.full_like(volts, LEAK)  # d drawn / d v of the same port
        cross: list[tuple[int, int, Matrix]] = []
        at = self.at["source"]
        if at.size:
            over = linear[:, at] < -self.limit
            drawn[:, at] = np.maximum(linear[:, at], -self.limit)
            own[:, at] = np.where(over, FLAT, self.companion[at])
        at = self.at["amps"]
        if at.size:
            v = volts[:, at]
            inside = v >= self.amps_least
            drawn[:, at] += np.where(inside, self.amps, v * self.amps / self.amps_least)
            own[:, at] += np.where(inside, 0.0, self.amps / self.amps_least)
        at = self.at["watts"]
        if at.size:
            amps, siemens, _ = _power(volts[:, at], self.watts, self.watts_least)
            drawn[:, at] += amps
            own[:, at] += siemens
        at = self.at["diode"]
        if at.size:
            x = volts[:, at] / self.slope_volts
            grown = np.exp(np.minimum(x, FAR))
            drawn[:, at] += self.saturation * (grown * (1 + np.maximum(x - FAR, 0.0)) - 1)
            own[:, at] += self.saturation * grown / self.slope_volts
        at = self.at["varistor"]
        if at.size:
            v = volts[:, at]
            ratio = np.minimum(np.abs(v) / self.clamps, STIFF)
            drawn[:, at] += 1e-3 * np.sign(v) * ratio**self.exponent
            own[:, at] += 1e-3 * self.exponent * ratio ** (self.exponent - 1) / self.clamps
        for into, out, converter in self.converters:
            v, given = volts[:, out], -drawn[:, out]
            delivers = np.maximum(v * given, 0.0)
            grows = np.where(v * given > 0, given - v * own[:, out], 0.0) / converter.efficiency
            watts = converter.own + delivers / converter.efficiency
            amps, siemens, per_watt = _power(volts[:, into], watts, converter.least)
            drawn[:, into] += amps
            own[:, into] += siemens
            cross.append((into, out, per_watt * grows))
        slope = np.zeros((*volts.shape, self.count))
        every = np.arange(self.count)
        slope[:, every, every] = own - self.companion
        for into, out, value in cross:
            slope[:, into, out] = value
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
        step = np.clip(volts + step, -self.most, self.most) - volts
        at = self.at["diode"]
        if at.size:
            v, s = volts[:, at], step[:, at]
            knee = self.slope_volts * np.log(self.slope_volts / (np.sqrt(2) * self.saturation))
            far = (v + s > knee) & (s > 2 * self.slope_volts)
            start = np.maximum(v, knee)
            shorter = start + self.slope_volts * np.log1p(np.maximum(v + s - start, 0.0) / self.slope_volts) - v
            step[:, at] = np.where(far, shorter, s)
        at = self.at["varistor"]
        if at.size:
            v, s = volts[:, at], step[:, at]
            most = np.maximum(np.abs(v), self.clamps) * (1 + 2 / self.exponent)
            step[:, at] = np.clip(v + s, -most, most) - v
        return step


def _loads(port: Port) -> bool:
    return isinstance(port.element, Load) or (isinstance(port.element, Converter) and not port.injects)


def _power(volts: Matrix, watts: Any, least: Any) -> tuple[Matrix, Matrix, Matrix]:
    """Current of a load of constant power, its slope, and its growth by the watt; below `least` volts a resistance."""
    inside = volts >= least
    safe = np.where(inside, volts, 1.0)
    per_watt = np.where(inside, 1 / safe, volts / least**2)
    return watts * per_watt, np.where(inside, -watts / safe**2, watts / least**2), per_watt

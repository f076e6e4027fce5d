"""The search for operating points: Newton's method on the non-linear ports, on all states together.

One step on the ports, then steps on all nodes, whose currents are summed anew at every node, end it where little bends.  Where
more does, the ports are brought near first by as many steps as it takes; where those leap to and fro, by small ones.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from wiregen.study.laws import Laws
from wiregen.study.linear import Matrix, Switched, solved

EPS = 8 * float(np.finfo(float).eps)
NEAR = 1e-3  # relative to max(|v|, 1 V): what the ports may be off; the error then goes with the square
ENDED = 1e-7  # the same, of the last step of all nodes, after
ROUNDS = 30  # of Newton's method on the ports before it is tried in small steps
PATIENT = 400  # rounds in small steps
REFINED = 5  # steps of all nodes
SETTLING = 0.1  # S across each port, at first
FADED = 1e-6  # S, when nothing is left of it

ALL = slice(None)
Rounds = NDArray[np.int_]
Flags = NDArray[np.bool_]


class Search:
    """For the states of `net`: port volts are (states, ports), potentials (states, nodes)."""

    def __init__(self, net: Switched, laws: Laws) -> None:
        self.net, self.laws = net, laws
        self.open_volts, self.impedance = net.fed @ net.base.ports, net.impedance
        self.unit = np.eye(laws.count)
        self.own = np.diagonal(self.impedance, axis1=1, axis2=2)

    def unloaded(self) -> Matrix:
        """Port volts while loads draw next to nothing: where there are two operating points, the search that begins here
        comes to the one at which the loads run."""
        volts = self.open_volts
        if self.laws.sheds.any():
            volts = solved(self.unit - self.impedance * self.laws.sheds, volts)
        return self.laws.within(volts)

    def straight(self, volts: Matrix) -> tuple[Matrix, Rounds]:
        """Excess at the ports after one step of Newton's method, their laws taken as straight: where nothing bends, the end."""
        excess, slope = self.laws.excess(volts)
        step = self.laws.damp(volts, solved(self.unit + self.impedance @ slope, self._miss(ALL, volts, excess)))
        return excess + (slope @ step[..., None])[..., 0], np.ones(len(volts), dtype=int)

    def newton(self, volts: Matrix) -> tuple[Matrix, Rounds]:
        """Excess at the ports near an operating point, and the rounds that each state took."""
        volts, found, rounds = volts.copy(), np.empty_like(volts), np.zeros(len(volts), dtype=int)
        live = np.arange(len(volts))
        for _ in range(ROUNDS):
            here, z = volts[live], self.impedance[live]
            excess, slope = self.laws.excess(here)
            found[live] = excess
            miss = self._miss(live, here, excess)
            volts[live] = here + self.laws.damp(here, solved(self.unit + z @ slope, miss))
            rounds[live] += 1
            live = live[~self._near(live, here, excess, miss)]
            if not live.size:
                break
        return found, rounds

    def settle(self, volts: Matrix) -> tuple[Matrix, Rounds]:
        """The same, as if a capacitor stood across each port, the network were switched on and left to settle.

        That keeps the search from leaping to and fro between a source at its limit and loads that draw more the less they
        get.  Where little holds a port the capacitor is smaller, so that all settle in the same time.  Its pull grows where the
        search turns back, and fades as the imbalance does (switched evolution relaxation, Kelley and Keyes 1998).
        """
        volts, found, rounds = volts.copy(), np.empty_like(volts), np.zeros(len(volts), dtype=int)
        live = np.arange(len(volts))
        pull, before = np.full(len(volts), SETTLING), np.zeros(len(volts))
        last, turned = np.zeros_like(volts), np.zeros(len(volts), dtype=bool)
        for _ in range(PATIENT):
            here, z = volts[live], self.impedance[live]
            excess, slope = self.laws.excess(here)
            found[live] = excess
            miss = self._miss(live, here, excess)
            size = np.abs(miss).max(axis=1)
            pull[live] *= np.where(turned[live], 4.0, np.clip(size / np.maximum(before[live], NEAR * NEAR), 0.3, 1.0))
            before[live] = size
            held = pull[live, None] / (1 + pull[live, None] * self.own[live])
            step = solved(self.unit + z @ (slope + held[..., None] * self.unit), miss)
            turned[live] = (step * last[live]).sum(axis=1) < 0
            last[live] = step
            volts[live] = here + self.laws.damp(here, step)
            rounds[live] += 1
            live = live[~(self._near(live, here, excess, miss) & (pull[live] < FADED))]
            if not live.size:
                break
        return found, rounds

    def _miss(self, live: slice | NDArray[np.intp], here: Matrix, excess: Matrix) -> Matrix:
        """By how much the ports' volts are not what the network gives them."""
        miss: Matrix = self.open_volts[live] - here - (self.impedance[live] @ excess[..., None])[..., 0]
        return miss

    def _near(self, live: NDArray[np.intp], here: Matrix, excess: Matrix, miss: Matrix) -> Flags:
        """Whether that is little, rounding allowed for (states,)."""
        rounding = EPS * np.abs(excess).max(axis=1, initial=0.0)[:, None] * self.own[live]
        return np.asarray((np.abs(miss) <= NEAR * np.maximum(np.abs(here), 1.0) + rounding).all(axis=1))

    def refine(self, excess: Matrix) -> tuple[Matrix, Matrix, Flags]:
        """Potentials, excess at the ports, and whether the search ended: the last step was as small as rounding lets it be."""
        net, base = self.net, self.net.base
        potentials = net.fed - (net.drop @ excess[..., None])[..., 0]
        ended = np.zeros(len(excess), dtype=bool)
        for _ in range(REFINED):
            excess, slope = self.laws.excess(potentials @ base.ports)
            off = net.answer(net.feed - excess @ base.ports.T - net.flows(potentials))
            inner = solved(self.unit + slope @ self.impedance, (slope @ (off @ base.ports)[..., None])[..., 0])
            off -= (net.drop @ inner[..., None])[..., 0]
            potentials = potentials + off
            close = ENDED * np.maximum(np.abs(potentials), 1.0)
            ended = np.asarray((np.abs(off) <= close).all(axis=1))
            if not ended.all():  # what floats moves by more than that, by rounding alone
                ended = np.asarray((np.abs(off) <= close + net.rounding(potentials)).all(axis=1))
            if ended.all():
                break
        # the last step was so small that the ports' laws are straight along it
        excess = excess + (slope @ (off @ base.ports)[..., None])[..., 0]
        return potentials, excess, ended

"""The linear part of a network: its inverse once, and what a state of the contacts makes of it.

Contacts stand half-way in the base matrix, so that closing and opening one are both well conditioned; a state then changes them
all by a rank-k update (Woodbury), for many states at once.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import cached_property

import numpy as np
from numpy.typing import NDArray

Matrix = NDArray[np.float64]


@dataclass(frozen=True)
class Linear:
    """Nodal matrix (nodes, nodes) with contacts half-way and its inverse, what sources feed in (nodes,) A, and incidences."""

    matrix: Matrix
    feed: Matrix
    contacts: Matrix  # (nodes, contacts)
    ports: Matrix  # (nodes, ports)

    @cached_property
    def inverse(self) -> Matrix:
        return np.asarray(np.linalg.inv(self.matrix), dtype=np.float64)

    @cached_property
    def heaviest(self) -> float:
        """S, the most that meets at one node."""
        return float(np.abs(self.matrix).sum(axis=0).max())


class Switched:
    """The linear network with its contacts set: `change` (states, contacts) S beyond what stands in the base."""

    def __init__(self, base: Linear, change: Matrix) -> None:
        self.base, self.change = base, change
        self.reach = base.contacts.T @ base.inverse  # (contacts, nodes)
        unit = np.eye(change.shape[1])
        within = self.reach @ base.contacts
        self.update = change[:, :, None] * np.linalg.inv(unit + within * change[:, None, :])  # (states, contacts, contacts)

    def answer(self, currents: Matrix) -> Matrix:
        """Potentials for injected node currents, (states, nodes) both."""
        volts: Matrix = currents @ self.base.inverse
        flows = (self.update @ (volts @ self.base.contacts)[..., None])[..., 0]
        return volts - flows @ self.reach

    def inverse(self) -> Matrix:
        """Volts at each node by the ampere into each: (states, nodes, nodes)."""
        return self.base.inverse - self.reach.T @ self.update @ self.reach

    @cached_property
    def fed(self) -> Matrix:
        """Potentials (states, nodes) while the ports draw nothing beyond their companions."""
        return self.answer(np.broadcast_to(self.base.feed, (len(self.change), len(self.base.feed))))

    @cached_property
    def drop(self) -> Matrix:
        """Volts that each node drops by the ampere that each port draws, (states, nodes, ports)."""
        base = self.base
        drop: Matrix = base.inverse @ base.ports - self.reach.T @ (self.update @ (self.reach @ base.ports))
        return drop

    @cached_property
    def impedance(self) -> Matrix:
        """The same at the ports, (states, ports, ports)."""
        return np.asarray(self.base.ports.T @ self.drop)

    def flows(self, potentials: Matrix) -> Matrix:
        """Amperes out of each node through the linear parts, (states, nodes) both."""
        base = self.base
        flows: Matrix = potentials @ base.matrix + (self.change * (potentials @ base.contacts)) @ base.contacts.T
        return flows

    def rounding(self, potentials: Matrix) -> Matrix:
        """Volts (states, nodes) that rounding may move a node by: what `flows` loses, through the ohms that hold the node."""
        base = self.base
        own = np.diagonal(base.inverse) - np.einsum("scn,cn->sn", self.update @ self.reach, self.reach)
        lost = 4 * np.finfo(float).eps * (base.heaviest + np.abs(self.change).max(initial=0.0)) * np.abs(potentials).max(axis=1)
        rounding: Matrix = lost[:, None] * np.abs(own)
        return rounding


def solved(matrices: Matrix, right: Matrix) -> Matrix:
    """x of `matrices` (n, k, k) x = `right` (n, k); a large x where a matrix is singular, which a search then cuts short."""
    try:
        return np.asarray(np.linalg.solve(matrices, right[..., None])[..., 0], dtype=np.float64)
    except np.linalg.LinAlgError:
        return solved(matrices + 1e-12 * np.eye(matrices.shape[-1]), right)


def stamp(matrix: Matrix, a: int, b: int, siemens: float) -> None:
    matrix[a, a] += siemens
    matrix[b, b] += siemens
    matrix[a, b] -= siemens
    matrix[b, a] -= siemens


def feed_in(feed: Matrix, plus: int, minus: int, amps: float) -> None:
    feed[plus] += amps
    feed[minus] -= amps


def incidence(size: int, between: Sequence[tuple[int, int]]) -> Matrix:
    """(nodes, pairs): +1 at the first node of each pair, -1 at its second."""
    found = np.zeros((size, len(between)))
    for n, (a, b) in enumerate(between):
        found[a, n] += 1.0
        found[b, n] -= 1.0
    return found


def islands(size: int, between: Sequence[tuple[int, int]]) -> list[int]:
    """For each node the number of the galvanic island that it is on: the nodes that elements join, open contacts too."""
    above = list(range(size))

    def top(n: int) -> int:
        while above[n] != n:
            above[n] = above[above[n]]
            n = above[n]
        return n

    for a, b in between:
        above[top(b)] = top(a)
    return [top(n) for n in range(size)]

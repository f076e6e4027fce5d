"""The linear part of a network: its inverse once, and what a state of the contacts makes of it.

Contacts stand half-way in the base matrix, so that closing and opening one are both well conditioned; a state then changes them
all by a rank-k update (Woodbury), for many states at once.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from functools import cached_property

import numpy as np
from numpy.typing import NDArray

Matrix = NDArray[np.float64]
Rows = NDArray[np.intp]


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
        self.reach = self._reach()  # (contacts, nodes), or (states, contacts and links, nodes)
        unit = np.eye(change.shape[1])
        within = self._within()
        self.update = change[:, :, None] * np.linalg.inv(unit + within * change[:, None, :])  # (states, contacts, contacts)

    def _reach(self) -> Matrix:
        return self.base.contacts.T @ self.base.inverse

    def _within(self) -> Matrix:
        return self.reach @ self.base.contacts

    def taken(self, states: Rows) -> Switched:
        """The same for some of the states."""
        return Switched(self.base, self.change[states])

    @property
    def feed(self) -> Matrix:
        """Amperes into each node, (states, nodes)."""
        return np.broadcast_to(self.base.feed, (len(self.change), len(self.base.feed)))

    def over(self, potentials: Matrix) -> Matrix:
        """Volts over each contact, (states, contacts)."""
        return potentials @ self.base.contacts

    def into(self, flows: Matrix) -> Matrix:
        """Amperes out of each node for what flows through each contact, (states, nodes)."""
        return flows @ self.base.contacts.T

    def answer(self, currents: Matrix) -> Matrix:
        """Potentials for injected node currents, (states, nodes) both."""
        volts: Matrix = currents @ self.base.inverse
        flows = (self.update @ self.over(volts)[..., None])[..., 0]
        return volts - self._moved(flows)

    def _moved(self, flows: Matrix) -> Matrix:
        return flows @ self.reach

    def inverse(self) -> Matrix:
        """Volts at each node by the ampere into each: (states, nodes, nodes)."""
        return self.base.inverse - np.swapaxes(self.reach, -1, -2) @ self.update @ self.reach

    @cached_property
    def fed(self) -> Matrix:
        """Potentials (states, nodes) while the ports draw nothing beyond their companions."""
        return self.answer(self.feed)

    @cached_property
    def drop(self) -> Matrix:
        """Volts that each node drops by the ampere that each port draws, (states, nodes, ports)."""
        base = self.base
        drop: Matrix = base.inverse @ base.ports - np.swapaxes(self.reach, -1, -2) @ (self.update @ (self.reach @ base.ports))
        return drop

    @cached_property
    def impedance(self) -> Matrix:
        """The same at the ports, (states, ports, ports)."""
        return np.asarray(self.base.ports.T @ self.drop)

    def flows(self, potentials: Matrix) -> Matrix:
        """Amperes out of each node through the linear parts, (states, nodes) both."""
        flows: Matrix = potentials @ self.base.matrix + self.into(self.change * self.over(potentials))
        return flows

    def rounding(self, potentials: Matrix) -> Matrix:
        """Volts (states, nodes) that rounding may move a node by: what `flows` loses, through the ohms that hold the node."""
        base = self.base
        own = np.diagonal(base.inverse) - ((self.update @ self.reach) * self.reach).sum(axis=-2)
        lost = 4 * np.finfo(float).eps * (base.heaviest + np.abs(self.change).max(initial=0.0)) * np.abs(potentials).max(axis=1)
        rounding: Matrix = lost[:, None] * np.abs(own)
        return rounding


@dataclass(frozen=True)
class Links:
    """What each state has between two nodes beyond the base, (states, links) all: numbers of nodes, S, and A that it feeds into
    the first.  The reference is the node after the last.  A place that a state does not use has 0 S between one node."""

    first: Rows
    second: Rows
    siemens: Matrix
    amps: Matrix

    def taken(self, states: Rows) -> Links:
        return Links(self.first[states], self.second[states], self.siemens[states], self.amps[states])


class Linked(Switched):
    """The linear network with its contacts set, and with links of their own in each state."""

    def __init__(self, base: Linear, change: Matrix, links: Links) -> None:
        self.links = links
        super().__init__(base, np.hstack((change, links.siemens)))

    def taken(self, states: Rows) -> Linked:
        return Linked(self.base, self.change[states, : self.base.contacts.shape[1]], self.links.taken(states))

    def _reach(self) -> Matrix:
        inverse = np.vstack((self.base.inverse, np.zeros(len(self.base.inverse))))  # the reference answers nothing
        own = inverse[self.links.first] - inverse[self.links.second]
        contacts = super()._reach()
        return np.concatenate((np.broadcast_to(contacts, (len(own), *contacts.shape)), own), axis=1)

    def _within(self) -> Matrix:
        reach = np.concatenate((self.reach, np.zeros((*self.reach.shape[:2], 1))), axis=2)
        of_state = np.arange(len(reach))[:, None, None]
        row = np.arange(reach.shape[1])[None, :, None]
        own = reach[of_state, row, self.links.first[:, None, :]] - reach[of_state, row, self.links.second[:, None, :]]
        return np.concatenate((self.reach @ self.base.contacts, own), axis=2)

    @property
    def feed(self) -> Matrix:
        return super().feed + self._spread(self.links.amps)

    def over(self, potentials: Matrix) -> Matrix:
        with_reference = np.hstack((potentials, np.zeros((len(potentials), 1))))
        row = np.arange(len(potentials))[:, None]
        own = with_reference[row, self.links.first] - with_reference[row, self.links.second]
        return np.hstack((super().over(potentials), own))

    def into(self, flows: Matrix) -> Matrix:
        contacts = self.base.contacts.shape[1]
        return super().into(flows[:, :contacts]) + self._spread(flows[:, contacts:])

    def _spread(self, flows: Matrix) -> Matrix:
        found = np.zeros((len(flows), len(self.base.feed) + 1))
        row = np.arange(len(flows))[:, None]
        np.add.at(found, (row, self.links.first), flows)
        np.subtract.at(found, (row, self.links.second), flows)
        return found[:, :-1]

    def _moved(self, flows: Matrix) -> Matrix:
        moved: Matrix = (flows[:, None, :] @ self.reach)[:, 0]
        return moved


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


def joined(size: int, groups: Iterable[Sequence[int]]) -> list[int]:
    """For each of so many numbers the one that stands for all that it is joined with, as the members of a group are."""
    above = list(range(size))

    def top(n: int) -> int:
        while above[n] != n:
            above[n] = above[above[n]]
            n = above[n]
        return n

    for group in groups:
        for one in group[1:]:
            above[top(one)] = top(group[0])
    return [top(n) for n in range(size)]

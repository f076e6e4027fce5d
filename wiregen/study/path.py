"""The way of least ohms through what is closed in a network: what a series sum by hand runs along."""

from __future__ import annotations

from collections.abc import Collection

from wiregen.study.circuit import Circuit
from wiregen.study.elements import Contact, Node, Resistor
from wiregen.study.shortest import shortest
from wiregen.study.solution import State


def path(circuit: Circuit, closed: State, a: Node, b: Node, but: Collection[str] = ()) -> tuple[str, ...] | None:
    """Names of the resistors and closed contacts from `a` to `b`, in order; None where there is no way.

    Loads and the elements named in `but` lead nowhere.
    """
    loads = {*circuit.loads.values(), *but}
    beside: dict[Node, list[tuple[Node, float, str]]] = {}
    for element in circuit.elements:
        if element.name in loads or not isinstance(element, Resistor | Contact):
            continue
        if isinstance(element, Resistor) or closed.get(element.name, element.closed):
            beside.setdefault(element.a, []).append((element.b, element.ohms, element.name))
            beside.setdefault(element.b, []).append((element.a, element.ohms, element.name))
    return shortest(lambda node: beside.get(node, ()), a, b)

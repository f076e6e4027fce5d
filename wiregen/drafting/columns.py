"""Which column of the sheet each device stands in.

Columns follow the cable from left to right: two for what lies before the hub (closets, and what hangs outside on the
hub's own runs), three for the hub itself, then one more for each place that is passed.  Columns that stay empty vanish.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from wiregen.drafting.graph import Graph
from wiregen.reading.model import Run

BEFORE, HUB, AFTER, LAST = (0, 1), (2, 3, 4), 5, 8
SAME, PASSED, USED = 3.0, 0.7, 2.0  # price of a net inside a column, past a column, and of a column


@dataclass(frozen=True)
class Tree:
    """The places of a door as a tree seen from its hub."""

    hub: str
    order: Mapping[str, int]  # as cable passes through them
    above: frozenset[str]  # between the hub and the root
    depth: Mapping[str, int]  # runs below the hub; 1 for what hangs elsewhere
    exposed: frozenset[str]


def hub_of(hub: str, graph: Graph) -> str:
    """The hub, or where only cables run through it the place where most is landed."""
    landed = Counter(node.place for node in graph.nodes for _ in node.nets)
    if hub in landed or any(j.place == hub for j in graph.joints):
        return hub
    return max(landed, key=lambda p: (landed[p], p), default=hub)


def tree_of(hub: str, places: tuple[str, ...], runs: Mapping[str, Run], exposed: frozenset[str]) -> Tree:
    above: list[str] = []
    place = hub
    while place in runs and runs[place].parent not in above:
        place = runs[place].parent
        above.append(place)
    depth = {}
    for place in places:
        steps, at = 0, place
        while at != hub and at in runs and steps < len(runs):
            steps, at = steps + 1, runs[at].parent
        depth[place] = steps if at == hub else 1
    return Tree(hub, {p: n for n, p in enumerate(places)}, frozenset(above), depth, exposed)


def choices(graph: Graph, tree: Tree, outside_left: bool, deep: int) -> list[tuple[int, ...]]:
    """The columns that each device may take, at most `deep` for one place: 1 where width is short."""
    found = []
    outside_left = outside_left and any(n.place == tree.hub for n in graph.nodes) and tree.hub not in tree.exposed
    for node in graph.nodes:
        place = node.place
        if place == tree.hub:
            found.append(HUB[:deep])
        elif place in tree.above:
            found.append(BEFORE[-min(deep, 2) :])
        elif place in tree.exposed and outside_left and tree.depth[place] == 1:
            found.append(BEFORE[1:])
        else:
            first = min(AFTER + max(tree.depth[place], 1) - 1, LAST)
            found.append((first, min(first + 1, LAST)) if deep > 1 else (first,))
    return found


def assign(graph: Graph, allowed: Sequence[tuple[int, ...]]) -> tuple[tuple[int, ...], tuple[int, ...]]:
    """A column for each device, numbered from 0 without gaps: few nets inside a column, few columns passed.

    Also on which side of the hub each stands: -1, 0, 1.
    """
    column = [c[-1] if c == BEFORE else c[0] for c in allowed]
    free = [n for n, c in enumerate(allowed) if len(c) > 1 and graph.nodes[n].host is None]
    pairs: list[list[tuple[int, float]]] = [[] for _ in graph.nodes]
    for net in graph.nets:
        a, b = net.ends
        if a >= 0 and b >= 0 and a != b:
            pairs[a].append((b, 1.0))
            pairs[b].append((a, 1.0))
    for joint in graph.joints:
        landed = [graph.nets[n].ends[1 - which] for n, which in joint.nets]
        for a in landed:
            for b in landed:
                if a >= 0 and b >= 0 and a != b:
                    pairs[a].append((b, 0.4 / len(landed)))

    for n, listed in enumerate(pairs):
        summed: dict[int, float] = {}
        for other, weight in listed:
            summed[other] = summed.get(other, 0.0) + weight
        pairs[n] = list(summed.items())
    count = [column.count(c) for c in range(LAST + 1)]

    def price(node: int, at: int) -> float:
        mine = column[node]
        cost = 0.0 if count[at] - (mine == at) else USED
        for other, weight in pairs[node]:
            there = column[other]
            if there == at:
                cost += weight * SAME
            elif abs(there - at) > 1 and any(count[c] - (mine == c) for c in range(min(there, at) + 1, max(there, at))):
                cost += weight * PASSED * (abs(there - at) - 1)
        return cost

    for _ in range(2 * len(free)):
        moves = [(price(n, at) - price(n, column[n]), n, at) for n in free for at in allowed[n] if at != column[n]]
        gain, node, at = min(moves, default=(0.0, 0, 0))
        if gain > -1e-9:
            break
        count[column[node]] -= 1
        count[at] += 1
        column[node] = at
    used = sorted({c for n, c in enumerate(column) if graph.nodes[n].host is None})
    hosts = [n if node.host is None else node.host for n, node in enumerate(graph.nodes)]
    return (
        tuple(used.index(column[n]) for n in hosts),
        tuple(-1 if column[n] < HUB[0] else 0 if column[n] < AFTER else 1 for n in hosts),
    )

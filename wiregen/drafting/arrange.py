"""The search for a good arrangement: orders of devices, channels of junctions, measured by crossings and bends."""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass
from itertools import pairwise

from wiregen.drafting.jackets import Bundles, bundles, disorder
from wiregen.drafting.lanes import Heights, heights, rows_and_edges
from wiregen.drafting.plan import Choice, Plan, Planner, Zone
from wiregen.drafting.tracks import CLASH, Tracks, tracks

CROSSING, BEND, STEP, STRANGER, UNUSUAL = 3.0, 1.5, 0.02, 4.0, 0.3
TRIALS = 100


@dataclass(frozen=True)
class Arrangement:
    plan: Plan
    heights: Heights
    tracks: dict[tuple[int, Zone], Tracks]
    bundles: Bundles
    crossings: int
    bent: int
    clashes: int
    score: float


def measure(planner: Planner, choice: Choice, under: float = math.inf) -> Arrangement | None:
    """None where it is too high for the sheet, or not cheaper than `under`.  Dear where conductors would lie on one another."""
    plan = planner.plan(choice)
    found_rows = rows_and_edges(planner, plan)
    if found_rows is None:
        return None
    row, edges = found_rows
    near: dict[tuple[int, Zone], set[int]] = {}
    for (channel, zone), pieces in plan.pieces.items():
        if zone != "middle":
            near[channel, zone] = {r for p in pieces for r, _ in (p.left if zone == "left" else p.right)}
    found: dict[tuple[int, Zone], Tracks] = {}
    crossings = clashes = bent = 0
    score = UNUSUAL * sum(a > b for order in choice.order for a, b in pairwise(order))
    for (channel, zone), pieces in plan.pieces.items():
        through: list[int] = []
        if zone != "middle":
            column = channel if zone == "left" else channel + 1
            side = [r for u in plan.units[column] for r in (u.right if zone == "left" else u.left) if plan.row_net[r] >= 0]
            through = [row[r] for r in side if r not in near[channel, zone]]
        one = tracks(pieces, row, through)
        found[channel, zone] = one
        crossings += one.crossings
        clashes += one.clashes
        score += CROSSING * one.crossings + CLASH * one.clashes
        for piece, track, span in zip(pieces, one.track, one.span, strict=True):
            if track is not None:
                score += STEP * span
                if piece.joint is None:
                    bent += 1
                    score += 2 * BEND
        if score >= under:
            return None
    cables = bundles(planner, plan, row)
    score += STRANGER * disorder(cables)
    if score >= under:
        return None
    return Arrangement(plan, heights(planner, plan, row, edges), found, cables, crossings, bent, clashes, score)


def first_choice(planner: Planner, column: tuple[int, ...], side: tuple[int, ...]) -> Choice:
    """Devices in the order of places and of the spec; junctions where the fewest columns are passed."""
    graph, tree = planner.graph, planner.tree
    count = max(column) + 1
    order = tuple(
        tuple(
            sorted(
                (n for n in range(len(graph.nodes)) if column[n] == c and graph.nodes[n].host is None),
                key=lambda n: (tree.order.get(graph.nodes[n].place, 99), n),
            )
        )
        for c in range(count)
    )
    hub = planner.hub_channels(Choice(column, order, side, ()))
    joints: dict[int, tuple[int, Zone]] = {}
    taken: dict[tuple[int, Zone], str] = {}  # by which box
    lone = {j.place for j in graph.joints} - {tree.hub, *(node.place for node in graph.nodes)}
    for n, joint in sorted(enumerate(graph.joints), key=lambda item: item[1].place in lone):
        landed = [column[e] for k, w in joint.nets if (e := graph.nets[k].ends[1 - w]) >= 0]
        there = sorted({column[k] for k, node in enumerate(graph.nodes) if node.place == joint.place})
        if joint.place in lone:
            spots = list(_lone_spots(hub, count, joint.place in tree.above))
            at = next((spot for spot in spots if taken.get(spot, joint.end.device) == joint.end.device), spots[0])
        elif joint.place == tree.hub:
            passed = {c: sum(max(x - c - 1, 0) + max(c - x, 0) for x in landed) for c in range(hub[0], hub[1] + 1)}
            at = min(passed, key=lambda c: (passed[c], -c)), "middle"
        else:
            beside = max(there, key=lambda c: (landed.count(c), -c))
            at = (beside, "left") if beside <= hub[0] else (beside - 1, "right")
        joints[n] = at
        taken.setdefault(at, joint.end.device)
    return Choice(column, order, side, tuple(joints[n] for n in range(len(graph.joints))))


def _lone_spots(hub: tuple[int, int], columns: int, above: bool) -> Iterator[tuple[int, Zone]]:
    """Where a box may stand in whose place the page has no device: beside columns on the way to that place, from the hub
    outwards, else on the other way, else beside the hub's own.

    Never among the hub's own junctions: a conductor between the two boxes would have no length there.
    """
    first, last = hub
    before: list[tuple[int, Zone]] = []
    for column in range(first, -1, -1):
        before += [(column, "left"), (column - 1, "right")]
    after: list[tuple[int, Zone]] = []
    for column in range(last + 1, columns):
        after += [(column - 1, "right"), (column, "left")]
    yield from (*before, *after) if above else (*after, *before)
    if last >= 0:
        yield last, "left"
    if first + 1 < columns:
        yield first, "right"


def moves(planner: Planner, choice: Choice) -> Iterator[Choice]:
    """All neighbours of a choice: devices and places change seats, terminals turn round, junctions change channels."""
    graph, tree = planner.graph, planner.tree
    places = [[graph.nodes[n].place for n in order] for order in choice.order]
    for c, order in enumerate(choice.order):
        for n in range(len(order) - 1):
            for m in range(n + 1, len(order)):
                if places[c][n] == places[c][m]:
                    yield _with_order(choice, c, _moved(order, m, n))
                    if m > n + 1:
                        yield _with_order(choice, c, _moved(order, n, m))
        blocks: list[str] = list(dict.fromkeys(places[c]))
        for n in range(len(blocks) - 1):
            if {blocks[n], blocks[n + 1]} & tree.exposed and not {blocks[n], blocks[n + 1]} <= tree.exposed:
                continue
            swapped = [*blocks[:n], blocks[n + 1], blocks[n], *blocks[n + 2 :]]
            seats = {d: (swapped.index(graph.nodes[d].place), at) for at, d in enumerate(order)}
            yield _with_order(choice, c, tuple(sorted(order, key=seats.__getitem__)))
        for node in order:
            if len(graph.nodes[node].nets) > 1 and graph.nodes[node].place != tree.hub:
                yield choice._replace(flipped=choice.flipped ^ {node})
    for j, (channel, zone) in enumerate(choice.joint):
        if zone == "middle" and graph.joints[j].place == tree.hub:
            for other in (channel - 1, channel + 1):
                if _in_hub(planner, choice, other):
                    joints = (*choice.joint[:j], (other, zone), *choice.joint[j + 1 :])
                    yield choice._replace(joint=joints)


def _in_hub(planner: Planner, choice: Choice, channel: int) -> bool:
    first, last = planner.hub_channels(choice)
    return first <= channel <= last


def _moved(order: tuple[int, ...], origin: int, to: int) -> tuple[int, ...]:
    rest = [*order[:origin], *order[origin + 1 :]]
    rest.insert(to, order[origin])
    return tuple(rest)


def _with_order(choice: Choice, column: int, order: tuple[int, ...]) -> Choice:
    return choice._replace(order=(*choice.order[:column], order, *choice.order[column + 1 :]))


def arrange(planner: Planner, start: Arrangement) -> Arrangement:
    """Improves an arrangement move by move, as long as some move makes it better."""
    best, tried, budget = start, {start.plan.choice}, TRIALS
    improving = True
    while improving and budget > 0:
        improving = False
        for move in moves(planner, best.plan.choice):
            if move in tried or budget <= 0:
                continue
            tried.add(move)
            budget -= 1
            found = measure(planner, move, best.score - 1e-9)
            if found:
                best, improving = found, True
                break
    return best

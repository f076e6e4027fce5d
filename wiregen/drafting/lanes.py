"""Heights of all rows: as many conductors as possible become one straight line.

Every row and box edge is a variable on the grid; orders and least distances are differences between two of them.  Two
rows that are to be equal become one variable (a lane), as long as the sheet's height holds it.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import accumulate, pairwise
from operator import gt

from wiregen.drafting.face import Face
from wiregen.drafting.graph import Graph
from wiregen.drafting.plan import Plan, Planner, Unit

ROW, GROUP, EDGE, APART, REGION = 2, 3, 1, 1, 4  # grid steps: rows, cables, row to edge, box to box, place to place
PASSING = 3  # from a box to a conductor that passes below the border of its place
TOP = 2  # over the first box of a column: the name of its place


class Lanes:
    """A system of differences on whole numbers, solved from below and from above."""

    def __init__(self, limit: int) -> None:
        self.limit = limit
        self.lane: list[int] = []  # of each variable
        self.offset: list[int] = []
        self.members: list[list[int]] = []
        self.value: list[int] = []  # least height of each lane
        self.most: list[int] = []  # its greatest: of the joins so far perhaps not all
        self.after: list[list[tuple[int, int]]] = []  # of each lane: how far under it stands a variable at least
        self.before: list[list[tuple[int, int]]] = []  # and how far under a variable it does

    def variable(self) -> int:
        """A new height."""
        new = len(self.lane)
        self.lane.append(len(self.members))
        self.offset.append(0)
        self.members.append([new])
        self.value.append(0)
        self.after.append([])
        self.before.append([])
        return new

    def chain(self, anchor: int, gaps: Sequence[int]) -> range:
        """New heights, each at least so much under the one before, the first under `anchor`."""
        first, lane, count = len(self.lane), len(self.members), len(gaps)
        made = range(first, first + count)
        self.lane += range(lane, lane + count)
        self.offset += [0] * count
        self.members += [[v] for v in made]
        self.value += [0] * count
        self.after[self.lane[anchor]].append((self.offset[anchor] + gaps[0], first))
        self.after += [[(gap, v)] for gap, v in zip(gaps[1:], made[1:], strict=True)]
        self.after.append([])
        self.before += [[(-gap, v)] for gap, v in zip(gaps, (anchor, *made[:-1]), strict=True)]
        return made

    def tied(self, anchor: int, gaps: Sequence[int]) -> range:
        """New heights that stand just so much under one another for good."""
        made, lane = range(len(self.lane), len(self.lane) + len(gaps)), self.lane[anchor]
        self.lane += [lane] * len(gaps)
        self.offset += accumulate(gaps[1:], initial=self.offset[anchor] + gaps[0])
        self.members[lane] += made
        return made

    def least(self, a: int, b: int, gap: int) -> None:
        """b stands at least `gap` under a, which was made before it.  To be called before `settle`."""
        self.after[self.lane[a]].append((self.offset[a] + gap, b))
        self.before[self.lane[b]].append((self.offset[b] - gap, a))

    def at(self, variable: int) -> int:
        return self.value[self.lane[variable]] + self.offset[variable]

    def settle(self) -> bool:
        """The least heights and the greatest; False if the sheet is too low."""
        value, lane_of, offset, limit = self.value, self.lane, self.offset, self.limit
        self.most = most = [limit - max([offset[v] for v in members]) for members in self.members]
        if any(map(gt, value, most)):
            return False
        for lane in range(len(most) - 1, -1, -1):  # they were made from the top down
            top = most[lane]
            for gap, w in self.before[lane]:
                need = top + gap - offset[w]
                if need < most[lane_of[w]]:
                    most[lane_of[w]] = need
        for lane, after in enumerate(self.after):
            base = value[lane]
            for gap, w in after:
                other, need = lane_of[w], base + gap - offset[w]
                if need > value[other]:
                    if need > most[other]:
                        return False
                    value[other] = need
        return True

    def join(self, a: int, b: int, gap: int = 0) -> bool:
        """Makes b stand exactly `gap` under a, if that is possible."""
        la, lb = self.lane[a], self.lane[b]
        if la == lb:
            return self.offset[b] - self.offset[a] == gap
        if len(self.members[la]) < len(self.members[lb]):
            return self.join(b, a, -gap)
        shift = self.offset[a] + gap - self.offset[b]  # what b's lane gets to offsets
        value, most = self.value[la], self.most[la]
        lower, upper = max(value, self.value[lb] - shift), min(most, self.most[lb] - shift)
        if lower > upper:
            return False
        moved, after, before = self.members[lb], self.after[la], self.before[la]
        for v in moved:
            self.lane[v] = la
            self.offset[v] += shift
        self.members[la] += moved
        after += [(gap + shift, w) for gap, w in self.after[lb]]
        before += [(gap + shift, w) for gap, w in self.before[lb]]
        trail = {la: value}
        self.value[la], self.most[la] = lower, upper
        if self._push([la], trail):
            self.members[lb], self.after[lb], self.before[lb] = [], [], []
            return True
        self.most[la] = most
        for lane, value in trail.items():
            self.value[lane] = value
        del self.members[la][-len(moved) :]
        del after[len(after) - len(self.after[lb]) :]
        del before[len(before) - len(self.before[lb]) :]
        for v in moved:
            self.lane[v] = lb
            self.offset[v] -= shift
        return False

    def _push(self, work: list[int], trail: dict[int, int]) -> bool:
        """Down what stands too near under lanes that have moved; `trail` gets where each stood.  False if something has
        no room."""
        value, most, lane_of, offset, after = self.value, self.most, self.lane, self.offset, self.after
        while work:
            lane = work.pop()
            base = value[lane]
            for gap, w in after[lane]:
                other = lane_of[w]
                need = base + gap - offset[w]
                if need > value[other]:
                    if other == lane or need > most[other]:
                        return False
                    trail.setdefault(other, value[other])
                    value[other] = need
                    work.append(other)
        return True

    def _pull(self) -> None:
        """Up the greatest heights of all that have something too near under them."""
        most, lane_of, offset, before = self.most, self.lane, self.offset, self.before
        work = [n for n, there in enumerate(before) if there]
        while work:
            lane = work.pop()
            top = most[lane]
            for gap, w in before[lane]:
                other = lane_of[w]
                need = top + gap - offset[w]
                if need < most[other]:
                    most[other] = need
                    work.append(other)

    def heights(self) -> list[int]:
        """A height for every variable, halfway between its least and its most."""
        self._pull()
        middle = [(low + high) // 2 for low, high in zip(self.value, self.most, strict=True)]
        return [middle[lane] + offset for lane, offset in zip(self.lane, self.offset, strict=True)]


@dataclass(frozen=True)
class Heights:
    """In grid steps from the top: of each row, and of the upper and lower edge of each unit (by column)."""

    row: list[int]
    edges: list[list[tuple[int, int]]]


Edges = list[list[tuple[int, int]]]


def rows_and_edges(planner: Planner, plan: Plan) -> tuple[list[int], Edges] | None:
    """Heights of rows, and of edges as far as boxes may reach; None if the plan is too high for the sheet."""
    lanes = Lanes(planner.limit)
    graph = planner.graph
    row_var: list[int] = [0] * len(plan.row_net)
    edges: Edges = []
    faces, hubs = planner.faces(plan.choice), planner.seats(plan.choice).hubs
    for units in plan.units:
        column: list[tuple[int, int]] = []
        above: Unit | None = None
        for at, unit in enumerate(units):
            if unit.node is None:
                top = bottom = row_var[unit.left[0]] = lanes.variable()
            else:
                top, bottom = _device(planner, plan, unit, lanes, row_var, faces, unit.column in hubs)
            extra = planner.style.folded if unit.node is not None and not faces[unit.node].over else 0
            if above is None:
                lanes.value[lanes.lane[top]] = TOP + extra if unit.node is not None else TOP + 1
            else:
                lanes.least(column[-1][1], top, _gap(graph, above, unit, units[at + 1 :]) + extra)
            column.append((top, bottom))
            above = unit
        if above is not None and above.node is None:
            lanes.least(column[-1][1], lanes.variable(), EDGE)
        edges.append(column)
    if not lanes.settle():
        return None
    for a, b in (*plan.level, *plan.straight):
        lanes.join(row_var[a], row_var[b])
    found = lanes.heights()
    return [found[v] for v in row_var], [[(found[top], found[bottom]) for top, bottom in column] for column in edges]


def heights(planner: Planner, plan: Plan, row: list[int], edges: Edges) -> Heights:
    """With the edges of boxes drawn in as close to their rows as their lettering lets them."""
    faces = planner.faces(plan.choice)
    drawn = [
        [_edges(planner, unit, row, top, bottom, faces) for unit, (top, bottom) in zip(units, column, strict=True)]
        for units, column in zip(plan.units, edges, strict=True)
    ]
    return Heights(row, drawn)


def _gap(graph: Graph, above: Unit, unit: Unit, below: Sequence[Unit]) -> int:
    if above.node is None and unit.node is None:
        return ROW
    if above.node is None:
        return EDGE
    place = graph.nodes[above.node].place
    if unit.node is None:
        other = next((graph.nodes[u.node].place for u in below if u.node is not None), place)
        return EDGE if other == place else PASSING
    return APART if graph.nodes[unit.node].place == place else REGION


def _sizes(planner: Planner, node: int, faces: tuple[Face, ...]) -> tuple[int, int]:
    """Steps from a box's upper edge to its first row, and its least height."""
    key = node, faces[node].over  # guests have their lettering where their host has it
    if key not in planner.sizes:
        planner.sizes[key] = _find_sizes(planner, node, faces)
    return planner.sizes[key]


def _find_sizes(planner: Planner, node: int, faces: tuple[Face, ...]) -> tuple[int, int]:
    lettering = max(faces[n].height for n in (node, *planner.guests.get(node, ())))
    if node in planner.guests and not faces[node].over:
        lettering += 1  # the designation stands between the lines to the guest
    return EDGE + (lettering - 1 if faces[node].over else 0), lettering


def _device(
    planner: Planner, plan: Plan, unit: Unit, lanes: Lanes, row_var: list[int], faces: tuple[Face, ...], hub: bool
) -> tuple[int, int]:
    """Variables of a box's upper and lower edge; its rows are tied to them, or only ordered where it may stretch."""
    assert unit.node is not None
    head, least = _sizes(planner, unit.node, faces)
    top = lanes.variable()
    lowest: list[int] = []
    for side in (unit.left, unit.right):
        if side:
            gaps = [head, *([ROW] * (len(side) - 1) if hub or len(side) < 2 else _row_gaps(planner, plan, side))]
            made = lanes.chain(top, gaps) if unit.elastic else lanes.tied(top, gaps)
            for row, var in zip(side, made, strict=True):
                row_var[row] = var
            lowest.append(made[-1])
    bottom = lanes.variable()
    lanes.least(top, bottom, least)
    for row in lowest:
        lanes.least(row, bottom, EDGE)
    return top, bottom


def _row_gaps(planner: Planner, plan: Plan, side: Sequence[int]) -> list[int]:
    """From each row to the next: cables keep apart."""
    apart, nets, row_net = GROUP + planner.style.folded, planner.graph.nets, plan.row_net
    cables = [nets[n].cable if (n := row_net[row]) >= 0 else None for row in side]
    return [ROW if below is None or below == cable else apart for cable, below in pairwise(cables)]


def _edges(planner: Planner, unit: Unit, row: list[int], top: int, bottom: int, faces: tuple[Face, ...]) -> tuple[int, int]:
    if unit.node is None or not (unit.left or unit.right):
        return top, bottom if unit.node is None else top + _sizes(planner, unit.node, faces)[1]
    head, least = _sizes(planner, unit.node, faces)
    rows = [row[r] for r in (*unit.left, *unit.right)]
    upper = min(min(rows) - head, bottom - least)
    return upper, max(max(rows) + EDGE, upper + least)

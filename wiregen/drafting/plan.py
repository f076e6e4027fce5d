"""From columns and orders to rows: who stands over whom, on which side each terminal lies, what passes whom.

A *row* is a height at which a conductor runs: that of a terminal, of a conductor that passes a column, or of a blank.
Rows of one side of a column never meet; so conductors can only conflict in the channels between columns.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Callable, Mapping
from copy import copy
from dataclasses import dataclass, field
from typing import Literal, NamedTuple

from wiregen.drafting.columns import Tree
from wiregen.drafting.face import Face, face_of
from wiregen.drafting.graph import Graph
from wiregen.wiring.model import End

Half = Literal["left", "right"]  # of a channel
ZONES = ("left", "middle", "right")
Zone = Literal["left", "middle", "right"]  # of a channel: by the column on its left, the hub's own, by the one on its right
Port = tuple[int, int]  # net, which end
Ports = tuple[Port, ...]
Box = tuple[int, tuple[Ports, Ports], bool]  # a device, its terminals, and whether its lettering stands over them
CHAIN = 3  # so many jumpers on a device go to its emptier side


@dataclass
class Unit:
    """A device, or a conductor that passes (`node` None), with the rows on its two sides in order, and their terminals."""

    node: int | None
    column: int
    ports: tuple[Ports, Ports] = ((), ())
    left: list[int] = field(default_factory=list)
    right: list[int] = field(default_factory=list)
    elastic: bool = False


@dataclass
class Piece:
    """What needs a vertical line in a zone of a channel: a bent conductor, or a junction's bar (`joint`) in its `box`.

    `left` and `right` are its legs as (row, net).
    """

    joint: int | None
    left: list[tuple[int, int]] = field(default_factory=list)
    right: list[tuple[int, int]] = field(default_factory=list)
    box: str | None = None


class Choice(NamedTuple):
    """All that a search may change."""

    column: tuple[int, ...]
    order: tuple[tuple[int, ...], ...]  # devices of each column from the top
    side: tuple[int, ...]  # of each device: -1 before the hub, 0 at it, 1 after it
    joint: tuple[tuple[int, Zone], ...]  # channel (by the column on its left) and zone of each junction
    flipped: frozenset[int] = frozenset()  # devices whose terminals run the other way round
    swapped: frozenset[int] = frozenset()  # passing nets that go on the other side of their device


@dataclass
class Plan:
    """The rows and pieces that a choice makes."""

    choice: Choice
    units: list[list[Unit]]  # by column, from the top
    ports: dict[tuple[Port, str], int]  # row of a terminal's conductor, by port and side
    row_net: list[int]  # the net for which the row was made, -1 for a blank
    pieces: dict[tuple[int, Zone], list[Piece]]
    level: list[tuple[int, int]]  # rows of one terminal on both sides of its device
    straight: list[tuple[int, int]]  # pairs of rows that one conductor (or a splice of two) would like to be equal
    paths: dict[int, list[tuple[int, Zone, int]]]  # net: from the left, (channel, zone, index of piece)


class Seats(NamedTuple):
    """What columns and channels alone decide: the side of each terminal, where each net's ends stand, which nets pass each
    column, the terminals by device and side, the hub's columns, devices that conductors run through, and which stretch."""

    sides: dict[Port, str]
    spots: list[tuple[int, int]]
    passing: list[list[int]]
    at_side: dict[tuple[int, str], Ports]
    hubs: list[int]
    both: set[int]
    elastic: dict[int, bool]


@dataclass(frozen=True)
class Style:
    """How much room a page takes: from generous to tight."""

    over: bool = False  # lettering of devices over their terminals instead of beside them
    terse: bool = False  # one label on conductors that are shorter than two
    folded: bool = False  # titles of cables in two lines
    below: bool = False  # calmers in the column of their lock instead of beside it


class Planner:
    """Makes plans for one graph; keeps what does not depend on the choice."""

    def __init__(self, graph: Graph, tree: Tree, limit: int) -> None:
        self.graph, self.tree, self.style, self.limit = graph, tree, Style(), limit
        self.guests: dict[int, list[int]] = defaultdict(list)
        self._faces: dict[object, tuple[Face, ...]] = {}
        self.boxes: dict[Box, float] = {}  # least width of each, as it is asked for
        self.sizes: dict[tuple[int, bool], tuple[int, int]] = {}  # and heights of each, by whether lettering is over it
        self._sides: dict[object, dict[Port, str]] = {}
        self._naturals: dict[object, list[Port]] = {}
        self._clusters: dict[object, list[list[Port]]] = {}
        self._seats: dict[object, Seats] = {}
        self._plans: dict[Choice, Plan] = {}
        self._legs: dict[int, list[Port]] = {j: [(n, 1 - w) for n, w in joint.nets] for j, joint in enumerate(graph.joints)}
        for n, node in enumerate(graph.nodes):
            if node.host is not None:
                self.guests[node.host].append(n)

    def styled(self, style: Style) -> Planner:
        """The same in another style.  What they keep of columns, channels, orders and boxes serves both."""
        other = copy(self)
        other.style, other._faces = style, {}
        return other

    def hub_channels(self, choice: Choice) -> tuple[int, int]:
        """The first and last channel whose middle lies at the hub."""
        graph, tree = self.graph, self.tree
        at = [choice.column[n] for n, node in enumerate(graph.nodes) if node.place == tree.hub]
        if at:
            return min(at) - 1, max(at)
        before = [choice.column[n] for n, node in enumerate(graph.nodes) if choice.side[n] < 0]
        return (max(before), max(before)) if before else (-1, -1)

    def elastic_columns(self, choice: Choice) -> list[int]:
        """Columns whose devices stretch so that their conductors run straight: the hub's, else those before it."""
        first, last = self.hub_channels(choice)
        return list(range(first + 1, last + 1)) or [max(first, 0)]

    def faces(self, choice: Choice) -> tuple[Face, ...]:
        """Lettering stands over the terminals of devices that have some on two sides, and where width is short over
        those of all columns that are not full."""
        key = (choice.column, choice.joint)
        if key in self._faces:
            return self._faces[key]
        nodes = self.graph.nodes
        sides: dict[int, set[str]] = defaultdict(set)
        count: dict[int, int] = defaultdict(int)
        for (n, which), side in self.sides(choice).items():
            node = self.graph.nets[n].ends[which]
            sides[node].add(side)
            count[node] += 1
        over = {n for n in range(len(nodes)) if len(sides[n]) == 2}
        if self.style.over:
            for order in choice.order:
                places = len({nodes[n].place for n in order})
                high = sum(face_of(nodes[n], True).height + 2 * count[n] + 2 for n in order) + 3 * places
                if high <= self.limit:
                    over |= set(order)
        over |= {g for host, guests in self.guests.items() if host in over for g in guests}
        self._faces[key] = tuple(face_of(node, n in over) for n, node in enumerate(nodes))
        return self._faces[key]

    # ---- sides ---------------------------------------------------------------------------------------------------

    def spot(self, choice: Choice, end: int) -> int:
        """Where an end stands from left to right: even for columns, odd for channels."""
        return 2 * choice.column[end] if end >= 0 else 2 * choice.joint[~end][0] + 1

    def sides(self, choice: Choice) -> dict[Port, str]:
        """On which side of its device each terminal lies: towards where its conductor goes."""
        key = (choice.column, choice.joint)
        if key not in self._sides:
            self._sides[key] = self._find_sides(choice)
        return self._sides[key]

    def _find_sides(self, choice: Choice) -> dict[Port, str]:
        graph, found = self.graph, {}
        level: list[Port] = []
        count: dict[int, list[int]] = defaultdict(lambda: [0, 0])
        for n, net in enumerate(graph.nets):
            for which in (0, 1):
                end, other = net.ends[which], net.ends[1 - which]
                if end < 0:
                    continue
                if graph.nodes[end].host is not None or (other >= 0 and graph.nodes[other].host == end):
                    continue  # a guest lies beside its host
                a, b = self.spot(choice, end), self.spot(choice, other)
                if a == b:
                    level.append((n, which))
                else:
                    found[n, which] = "right" if b > a else "left"
                    count[end][b > a] += 1
        at_end: dict[End, list[Port]] = defaultdict(list)  # of those found, by their terminal
        for n, which in found:
            at_end[graph.nets[n].at[which]].append((n, which))
        last = max(choice.column)
        jumpers: dict[int, list[int]] = defaultdict(list)  # of each device
        for n, _ in level:
            if graph.nets[n].ends[0] == graph.nets[n].ends[1]:
                jumpers[graph.nets[n].ends[0]].append(n)
        for n, which in level:
            if (n, which) in found:
                continue
            net = graph.nets[n]
            lefts = sum(count[e][0] for e in net.ends)
            rights = sum(count[e][1] for e in net.ends)
            at = choice.column[net.ends[which]]
            chain = len(set(jumpers[net.ends[which]])) >= CHAIN
            same = [p for w in (0, 1) for p in at_end[net.at[w]]]
            shared = {found[p] for p in same if not chain or p[0] in jumpers[net.ends[which]]}
            if net.ends[0] != net.ends[1] and at in (0, last) and last:
                side = "right" if at == 0 else "left"
            elif len(shared) == 1:
                side = next(iter(shared))
            else:
                side = "left" if lefts < rights else "right"
            for each in (0, 1):
                if (n, each) not in found:
                    at_end[net.at[each]].append((n, each))
                found[n, each] = side
        return found

    # ---- orders of terminals ---------------------------------------------------------------------------------------

    def clusters(self, node: int, ports: Ports) -> list[list[Port]]:
        """Ports of one side that must stay together: those of one terminal, and the two of a jumper.  In natural order."""
        key = (node, ports)
        if key not in self._clusters:
            self._clusters[key] = self._find_clusters(node, ports)
        return self._clusters[key]

    def _find_clusters(self, node: int, ports: Ports) -> list[list[Port]]:
        graph = self.graph
        by_mark: dict[str, list[Port]] = defaultdict(list)
        for port in ports:
            by_mark[graph.nets[port[0]].at[port[1]].terminal].append(port)
        ordinal = graph.nodes[node].ordinal
        marks = sorted(by_mark, key=lambda m: (ordinal.get(m, 99), m))
        jumpers: dict[str, list[tuple[str, Port, Port]]] = defaultdict(list)
        for port in ports:
            net = graph.nets[port[0]]
            if net.ends[0] == net.ends[1]:
                jumpers[net.at[port[1]].terminal].append((net.at[1 - port[1]].terminal, port, (port[0], 1 - port[1])))
        done: set[str] = set()
        found = []
        for start in sorted(marks, key=lambda m: (len(jumpers[m]) > 1, marks.index(m))):
            if start in done:
                continue
            chain: list[Port] = []
            mark, came = start, None
            while mark is not None:
                done.add(mark)
                rest = [p for p in by_mark[mark] if p != came]
                onward = next(((m, p, q) for m, p, q in jumpers[mark] if m not in done and m in by_mark and p in rest), None)
                chain += [came] if came else []
                chain += [p for p in rest if onward is None or p != onward[1]]
                if onward is None:
                    break
                chain.append(onward[1])
                mark, came = onward[0], onward[2]
            found.append(chain)
        return sorted(found, key=lambda c: min(ordinal.get(graph.nets[p[0]].at[p[1]].terminal, 99) for p in c))

    def natural(self, node: int, ports: Ports, flip: bool, over: int, seat: Mapping[int, int]) -> list[Port]:
        """As on the device, but with the cores of one cable together, and towards a neighbour what leads to it.

        `seat`: the order of the devices of the column; `over`: a bit for each of those that stand higher.
        """
        key = (node, ports, flip, over, frozenset(seat))
        if key not in self._naturals:
            self._naturals[key] = self._find_natural(node, ports, flip, seat)
        return self._naturals[key]

    def _find_natural(self, node: int, ports: Ports, flip: bool, seat: Mapping[int, int]) -> list[Port]:
        clusters = self.clusters(node, ports)
        pull = [self._pull(node, cluster, seat) for cluster in clusters]
        first: dict[str | None, int] = {}
        cables = []
        for n, cluster in enumerate(clusters):
            names = [self.graph.nets[p[0]].cable for p in cluster]
            cable = next((c for c in names if c), None)
            cables.append(cable)
            first.setdefault(cable, n)
        cable_pull = {c: sum(p for p, d in zip(pull, cables, strict=True) if d == c) for c in cables}
        turn = -1 if flip else 1

        def rank(n: int) -> tuple[float, int, float, int]:
            at = first[cables[n]] if cables[n] else n
            return cable_pull[cables[n]] if cables[n] else pull[n], turn * at, pull[n], turn * n

        return [p for n in sorted(range(len(clusters)), key=rank) for p in (clusters[n][::-1] if flip else clusters[n])]

    def _pull(self, node: int, cluster: list[Port], seat: Mapping[int, int]) -> float:
        """Whether conductors lead to devices higher (negative) or lower in the column, directly or over a junction."""
        total = 0.0
        for net, which in cluster:
            other = self.graph.nets[net].ends[1 - which]
            ends = [other] if other >= 0 else [self.graph.nets[n].ends[1 - w] for n, w in self.graph.joints[~other].nets]
            there = [1 if seat[e] > seat[node] else -1 for e in ends if e != node and e in seat]
            total += sum(there) / len(there) if there else 0.0
        return total

    def by_key(self, node: int, ports: Ports, key: Mapping[Port, float]) -> list[Port]:
        """Clusters by where their conductors go."""
        weighed = []
        for n, cluster in enumerate(self.clusters(node, ports)):
            keys = [key[p] for p in cluster if p in key]
            if keys and key.get(cluster[0], keys[0]) > key.get(cluster[-1], keys[-1]):
                cluster = cluster[::-1]
            weighed.append((sum(keys) / len(keys) if keys else 1e9, n, cluster))
        return [p for _, _, cluster in sorted(weighed) for p in cluster]

    def _in_line(
        self, node: int, at_side: Mapping[tuple[int, str], Ports], far: Callable[[Port], float | None],
        order: dict[tuple[int, str], list[Port]],
    ) -> None:  # fmt: skip
        """Terminals of a device that conductors run through (a hinge): in the order of where they lead, the cores of a
        cable together, the two terminals of a contact or core on one height."""
        nets, pairs = self.graph.nets, self.graph.nodes[node].across
        across = dict(pairs) | {b: a for a, b in pairs}
        key: dict[str, float] = {}  # by terminal
        for port in at_side[node, "right"]:
            height, mark = far(port), nets[port[0]].at[port[1]].terminal
            if height is not None:
                key[mark] = key[across.get(mark, mark)] = height
        keys = {p: key[m] for p in at_side[node, "left"] if (m := nets[p[0]].at[p[1]].terminal) in key}
        cables: dict[str | None, list[float]] = defaultdict(list)
        for port, height in keys.items():
            cables[nets[port[0]].cable].append(height)
        bulk = {p: 1000 * sum(of) / len(of) + k for p, k in keys.items() for of in (cables[nets[p[0]].cable],)}
        left = self.by_key(node, at_side[node, "left"], bulk)
        order[node, "left"] = left
        rank = {across.get(m, m): float(n) for n, p in enumerate(left) for m in (nets[p[0]].at[p[1]].terminal,)} or key
        right = {p: rank[m] for p in at_side[node, "right"] if (m := nets[p[0]].at[p[1]].terminal) in rank}
        order[node, "right"] = self.by_key(node, at_side[node, "right"], right)

    # ---- the plan ---------------------------------------------------------------------------------------------------

    def seats(self, choice: Choice) -> Seats:
        """What columns and channels alone decide, whatever the orders in them."""
        key = (choice.column, choice.joint, choice.side)
        if key not in self._seats:
            self._seats[key] = self._find_seats(choice)
        return self._seats[key]

    def _find_seats(self, choice: Choice) -> Seats:
        graph, sides = self.graph, self.sides(choice)
        spots = [(self.spot(choice, net.ends[0]), self.spot(choice, net.ends[1])) for net in graph.nets]
        passing: list[list[int]] = [[] for _ in choice.order]
        for n, (a, b) in enumerate(spots):
            low, high = min(a, b), max(a, b)
            for c in range(low // 2 + 1, (high + 1) // 2):
                passing[c].append(n)
        devices = range(len(graph.nodes))
        listed: dict[tuple[int, str], list[Port]] = {(n, side): [] for n in devices for side in ("left", "right")}
        for port, side in sides.items():
            listed[graph.nets[port[0]].ends[port[1]], side].append(port)
        at_side = {key: tuple(ports) for key, ports in listed.items()}
        hubs = self.elastic_columns(choice)
        both = {n for n in devices if at_side[n, "left"] and at_side[n, "right"]}
        both |= {  # outward only: what stands farther out leads
            graph.nets[n].ends[w]
            for (n, w), side in sides.items()
            if side == "right" and choice.column[graph.nets[n].ends[w]] > hubs[-1] and spots[n][0] != spots[n][1]
        }
        elastic = {n: n in both or (choice.column[n] in hubs and len(node.nets) > 2) for n, node in enumerate(graph.nodes)}
        return Seats(sides, spots, passing, at_side, hubs, both, elastic)

    def plan(self, choice: Choice) -> Plan:
        """The same in every style."""
        if choice not in self._plans:
            self._plans[choice] = self._find_plan(choice)
        return self._plans[choice]

    def _find_plan(self, choice: Choice) -> Plan:
        graph, columns = self.graph, len(choice.order)
        seats = self.seats(choice)
        _, spots, passing, at_side, hubs, both, elastic = seats
        estimate: dict[Port, float] = {}  # height of a port, roughly, in grid steps
        legs = self._legs

        def far(port: Port) -> float | None:
            """The height to which the conductor of a port leads."""
            net, which = port
            end = graph.nets[net].ends[1 - which]
            if end >= 0:
                return estimate.get((net, 1 - which))
            known = sorted(estimate[p] for p in legs[~end] if p in estimate and p != port)
            return known[len(known) // 2] if known else None

        order: dict[tuple[int, str], list[Port]] = {}

        def stack(column: int) -> None:
            """Natural orders, and heights as if nothing else stood on the sheet."""
            y, over = 0.0, 0
            seat = {node: n for n, node in enumerate(choice.order[column])}
            for node in choice.order[column]:
                tall, flip = 0, node in choice.flipped
                for side in ("left", "right"):
                    ports = order.get((node, side))
                    if ports is None:
                        ports = order[node, side] = self.natural(node, at_side[node, side], flip, over, seat)
                    for n, port in enumerate(ports):
                        estimate.setdefault(port, y + 2 * n)
                    tall = max(tall, len(ports))
                y += 2 * tall + 2
                over |= 1 << node

        for column in range(columns - 1, -1, -1):
            if column not in hubs:
                for node in choice.order[column]:
                    if node in both and column > hubs[-1]:
                        self._in_line(node, at_side, far, order)
                stack(column)
        for column in reversed(hubs):
            for node in choice.order[column]:
                if not elastic[node] or (node, "right") in order:
                    continue
                key = {p: k for p in at_side[node, "right"] if (k := far(p)) is not None}
                ports = self.by_key(node, at_side[node, "right"], key)
                order[node, "right"] = ports
                estimate.update({p: key.get(p, 0.0) for p in ports})
                if column == hubs[0]:
                    key = {p: k for p in at_side[node, "left"] if (k := far(p)) is not None}
                    order[node, "left"] = self.by_key(node, at_side[node, "left"], key)
                    estimate.update({p: key.get(p, 0.0) for p in order[node, "left"]})
            stack(column)

        # units, passing conductors among them
        row_net: list[int] = []
        rows: dict[tuple[Port, str], int] = {}
        passes: dict[tuple[int, int], int] = {}
        units: list[list[Unit]] = []

        def new_row(net: int) -> int:
            row_net.append(net)
            return len(row_net) - 1

        for column in range(columns):
            made = []
            for node in choice.order[column]:
                unit = Unit(node, column, (tuple(order[node, "left"]), tuple(order[node, "right"])), elastic=elastic[node])
                for side, into in (("left", unit.left), ("right", unit.right)):
                    for port in order[node, side]:
                        rows[port, side] = new_row(port[0])
                        into.append(rows[port, side])
                made.append(unit)
            heights = [[[estimate[p] for p in u.ports[side]] for u in made] for side in (0, 1)]
            placed: list[tuple[int, float, Unit]] = []
            for net in passing[column]:
                a, b = (0, 1) if spots[net][0] < spots[net][1] else (1, 0)
                to_left, to_right = far((net, b)), far((net, a))
                cost = best = at = 0  # what it costs to go under so many devices more than to go over all of them
                for gap in range(1, len(made) + 1):
                    for mine, theirs in zip((to_left, to_right), heights, strict=True):
                        if mine is not None:
                            for height in theirs[gap - 1]:
                                cost += (height > mine) - (height < mine)
                    if cost < best:
                        best, at = cost, gap
                if net in choice.swapped and made:
                    at = at + 1 if at < len(made) else at - 1
                known = [k for k in (to_right, to_left) if k is not None]
                unit = Unit(None, column)
                unit.left = unit.right = [new_row(net)]
                passes[net, column] = unit.left[0]
                placed.append((at, known[0] if known else 0.0, unit))
            placed.sort(key=lambda item: (item[0], item[1]))
            column_units: list[Unit] = []
            for gap in range(len(made) + 1):
                column_units += [u for at, _, u in placed if at == gap]
                column_units += made[gap : gap + 1]
            units.append(column_units)

        return self._route(choice, units, rows, row_net, passes, seats)

    def _route(
        self,
        choice: Choice,
        units: list[list[Unit]],
        rows: dict[tuple[Port, str], int],
        row_net: list[int],
        passes: dict[tuple[int, int], int],
        seats: Seats,
    ) -> Plan:
        """Splits each net into its pieces by channel and zone."""
        graph, sides, spots = self.graph, seats.sides, seats.spots
        pieces: dict[tuple[int, Zone], list[Piece]] = defaultdict(list)
        bar_at: dict[int, tuple[int, Zone, int]] = {}
        paths: dict[int, list[tuple[int, Zone, int]]] = {}
        straight: list[tuple[int, int]] = []
        for j, (channel, zone) in enumerate(choice.joint):
            pieces[channel, zone].append(Piece(j, box=graph.joints[j].end.device))
            bar_at[j] = (channel, zone, len(pieces[channel, zone]) - 1)

        def bar(j: int) -> Piece:
            channel, zone, n = bar_at[j]
            return pieces[channel, zone][n]

        def blank(column: int, near: int | None = None) -> int:
            """A row of its own for a conductor that has none, at the lower end of a column or under a row of it."""
            row_net.append(-1)
            unit = Unit(None, column)
            unit.left = unit.right = [len(row_net) - 1]
            at = next((n for n, u in enumerate(units[column]) if near in u.left or near in u.right), len(units[column]) - 1)
            units[column].insert(at + 1, unit)
            return len(row_net) - 1

        crossings: list[tuple[int, int, int | None, int | None, int | None, int | None]] = []
        for n, net in enumerate(graph.nets):
            first, last = (0, 1) if spots[n][0] <= spots[n][1] else (1, 0)
            a, b = net.ends[first], net.ends[last]
            paths[n] = []
            if spots[n][0] == spots[n][1] and not self._level(choice, n, sides, rows, pieces, paths, bar_at, blank):
                continue
            if spots[n][0] == spots[n][1] and ZONES.index(choice.joint[~a][1]) > ZONES.index(choice.joint[~b][1]):
                first, last, a, b = last, first, b, a
            begin = choice.column[a] if a >= 0 else choice.joint[~a][0]
            end = choice.column[b] - 1 if b >= 0 else choice.joint[~b][0]
            for channel in range(begin, end + 1):
                start = ~a if channel == begin and a < 0 else None
                stop = ~b if channel == end and b < 0 else None
                left = right = None
                if start is None:
                    left = rows[(n, first), "right"] if channel == begin else passes[n, channel]
                if stop is None:
                    right = rows[(n, last), "left"] if channel == end else passes[n, channel + 1]
                crossings.append((n, channel, left, start, stop, right))

        shared: set[int] = set()

        def share(j: int) -> int:
            """A row for a conductor that comes to a bar from the far side: that of one of the terminals before it."""
            channel, zone, _ = bar_at[j]
            near = bar(j).left if zone == "left" else bar(j).right
            row = next((r for r, _ in near if r not in shared), None)
            if row is None:
                row = blank(channel if zone == "left" else channel + 1, near[-1][0] if near else None)
            shared.add(row)
            return row

        def beside(j: int | None, zone: Zone) -> bool:
            return j is not None and bar_at[j][1] == zone

        later = []
        for crossing in crossings:
            n, channel, left, start, stop, right = crossing
            if left is not None and beside(stop, "left"):
                bar(stop).left.append((left, n))  # type: ignore[arg-type]
                paths[n].append(bar_at[stop])  # type: ignore[index]
            elif right is not None and beside(start, "right"):
                bar(start).right.append((right, n))  # type: ignore[arg-type]
                paths[n].append(bar_at[start])  # type: ignore[index]
            else:
                later.append(crossing)
        for n, channel, left, start, stop, right in later:
            if start is not None and beside(start, "left"):
                left = share(start)
                bar(start).right.append((left, n))
                paths[n].append(bar_at[start])
                start = None
            onward = None
            if stop is not None and beside(stop, "right"):
                right = share(stop)
                bar(stop).left.append((right, n))
                onward, stop = bar_at[stop], None
            if start is not None:
                bar(start).right.append((right, n))  # type: ignore[arg-type]
                paths[n].append(bar_at[start])
            elif stop is not None:
                bar(stop).left.append((left, n))  # type: ignore[arg-type]
                paths[n].append(bar_at[stop])
            else:
                middle = pieces[channel, "middle"]
                middle.append(Piece(None, [(left, n)], [(right, n)]))  # type: ignore[list-item]
                paths[n].append((channel, "middle", len(middle) - 1))
                straight.append((left, right))  # type: ignore[arg-type]
            if onward:
                paths[n].append(onward)
        facing: dict[tuple[int, str], dict[str, int]] = defaultdict(dict)
        for ((n, which), side), row in rows.items():
            net = graph.nets[n]
            if net.ends[which] in seats.both:
                facing[net.ends[which], net.at[which].terminal].setdefault(side, row)
        level = [(at["left"], at["right"]) for at in facing.values() if len(at) == 2]
        for d, node in enumerate(graph.nodes):
            for first_mark, second_mark in node.across if d in seats.both else ():
                for one, other in (("left", "right"), ("right", "left")):
                    if one in facing[d, first_mark] and other in facing[d, second_mark]:
                        level.append((facing[d, first_mark][one], facing[d, second_mark][other]))
        splices = (p for zone in pieces.values() for p in zone if p.joint is not None and len(p.left) == len(p.right) == 1)
        straight += [(p.left[0][0], p.right[0][0]) for p in splices if p.left[0][0] != p.right[0][0]]
        return Plan(choice, units, rows, row_net, dict(pieces), level, straight, paths)

    def _level(
        self,
        choice: Choice,
        n: int,
        sides: dict[Port, str],
        rows: dict[tuple[Port, str], int],
        pieces: dict[tuple[int, Zone], list[Piece]],
        paths: dict[int, list[tuple[int, Zone, int]]],
        bar_at: dict[int, tuple[int, Zone, int]],
        blank: Callable[[int], int],
    ) -> bool:
        """A conductor between two devices of a column, or two bars of a channel.  True if it is to be routed as others are."""
        a, b = self.graph.nets[n].ends
        if a >= 0 and b >= 0:
            if (n, 0) not in sides:
                return False  # to a guest: drawn beside its host
            side = sides[n, 0]
            where: tuple[int, Zone] = (choice.column[a], "left") if side == "right" else (choice.column[a] - 1, "right")
            legs = [(rows[(n, 0), side], n), (rows[(n, 1), side], n)]
            pieces[where].append(Piece(None, *((legs, []) if side == "right" else ([], legs))))
            paths[n].append((*where, len(pieces[where]) - 1))
            return False
        channel, zone = choice.joint[~a]
        if zone != choice.joint[~b][1]:
            return True
        row = blank(channel + 1 if zone == "right" else channel)
        for j in (~a, ~b):
            piece = pieces[channel, zone][bar_at[j][2]]
            (piece.right if zone == "right" else piece.left).append((row, n))
            paths[n].append(bar_at[j])
        return False

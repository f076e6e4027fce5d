"""Widths: what each column and each zone of each channel needs, and where it comes to lie on the sheet.

A channel, from left to right: labels of the terminals on its left, jackets of what ends at pieces near them, these
pieces, labels at bars among those, jackets, labels at the hub's bars, border of the place, the hub's own pieces, and the
same mirrored up to the next column.  Only the three zones of pieces hold vertical lines; so no vertical line ever meets a
label.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Collection, Iterable, Mapping
from dataclasses import dataclass

from wiregen.drafting.arrange import Arrangement
from wiregen.drafting.face import PAD
from wiregen.drafting.ink import SMALL
from wiregen.drafting.metrics import LABEL_ROOM, OVAL, TRACK, width
from wiregen.drafting.plan import Half, Planner, Ports, Zone
from wiregen.drafting.stacking import beside, width_needed

BORDER = 3.0
AIR = 0.8  # between a bar's zone and a label
NAME = 3.0  # between it and an oval: room for the name of a junction
EASE = 14.0  # a channel takes no more than this of what is left over
ROOMY = 6.0  # nor a column more than this
BARE = 2.0  # what a channel has at least on each side
HALVES: tuple[Half, Half] = ("left", "right")  # of a channel


@dataclass
class Channel:
    """x of the borders of a channel's zones; which ends in it carry labels."""

    start: float = 0  # edge of the boxes on the left
    left: float = 0  # pieces near the left column
    jacket_left: float = 0
    border_left: float = 0
    middle: float = 0
    border_right: float = 0
    legs_right: float = 0
    jacket_right: float = 0
    right: float = 0
    end: float = 0
    ports: frozenset[Half] = frozenset(HALVES)  # terminals of which column carry labels
    legs: frozenset[Half] = frozenset(HALVES)  # bars in the middle carry labels for conductors from a terminal


@dataclass(frozen=True)
class Widths:
    """Least widths of the zones of one half, from the column inwards."""

    ports: float
    near: float
    bars: float
    jackets: float
    legs: float  # of conductors that come from a terminal of the column
    passing: float  # of those that pass the column: no label of a terminal stands beside theirs
    title: float
    border: float

    @property
    def total(self) -> float:
        inner = self.ports + self.near + self.bars + self.jackets
        passing = self.passing + (inner if self.near else 0.0)
        return max(inner + self.legs, passing, self.title)


@dataclass(frozen=True)
class Spread:
    """x of each column's boxes (left, right), of each channel's zones, by the column on its left (from -1), and of boxes."""

    columns: list[tuple[float, float]]
    channels: dict[int, Channel]
    box: dict[int, tuple[float, float]]  # left and width of each device's box


class Spreader:
    def __init__(
        self, planner: Planner, found: Arrangement, titles: Mapping[tuple[int, Half], float],
        near_ovals: Collection[tuple[int, Half]], under: Iterable[int],
    ) -> None:  # fmt: skip
        self.planner, self.found, self.titles, self.near_ovals = planner, found, titles, near_ovals
        self.faces = planner.faces(found.plan.choice)
        self.plan, self.graph = found.plan, planner.graph
        self.hub = planner.hub_channels(self.plan.choice)
        self.bare_edge = self.hub == (-1, -1) and (-1, "middle") in found.tracks  # a hub of junctions alone before all columns
        self.port_rows = set(self.plan.ports.values())
        self.inner_rows = self.port_rows | set(under)  # whose labels at the hub's bars stand clear of labels and ovals
        self.by_column: dict[tuple[int, str], list[tuple[int, int]]] = defaultdict(list)  # (net, row) of terminals
        for ((net, which), side), row in self.plan.ports.items():
            column = self.plan.choice.column[self.graph.nets[net].ends[which]]
            self.by_column[column, side].append((net, row))
        count = len(self.plan.units)
        self.widths, self.box = self._columns()
        self.zones: dict[int, Channel] = {c: Channel() for c in range(-1, count)}
        self.halves = {c: [self._half(c, half, zone, planner.style.terse) for half in HALVES] for c, zone in self.zones.items()}
        self.middles = {c: self._zone(c, "middle") + (1.0 if 0 <= c < count - 1 else 0.0) for c in self.zones}
        if self.bare_edge:  # room for the name of the place
            self.middles[-1] = max(self.middles[-1], width(planner.tree.hub.upper(), SMALL, bold=True) + 3.0)

    def left_over(self, room: float) -> float:
        """What the least widths leave of a room; negative if it is too narrow."""
        left_over = room - sum(self.widths) - sum(self.middles.values())
        return left_over - sum(h.total + h.border for pair in self.halves.values() for h in pair)

    def spread(self, room: float, x0: float) -> Spread | None:
        """None if the room is too narrow.  To be called once: what is left over widens what was found to be least."""
        count, zones, halves, widths, middles = len(self.plan.units), self.zones, self.halves, self.widths, self.middles
        left_over = self.left_over(room)
        if left_over < 0:
            return None
        for at, c in [(at, c) for at in (1, 0) for c in zones if self.planner.style.terse]:
            trial = Channel()
            whole = self._half(c, HALVES[at], trial, terse=False)
            if whole.total - halves[c][at].total <= left_over:  # there is room for all labels after all
                left_over -= whole.total - halves[c][at].total
                halves[c][at] = whole
                zones[c].ports |= {HALVES[at]}
                zones[c].legs |= {HALVES[at]}
        easy = [c for c in zones if 0 <= c < count - 1 and len(zones[c].ports) == 2]
        ease = min(EASE, left_over * 0.75 / len(easy)) if easy else 0.0
        wider = min(ROOMY, (left_over - ease * len(easy)) / count)
        x = x0
        columns: list[tuple[float, float]] = []
        for c, zone in zones.items():
            (a, b), extra = halves[c], ease if c in easy else 0.0
            shares = [h.total > BARE for h in (a, b)]
            part = extra / 2 if all(shares) else extra if shares[0] else 0.0
            zone.start = x
            zone.left = x + a.ports
            zone.border_left = x + a.total + part
            zone.jacket_left = zone.border_left - a.legs - a.jackets
            zone.middle = zone.border_left + a.border
            zone.border_right = zone.middle + middles[c]
            zone.legs_right = zone.border_right + b.border
            zone.jacket_right = zone.legs_right + b.legs
            zone.end = zone.legs_right + b.total + extra - part
            zone.right = zone.end - b.ports - b.near
            x = zone.end
            if c + 1 < count:
                columns.append((x, x + widths[c + 1] + wider))
                x = columns[-1][1]
        return Spread(columns, zones, self._place_boxes(columns, self.box))

    # ---- columns -----------------------------------------------------------------------------------------------------

    def _columns(self) -> tuple[list[float], dict[int, float]]:
        """The least width of each column, and of each box."""
        box: dict[int, float] = {}
        widths = []
        for units in self.plan.units:
            wide = 0.0
            for unit in units:
                if unit.node is None:
                    continue
                guests = self.planner.guests.get(unit.node, [])
                for node, ports in ((unit.node, unit.ports), *((g, (self.graph.nodes[g].nets, ())) for g in guests)):
                    key, boxes = (node, ports, self.faces[node].over), self.planner.boxes
                    if key not in boxes:
                        boxes[key] = self._box(node, ports)
                    box[node] = boxes[key]
                wide = max(wide, box[unit.node] + max((self._reach(g, box[g]) for g in guests), default=0.0))
            widths.append(wide)
        return widths, box

    def _box(self, node: int, ports: tuple[Ports, Ports]) -> float:
        """Least width of a box for its marks, what is drawn between its terminals, and lettering beside that."""
        sheet, face = self.graph.nodes[node].sheet, self.faces[node]
        left, right = ([self.graph.nets[n].at[w].terminal for n, w in side] for side in ports)
        marks = [max((width(beside(sheet, mark)) for mark in side), default=0.0) for side in (left, right)]
        if self.graph.nodes[node].host is not None:
            return face.box_width(*marks)
        guests = self.planner.guests.get(node, ())
        if guests:
            marks = [max(marks)] * 2
        if not right:  # terminals are drawn again on the side of a calmer
            right = [self.graph.nets[n].at[1 - w].terminal for guest in guests for n, w in self.graph.nodes[guest].nets]
        return max(face.box_width(*marks), width_needed(sheet, left, right) + (0.0 if face.over else face.title_width + PAD))

    def _reach(self, guest: int, wide: float) -> float:
        """Width of a guest with its leads."""
        return wide + max(width(self.graph.nets[n].label) for n, _ in self.graph.nodes[guest].nets) + 2 * LABEL_ROOM - 1.0

    def _place_boxes(self, columns: list[tuple[float, float]], box: dict[int, float]) -> dict[int, tuple[float, float]]:
        """Boxes stand flush where their terminals are; those without guests are as wide as the widest of them."""
        placed: dict[int, tuple[float, float]] = {}
        for units, (left, right) in zip(self.plan.units, columns, strict=True):
            nodes = {u.node: u for u in units if u.node is not None}
            alone = [box[n] for n in nodes if n not in self.planner.guests]
            common = right - left if len(alone) == len(nodes) else max(alone, default=0.0)
            for node, unit in nodes.items():
                guests = self.planner.guests.get(node, [])
                reach = max((self._reach(g, box[g]) for g in guests), default=0.0)
                wide = right - left if unit.left and unit.right else min(max(common, box[node]), right - left - reach)
                flush_right = bool(unit.right) and not unit.left
                placed[node] = (right - wide if flush_right else left, wide)
                for guest in guests:
                    at = right - wide - reach if flush_right else left + wide + reach - box[guest]
                    placed[guest] = (at, box[guest])
        return placed

    # ---- channels ----------------------------------------------------------------------------------------------------

    def _zone(self, channel: int, name: Zone) -> float:
        used = self.found.tracks.get((channel, name))
        return used.count * TRACK if used else 0.0

    def _half(self, channel: int, half: Half, zone: Channel, terse: bool) -> Widths:
        column = channel if half == "left" else channel + 1
        inside = 0 <= channel < len(self.plan.units) - 1
        labels = [width(self.graph.nets[n].label) + LABEL_ROOM for n, _ in self.by_column[column, _toward(half)]]
        if terse and self._mute(channel, half):
            zone.ports -= {half}
            labels = []
        title = self.titles.get((channel, half), 0.0)
        ports = max(labels, default=0.0) + (OVAL + AIR + NAME if (channel, half) in self.near_ovals else 0.0)
        near, bars = self._zone(channel, half), self._bars(channel, half, half)
        jackets = OVAL + 1.5 if title else 0.0
        title = title + 2.0 if title else BARE if inside else 0.0
        legs = self._bars(channel, "middle", half, True)
        if terse and ports + near + bars + jackets + legs > title:
            zone.legs -= {half}
            legs = 0.0
        passing = self._bars(channel, "middle", half, False)
        own, there = self.owner(channel), self.places(column)
        border = BORDER if (inside or (self.bare_edge and channel == -1)) and there != [own] else 0.0
        return Widths(ports, near, bars, jackets, legs, passing, title, border)

    def _bars(self, channel: int, name: Zone, half: Half, ported: bool | None = None) -> float:
        """Room for labels at bars: at the hub's bars on that half (of conductors that come from a terminal of the column,
        or of those that do not), or beyond the bars near a column."""
        inward = "left" if half == "right" else "right"
        wide = [
            width(self.graph.nets[net].label) + AIR + 0.6
            for piece in self.plan.pieces.get((channel, name), ())
            if piece.joint is not None
            for row, net in (piece.left if (half if name == "middle" else inward) == "left" else piece.right)
            if ported is None or (row in self.inner_rows) == ported
        ]
        return max(wide, default=0.0)

    def _mute(self, channel: int, half: Half) -> bool:
        """Whether the inner ends of the conductors in an outer channel go without labels, where width is short.

        They all run from terminal to terminal across the channel, hardly longer than one label.
        """
        first, last = self.hub
        if first <= channel <= last or half != ("left" if channel > last else "right"):
            return False
        column, across, other = (channel, channel + 1, "left") if half == "left" else (channel + 1, channel, "right")
        opposite = {n for n, _ in self.by_column[across, other]}
        return all(n in opposite for n, _ in self.by_column[column, _toward(half)])

    def owner(self, channel: int) -> str | None:
        """The place in which the middle of a channel lies."""
        first, last = self.hub
        if first <= channel <= last:
            return self.planner.tree.hub
        there = self.places(channel if channel > last else channel + 1)
        return there[0] if there else None

    def places(self, column: int) -> list[str]:
        if not 0 <= column < len(self.plan.units):
            return []
        return list(dict.fromkeys(self.graph.nodes[n].place for n in self.plan.choice.order[column]))


def _toward(half: Half) -> str:
    """The side of a column that faces that half of a channel."""
    return "right" if half == "left" else "left"

"""Widths: what each column and each zone of each channel needs, and where it comes to lie on the sheet.

A channel, from left to right: labels of the terminals on its left, pieces near them, labels at bars among those, jackets,
labels at the hub's bars, border of the place, the hub's own pieces, and the same mirrored up to the next column.  Only
the three zones of pieces hold vertical lines; so no vertical line ever meets a label.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from wiregen.drafting.arrange import Arrangement
from wiregen.drafting.ink import MARK_GAP
from wiregen.drafting.metrics import LABEL_ROOM, OVAL, SYMBOL, TRACK, width
from wiregen.drafting.plan import Planner

BORDER = 3.0
AIR = 0.8  # between a bar's zone and a label
EASE = 14.0  # a channel takes no more than this of what is left over
ROOMY = 6.0  # nor a column more than this
BARE = 2.0  # what a channel has at least on each side


@dataclass
class Channel:
    """x of the borders of a channel's zones."""

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


@dataclass(frozen=True)
class Need:
    """Least widths of a channel's parts, in order."""

    a: float
    near_left: float
    bars_left: float
    jackets_left: float
    legs_left: float
    border_left: float
    middle: float
    border_right: float
    legs_right: float
    jackets_right: float
    bars_right: float
    near_right: float
    d: float
    title_left: float
    title_right: float

    @property
    def outer_left(self) -> float:
        return max(self.a + self.near_left + self.bars_left + self.jackets_left + self.legs_left, self.title_left)

    @property
    def outer_right(self) -> float:
        return max(self.legs_right + self.jackets_right + self.bars_right + self.near_right + self.d, self.title_right)

    @property
    def total(self) -> float:
        return self.outer_left + self.border_left + self.middle + self.border_right + self.outer_right


@dataclass(frozen=True)
class Spread:
    """x of each column's boxes (left, right), and of each channel's zones, by the column on its left (from -1)."""

    columns: list[tuple[float, float]]
    channels: dict[int, Channel]
    box: dict[int, tuple[float, float]]  # left and width of each device's box


def owner(planner: Planner, found: Arrangement, channel: int) -> str | None:
    """The place in which the middle of a channel lies."""
    choice, graph = found.plan.choice, planner.graph
    hubs = [choice.column[n] for n, node in enumerate(graph.nodes) if node.place == planner.tree.hub]
    if hubs and min(hubs) - 1 <= channel <= max(hubs):
        return planner.tree.hub
    column = channel if 0 <= channel else 0
    places = [graph.nodes[n].place for n in choice.order[min(column, len(choice.order) - 1)]]
    return places[0] if places else None


def places(planner: Planner, found: Arrangement, column: int) -> list[str]:
    if not 0 <= column < len(found.plan.choice.order):
        return []
    return list(dict.fromkeys(planner.graph.nodes[n].place for n in found.plan.choice.order[column]))


def spread(planner: Planner, found: Arrangement, titles: Mapping[tuple[int, str], float], room: float, x0: float, terse: int) -> Spread | None:
    """`titles`: widths of the widest cable title by channel and half.  None if the sheet is too narrow."""
    plan, count = found.plan, len(found.plan.units)
    widths, box = _columns(planner, found)
    needs = {c: _need(planner, found, c, titles, terse) for c in range(-1, count)}
    left_over = room - sum(widths) - sum(n.total for n in needs.values())
    if left_over < 0:
        return None
    inner = [c for c in needs if 0 <= c < count - 1]
    ease = min(EASE, left_over * 0.75 / len(inner)) if inner else 0.0
    left_over -= ease * len(inner)
    wider = min(ROOMY, left_over / count)
    left_over -= wider * count
    x = x0
    channels: dict[int, Channel] = {}
    columns: list[tuple[float, float]] = []
    for c in range(-1, count):
        need = needs[c]
        extra = ease if c in inner else 0.0
        zone = Channel(start=x)
        two_sided = need.outer_left > BARE and need.outer_right > BARE
        part = extra / 2 if two_sided else (extra if need.outer_left > BARE else 0.0)
        zone.left = x + need.a
        zone.border_left = x + need.outer_left + part
        zone.jacket_left = zone.border_left - need.legs_left - need.jackets_left
        zone.middle = zone.border_left + need.border_left
        zone.border_right = zone.middle + need.middle
        after = zone.border_right + need.border_right
        zone.end = after + need.outer_right + extra - part
        zone.right = zone.end - need.d - need.near_right
        zone.legs_right = after
        zone.jacket_right = after + need.legs_right
        channels[c] = zone
        x = zone.end
        if c + 1 < count:
            columns.append((x, x + widths[c + 1] + wider))
            x += widths[c + 1] + wider
    _place_boxes(planner, found, columns, box)
    return Spread(columns, channels, box)


def _place_boxes(
    planner: Planner, found: Arrangement, columns: list[tuple[float, float]], box: dict[int, tuple[float, float]]
) -> None:
    """Boxes of a column stand flush where terminals are; alone they are as wide as the widest that has no guest."""
    for column, units in enumerate(found.plan.units):
        left, right = columns[column]
        devices = [u for u in units if u.node is not None]
        alone = [box[u.node][1] for u in devices if u.node not in planner.guests]  # type: ignore[index]
        common = right - left if len(alone) == len(devices) else max(alone, default=0.0)
        for unit in devices:
            node = unit.node
            assert node is not None
            guests = planner.guests.get(node, [])
            wide = right - left if (unit.left and unit.right) else max(common, box[node][1])
            if guests:
                reach = max(own_and_lead(planner, g, box[g][1]) for g in guests)
                wide = min(max(box[node][1], common), right - left - reach)
            flush_right = bool(unit.right) and not unit.left
            box[node] = (right - wide if flush_right else left, wide)
            for guest in guests:
                reach = own_and_lead(planner, guest, box[guest][1])
                box[guest] = (right - wide - reach if flush_right else left + wide + reach - box[guest][1], box[guest][1])


def lettered(planner: Planner, found: Arrangement, row: int, net: int, terse: int) -> bool:
    """Whether a leg of a bar in the middle carries a label at the bar too.

    A leg that comes straight from a terminal beside the channel is hardly longer than two labels; where width is short
    (`terse` 1: wires of one place, 2: all) it carries one.
    """
    if not terse or not any(row == r for r in found.plan.ports.values()):
        return True
    return terse < 2 and planner.graph.nets[net].cable is not None


def own_and_lead(planner: Planner, guest: int, wide: float) -> float:
    """Width of a guest with its leads."""
    labels = [width(planner.graph.nets[n].label) for n, _ in planner.graph.nodes[guest].nets]
    return wide + max(labels) + 2 * LABEL_ROOM - 1.0


def _columns(planner: Planner, found: Arrangement) -> tuple[list[float], dict[int, tuple[float, float]]]:
    graph, box = planner.graph, {}
    widths = []
    for units in found.plan.units:
        wide = 0.0
        for unit in units:
            if unit.node is None:
                continue
            face = planner.faces[unit.node]
            marks = []
            for side in (unit.left, unit.right):
                texts = [_mark(planner, found, unit.node, r) for r in side]
                marks.append(max((width(t) + MARK_GAP for t in texts if t), default=0.0))
            own = face.box_width(marks[0], marks[1])
            box[unit.node] = (0.0, own)
            reach = 0.0
            for guest in planner.guests.get(unit.node, ()):
                labels = [width(graph.nets[n].at[w].terminal) + MARK_GAP for n, w in graph.nodes[guest].nets]
                mine = planner.faces[guest].box_width(max(labels), 0.0, SYMBOL / 2)
                box[guest] = (0.0, mine)
                reach = max(reach, own_and_lead(planner, guest, mine))
            wide = max(wide, own + reach)
        widths.append(wide)
    return widths, box


def _mark(planner: Planner, found: Arrangement, node: int, row: int) -> str:
    net = found.plan.row_net[row]
    if net < 0:
        return ""
    ends = planner.graph.nets[net].ends
    return max((planner.graph.nets[net].at[w].terminal for w in (0, 1) if ends[w] == node), key=len, default="")


def _need(planner: Planner, found: Arrangement, channel: int, titles: Mapping[tuple[int, str], float], terse: int) -> Need:
    graph, plan = planner.graph, found.plan
    count = len(plan.units)

    def ports(column: int, side: str) -> float:
        wide = [
            width(graph.nets[net].label) + LABEL_ROOM
            for (((net, which), s), _row) in plan.ports.items()
            if s == side and plan.choice.column[graph.nets[net].ends[which]] == column
        ]
        return max(wide, default=0.0)

    def zone(name: str) -> float:
        used = found.tracks.get((channel, name))  # type: ignore[call-overload]
        return used.count * TRACK if used else 0.0

    def bars(name: str, side: str) -> float:
        wide = [
            width(graph.nets[net].label) + AIR + 0.6
            for piece in plan.pieces.get((channel, name), ())  # type: ignore[call-overload]
            if piece.joint is not None
            for row, net in (piece.left if side == "left" else piece.right)
            if name != "middle" or lettered(planner, found, row, net, terse)
        ]
        return max(wide, default=0.0)

    own = owner(planner, found, channel)
    left_places, right_places = places(planner, found, channel), places(planner, found, channel + 1)
    inside = 0 <= channel < count - 1
    title_left, title_right = titles.get((channel, "left"), 0.0), titles.get((channel, "right"), 0.0)
    a, d = ports(channel, "right"), ports(channel + 1, "left")
    return Need(
        a=a,
        near_left=zone("left"),
        bars_left=bars("left", "right"),
        jackets_left=OVAL + 2.0 if title_left else 0.0,
        legs_left=bars("middle", "left"),
        border_left=BORDER if inside and left_places != [own] else 0.0,
        middle=zone("middle") + (2.0 if inside else 0.0),
        border_right=BORDER if inside and right_places != [own] else 0.0,
        legs_right=bars("middle", "right"),
        jackets_right=OVAL + 2.0 if title_right else 0.0,
        bars_right=bars("right", "left"),
        near_right=zone("right"),
        d=d,
        title_left=title_left + 2.0 if title_left else (BARE if inside else 0.0),
        title_right=title_right + 2.0 if title_right else (BARE if inside else 0.0),
    )

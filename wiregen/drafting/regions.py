"""Places as rectangles that tile the sheet, and the chain line between what a stranger can reach and what not."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from wiregen.drafting.arrange import Arrangement
from wiregen.drafting.lanes import TOP
from wiregen.drafting.metrics import GRID, TRACK
from wiregen.drafting.model import Bar, Point, Rect, Region
from wiregen.drafting.plan import Planner, Zone
from wiregen.drafting.spread import BORDER, Spread, Spreader
from wiregen.wiring.model import End

WALL = 0.5  # mm from junctions to a chain line beside them
TALL, CLOSE = 12.0, 4.0  # mm that the outline of a box reaches beyond its bars, at most and at least


def regions(
    planner: Planner, found: Arrangement, spreader: Spreader, widths: Spread, field: Rect, bars: Sequence[Bar]
) -> list[Region]:
    """From left to right and from the top; a place that fills several columns is one rectangle where that is possible.

    A hub where only junctions are has a region of its own between the columns.
    """
    count = len(found.plan.units)
    from_hub, to_hub = spreader.hub
    right_of, left_of = [], [field.x]  # where the region of each column ends and begins
    bare: list[Region] = []
    hub = planner.tree.hub
    if spreader.bare_edge and spreader.places(0) != [hub]:
        left_of[0] = widths.channels[-1].border_right + BORDER / 2
        bare.append(Region(hub, Rect(field.x, field.y, left_of[0] - field.x, field.h), hub in planner.tree.exposed))
    for channel in range(count - 1):
        zones = widths.channels[channel]
        left, right, own = spreader.places(channel), spreader.places(channel + 1), spreader.owner(channel)
        a = zones.border_left + BORDER / 2 if left != [own] else None
        b = zones.border_right + BORDER / 2 if right != [own] else None
        if a is not None and b is not None and from_hub == to_hub == channel:
            bare.append(Region(hub, Rect(a, field.y, b - a, field.h), hub in planner.tree.exposed))
        else:
            a = b = a if a is not None else b if b is not None else zones.middle
        right_of.append(a)
        left_of.append(b)
    right_of.append(field.x + field.w)
    columns: list[list[tuple[str, float, float]]] = []  # place, lower and upper y
    for column, units in enumerate(found.plan.units):
        blocks: list[tuple[str, float, float]] = []
        upper = field.y + field.h
        last: str | None = None
        passing: int | None = None  # the first conductor that passes under the last device
        for unit, (top, _) in zip(units, found.heights.edges[column], strict=True):
            if unit.node is None:
                passing = passing if passing is not None else top
                continue
            place = planner.graph.nodes[unit.node].place
            if last is not None and place != last:
                folded = planner.style.folded and not spreader.faces[unit.node].over
                border = top - TOP - folded if passing is None else passing - TOP  # clear of the label of what passes
                y = field.y + field.h - GRID * border
                blocks.append((last, y, upper))
                upper = y
            last, passing = place, None
        if last is not None:
            blocks.append((last, field.y, upper))
        columns.append(blocks)
    made: list[Region] = []
    for column, blocks in enumerate(columns):
        for place, low, high in blocks:
            start, end = left_of[column], right_of[column]
            for wall in _walls(planner, found, widths, column, place, low, high, bars):
                x, wide = (wall.x, end - wall.x) if wall.before else (start, wall.x - start)
                parts = (wall.place, wall.low, wall.high), (place, low, wall.low), (place, wall.high, high)
                for there, lower, upper in parts:
                    if lower < upper:
                        bare.append(Region(there, Rect(x, lower, wide, upper - lower), there in planner.tree.exposed))
                start, end = (start, wall.x) if wall.before else (wall.x, end)
            box = Rect(start, low, end - start, high - low)
            same = next((r for r in made if r.place == place and _continues(r.box, box)), None)
            region = Region(place, box, place in planner.tree.exposed)
            if same is not None:
                made[made.index(same)] = Region(place, Rect(same.box.x, low, same.box.w + box.w, box.h), region.exposed)
            else:
                made.append(region)
    return made + bare


@dataclass(frozen=True)
class _Wall:
    """Where a region ends before junctions of another place: x, whether the region lies left of it, from where to where."""

    x: float
    place: str
    before: bool
    low: float
    high: float


def _walls(
    planner: Planner, found: Arrangement, widths: Spread, column: int, place: str, low: float, high: float, bars: Sequence[Bar]
) -> Iterator[_Wall]:
    """Between a region and junctions beside its column that lie on the other side of the chain line.

    Where junctions of its own side stand over or under these, the wall ends halfway between them.
    """
    exposed = planner.tree.exposed
    at: dict[End, tuple[tuple[int, Zone], str]] = {
        joint.end: (spot, joint.place) for joint, spot in zip(planner.graph.joints, found.plan.choice.joint, strict=True)
    }
    sides: tuple[tuple[int, Zone], ...] = ((column, "left"), (column - 1, "right"))
    for channel, zone in sides:
        own: list[float] = []
        theirs: list[tuple[float, float, str]] = []
        for bar in bars:
            spot, there = at[bar.end]
            if spot == (channel, zone):
                ys = [y for _, y in bar.points]
                if (there in exposed) != (place in exposed):
                    theirs.append((min(ys), max(ys), there))
                elif low < max(ys) and min(ys) < high:
                    own += ys
        reach = CLOSE if own else TALL
        theirs = [one for one in theirs if one[0] < high + reach and low - reach < one[1]]
        if not theirs:
            continue
        bottom, top = min(one[0] for one in theirs), max(one[1] for one in theirs)
        start = (max(own) + bottom) / 2 if own and max(own) < bottom else low
        end = (min(own) + top) / 2 if own and top < min(own) else high
        zones = widths.channels[channel]
        if zone == "left":
            yield _Wall(zones.left - WALL, theirs[-1][2], True, start, end)
        else:
            yield _Wall(zones.right + found.tracks[channel, zone].count * TRACK + WALL, theirs[-1][2], False, start, end)


def _continues(left: Rect, right: Rect) -> bool:
    return abs(left.x + left.w - right.x) < 1e-6 and abs(left.y - right.y) < 1e-6 and abs(left.h - right.h) < 1e-6


def chain_lines(areas: list[Region], field: Rect) -> tuple[tuple[Point, ...], ...]:
    """The borders between an exposed region and one that is not, each part of it once."""
    lines: list[tuple[Point, ...]] = []
    for area in areas:
        if not area.exposed:
            continue
        for other in areas:
            if other.exposed:
                continue
            a, b = area.box, other.box
            for x, touch in ((a.x, b.x + b.w), (a.x + a.w, b.x)):
                low, high = max(a.y, b.y), min(a.y + a.h, b.y + b.h)
                if abs(x - touch) < 1e-6 and high - low > 1e-6:
                    lines.append(((x, low), (x, high)))
            for y, touch in ((a.y, b.y + b.h), (a.y + a.h, b.y)):
                low, high = max(a.x, b.x), min(a.x + a.w, b.x + b.w)
                if abs(y - touch) < 1e-6 and high - low > 1e-6:
                    lines.append(((low, y), (high, y)))
    return tuple(lines)

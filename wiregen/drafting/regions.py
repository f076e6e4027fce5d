"""Places as rectangles that tile the sheet, and the chain line between what a stranger can reach and what not."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from wiregen.drafting.arrange import Arrangement
from wiregen.drafting.lanes import TOP
from wiregen.drafting.metrics import GRID, TRACK
from wiregen.drafting.model import Bar, Point, Rect, Region
from wiregen.drafting.plan import Planner, Zone
from wiregen.drafting.spread import BORDER, Spread, Spreader

WALL = 0.5  # mm from junctions to a chain line beside them
TALL = 12.0  # mm that the outline of a box may reach beyond its bars


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
            for x, other, before in _walls(planner, found, widths, column, place, low, high, bars):
                beyond = Rect(x, low, end - x, high - low) if before else Rect(start, low, x - start, high - low)
                bare.append(Region(other, beyond, other in planner.tree.exposed))
                start, end = (start, x) if before else (x, end)
            box = Rect(start, low, end - start, high - low)
            same = next((r for r in made if r.place == place and _continues(r.box, box)), None)
            region = Region(place, box, place in planner.tree.exposed)
            if same is not None:
                made[made.index(same)] = Region(place, Rect(same.box.x, low, same.box.w + box.w, box.h), region.exposed)
            else:
                made.append(region)
    return made + bare


def _walls(
    planner: Planner, found: Arrangement, widths: Spread, column: int, place: str, low: float, high: float, bars: Sequence[Bar]
) -> Iterator[tuple[float, str, bool]]:
    """Where a region ends before junctions beside its column that lie on the other side of the chain line: x, the place of
    these, and whether the region lies left of them."""
    exposed = planner.tree.exposed
    spans = {bar.end: [y for _, y in bar.points] for bar in bars}
    here = {end for end, ys in spans.items() if min(ys) < high + TALL and low - TALL < max(ys)}
    spots = zip(planner.graph.joints, found.plan.choice.joint, strict=True)
    beside = {spot: joint.place for joint, spot in spots if joint.end in here}
    sides: tuple[tuple[int, Zone], ...] = ((column, "left"), (column - 1, "right"))
    for channel, zone in sides:
        other = beside.get((channel, zone))
        if other is not None and (other in exposed) != (place in exposed):
            zones = widths.channels[channel]
            if zone == "left":
                yield zones.left - WALL, other, True
            else:
                yield zones.right + found.tracks[channel, zone].count * TRACK + WALL, other, False


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

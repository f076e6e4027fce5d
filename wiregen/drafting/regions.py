"""Places as rectangles that tile the sheet, and the chain line between what a stranger can reach and what not."""

from __future__ import annotations

from wiregen.drafting.arrange import Arrangement
from wiregen.drafting.lanes import TOP
from wiregen.drafting.metrics import GRID
from wiregen.drafting.model import Point, Rect, Region
from wiregen.drafting.plan import Planner
from wiregen.drafting.spread import BORDER, Spread, Spreader


def regions(planner: Planner, found: Arrangement, spreader: Spreader, widths: Spread, field: Rect) -> list[Region]:
    """From left to right and from the top; a place that fills several columns is one rectangle where that is possible.

    A hub where only junctions are has a region of its own between the columns.
    """
    count = len(found.plan.units)
    from_hub, to_hub = spreader.hub
    right_of, left_of = [], [field.x]  # where the region of each column ends and begins
    bare: list[Region] = []
    for channel in range(count - 1):
        zones = widths.channels[channel]
        left, right, own = spreader.places(channel), spreader.places(channel + 1), spreader.owner(channel)
        a = zones.border_left + BORDER / 2 if left != [own] else None
        b = zones.border_right + BORDER / 2 if right != [own] else None
        if a is not None and b is not None and from_hub == to_hub == channel:
            bare.append(Region(planner.tree.hub, Rect(a, field.y, b - a, field.h), planner.tree.hub in planner.tree.exposed))
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
            box = Rect(left_of[column], low, right_of[column] - left_of[column], high - low)
            before = next((r for r in made if r.place == place and _continues(r.box, box)), None)
            region = Region(place, box, place in planner.tree.exposed)
            if before is not None:
                made[made.index(before)] = Region(place, Rect(before.box.x, low, before.box.w + box.w, box.h), region.exposed)
            else:
                made.append(region)
    return made + bare


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

"""The way of least weight between two points."""

from __future__ import annotations

import heapq
from collections.abc import Callable, Hashable, Iterable
from typing import TypeVar

Point = TypeVar("Point", bound=Hashable)
Step = TypeVar("Step")


def shortest(
    beside: Callable[[Point], Iterable[tuple[Point, float, Step]]], start: Point, end: Point
) -> tuple[Step, ...] | None:
    """The steps from `start` to `end` in order, of those that `beside` gives for a point: the next point, weight, step.

    None where there is no way.  Dijkstra's algorithm; of ways of one weight the one that was found first.
    """
    waiting: list[tuple[float, int, Point, tuple[Step, ...]]] = [(0.0, 0, start, ())]
    done: set[Point] = set()
    count = 0
    while waiting:
        weight, _, point, way = heapq.heappop(waiting)
        if point == end:
            return way
        if point not in done:
            done.add(point)
            for other, more, step in beside(point):
                if other not in done:
                    count += 1
                    heapq.heappush(waiting, (weight + more, count, other, (*way, step)))
    return None

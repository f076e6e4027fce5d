"""Vertical pieces of one zone of a channel: from left to right in the order that crosses least, in as few tracks as may be."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import permutations

from wiregen.drafting.plan import Piece

CLEAR = 2  # grid steps between two pieces in one track
CLASH = 1000  # price of one conductor on another
NEVER = 1000 * CLASH  # price of a bar among those of another box


@dataclass(frozen=True)
class Tracks:
    """`track` of each piece, None where a conductor runs straight on."""

    track: list[int | None]
    count: int
    crossings: int
    clashes: int


def tracks(pieces: Sequence[Piece], row: Sequence[int], through: Sequence[int]) -> Tracks:
    """`row` gives the height of each row, `through` the heights of the conductors that run through the zone.

    For two pieces a and b with a on the left, every right leg of a within b's span crosses, and so does every left leg of
    b within a's.  A right leg of a at the height of a left leg of b would lie on it.  The bars of each box have tracks of
    their own, side by side, so that its outline holds no others.
    """
    horizontal = list(through)
    live: list[int] = []
    low: list[int] = []
    high: list[int] = []
    lefts: list[list[int]] = []
    rights: list[list[int]] = []
    for n, piece in enumerate(pieces):
        left, right = [row[r] for r, _ in piece.left], [row[r] for r, _ in piece.right]
        ends = left + right
        lo, hi = min(ends), max(ends)
        if piece.joint is None and lo == hi:
            horizontal.append(lo)
            continue
        live.append(n)
        low.append(lo)
        high.append(hi)
        lefts.append(left)
        rights.append(right)
    count = len(live)
    crossings = sum(low[n] < y < high[n] for n in range(count) for y in horizontal)
    cost = [[0] * count for _ in range(count)]
    near = [[False] * count for _ in range(count)]
    for a, b in permutations(range(count), 2):
        top, bottom = low[b], high[b]
        if low[a] > bottom or top > high[a]:
            near[a][b] = low[a] - bottom < CLEAR and top - high[a] < CLEAR
            continue
        near[a][b] = True
        price = 0
        for y in rights[a]:
            if top <= y <= bottom:
                price += CLASH if y in lefts[b] else top < y < bottom
        for y in lefts[b]:
            if low[a] < y < high[a]:
                price += 1
        cost[a][b] = price
    _keep_apart([pieces[n].box for n in live], cost, near)
    order = _order(cost)
    track: list[int | None] = [None] * len(pieces)
    place = [0] * count
    used = 0
    for at, a in enumerate(order):
        place[a] = max((place[b] + 1 for b in order[:at] if near[a][b]), default=0)
        used = max(used, place[a] + 1)
        track[live[a]] = place[a]
        for b in order[:at]:
            crossings += cost[b][a]
    return Tracks(track, used, crossings % CLASH, crossings // CLASH)


def _keep_apart(box: Sequence[str | None], cost: list[list[int]], near: list[list[bool]]) -> None:
    """Boxes from left to right in the order that costs least: no bar left of one of a box before its own, none over one."""
    refs = sorted({ref for ref in box if ref is not None})
    if len(refs) < 2:
        return
    bars = {ref: [n for n, other in enumerate(box) if other == ref] for ref in refs}
    order = [refs[n] for n in _order([[sum(cost[a][b] for a in bars[p] for b in bars[q]) for q in refs] for p in refs])]
    for n, left in enumerate(order):
        for right in order[n + 1 :]:
            for a in bars[left]:
                for b in bars[right]:
                    near[a][b] = near[b][a] = True
                    cost[b][a] += NEVER


def _order(cost: list[list[int]]) -> list[int]:
    """A cheap order: each piece in turn goes where it costs least, until none wants to move."""
    order: list[int] = []

    def insert(piece: int) -> None:
        before, price, best, at = cost[piece], 0, 0, 0  # against what it costs before all others
        for n, other in enumerate(order, 1):
            price += cost[other][piece] - before[other]
            if price < best:
                best, at = price, n
        order.insert(at, piece)

    for piece in range(len(cost)):
        insert(piece)
    for _ in range(3):
        before = list(order)
        for piece in before:
            order.remove(piece)
            insert(piece)
        if order == before:
            break
    return order

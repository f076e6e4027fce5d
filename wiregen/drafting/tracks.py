"""Vertical pieces of one zone of a channel: from left to right in the order that crosses least, in as few tracks as may be."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from wiregen.drafting.plan import Piece

CLEAR = 2  # grid steps between two pieces in one track
CLASH = 1000  # price of one conductor on another
NEVER = 1000 * CLASH  # price of a bar among those of another box


@dataclass(frozen=True)
class Tracks:
    """`track` of each piece, None where a conductor runs straight on; `span` from its upper end to its lower, in grid steps."""

    track: list[int | None]
    span: list[int]
    count: int
    crossings: int
    clashes: int


def tracks(pieces: Sequence[Piece], row: Sequence[int], through: Sequence[int]) -> Tracks:
    """`row` gives the height of each row, `through` the heights of the conductors that run through the zone.

    For two pieces a and b with a on the left, every right leg of a within b's span crosses, and so does every left leg of
    b within a's.  A right leg of a at the height of a left leg of b would lie on it.  The bars of each box have tracks of
    their own, side by side, so that its outline holds no others.
    """
    horizontal, span = list(through), [0] * len(pieces)
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
        span[n] = hi - lo
        live.append(n)
        low.append(lo)
        high.append(hi)
        lefts.append(left)
        rights.append(right)
    count = len(live)
    crossings = sum(low[n] < y < high[n] for n in range(count) for y in horizontal)
    cost = [[0] * count for _ in range(count)]
    near = [[False] * count for _ in range(count)]
    for a in range(count):
        top, bottom = low[a], high[a]
        for b in range(a):
            if top > high[b] or low[b] > bottom:
                near[a][b] = near[b][a] = top - high[b] < CLEAR and low[b] - bottom < CLEAR
                continue
            near[a][b] = near[b][a] = True
            cost[a][b] = _price(rights[a], top, bottom, lefts[b], low[b], high[b])
            cost[b][a] = _price(rights[b], low[b], high[b], lefts[a], top, bottom)
    _keep_apart([pieces[n].box for n in live], cost, near)
    order = _order(cost)
    track: list[int | None] = [None] * len(pieces)
    place = [0] * count
    used = 0
    for at, a in enumerate(order):
        here, beside = 0, near[a]
        for b in order[:at]:
            crossings += cost[b][a]
            if beside[b] and place[b] >= here:
                here = place[b] + 1
        place[a] = track[live[a]] = here
        if here >= used:
            used = here + 1
    return Tracks(track, span, used, crossings % CLASH, crossings // CLASH)


def _price(rights: list[int], top: int, bottom: int, lefts: list[int], upper: int, lower: int) -> int:
    """Of a piece from `top` to `bottom` on the left of one from `upper` to `lower`: by the right legs of the one and the left
    legs of the other."""
    price = 0
    for y in rights:
        if upper <= y <= lower:
            price += CLASH if y in lefts else upper < y < lower
    for y in lefts:
        if top < y < bottom:
            price += 1
    return price


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

"""The way of least weight, against all ways of small random graphs."""

from __future__ import annotations

import random
from itertools import permutations

import pytest

from wiregen.study.shortest import shortest


@pytest.mark.parametrize("seed", range(20))
def test_no_way_is_shorter(seed: int) -> None:
    chance = random.Random(seed)
    edges = {(a, b): chance.randint(0, 9) for a in range(6) for b in range(6) if a != b and chance.random() < 0.4}
    way = shortest(lambda a: [(b, w, (a, b)) for (c, b), w in edges.items() if c == a], 0, 5)
    ways = [
        sum(edges[pair] for pair in pairs)
        for count in range(5)
        for inner in permutations(range(1, 5), count)
        for pairs in [list(zip((0, *inner), (*inner, 5), strict=True))]
        if all(pair in edges for pair in pairs)
    ]
    if way is None:
        assert not ways
    else:
        assert [a for a, _ in way] == [0, *(b for _, b in way[:-1])]
        assert way[-1][1] == 5
        assert sum(edges[pair] for pair in way) == min(ways)

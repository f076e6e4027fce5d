"""Follows the narrow lines between jacks."""

from __future__ import annotations

from collections import defaultdict

from tests.proof.marks import NARROW, TERMINAL, Defect, Marks, near
from tests.proof.page import Page
from tests.proof.trace import Groups

REACH = TERMINAL / 2 + 0.1


def links(page: Page, marks: Marks, number: int, found: list[Defect]) -> list[tuple[int, int]]:
    """Pairs of jacks that a narrow line joins, as places in `marks.terminals`."""
    thin = [s for s in page.strokes if near(s.width, NARROW, 0.06) and not s.dashed and (s.level or s.upright)]
    jacks = [(n, t) for n, t in enumerate(marks.terminals) if t.jack]
    joined = Groups()
    for n, jack in jacks:
        for k, s in enumerate(thin):
            if any(max(abs(end[0] - jack.at[0]), abs(end[1] - jack.at[1])) < REACH for end in (s.a, s.b)):
                joined.join(("jack", n), ("line", k))
    corners: dict[tuple[int, int], list[int]] = defaultdict(list)
    for k, s in enumerate(thin):
        for end in (s.a, s.b):
            corners[round(end[0] * 20), round(end[1] * 20)].append(k)
    for group in corners.values():
        if len(group) == 2:
            joined.join(("line", group[0]), ("line", group[1]))
    pairs = []
    for members in joined.groups(("jack", n) for n, _ in jacks).values():
        found_jacks = [n for _, n in members]  # type: ignore[misc]
        if len(found_jacks) == 2:
            pairs.append((found_jacks[0], found_jacks[1]))
        elif len(found_jacks) > 2:
            found.append(Defect("link", f"{len(found_jacks)} jacks on one link", number, marks.terminals[found_jacks[0]].at))
    return pairs

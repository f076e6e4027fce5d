"""Names the joints of a page: the bars and dots that hang together, by the box that holds them and the name beside them."""

from __future__ import annotations

import re
from collections import defaultdict

from scipy.optimize import linear_sum_assignment

from tests.proof.expect import Terminal
from tests.proof.marks import Defect, Marks, box_gap
from tests.proof.page import Box, Page
from tests.proof.trace import Groups, Path

NAME = re.compile(r"s\d+")
REACH = 3.5  # mm between a bar and its name


def name_joints(page: Page, marks: Marks, paths: list[Path], number: int, found: list[Defect]) -> dict[int, Terminal]:
    """For each dot of the page, the joint that it belongs to."""
    bars = Groups()
    for n in range(len(marks.dots)):
        bars.root(n)
    ink: dict[object, list[Box]] = defaultdict(list)
    plain = [path for path in paths if not path.labels and len(path.ends) == 2 and all(kind == "dot" for kind, _ in path.nodes)]
    for path in plain:
        bars.join(path.nodes[0][1], path.nodes[1][1])
    for path in plain:
        ink[bars.root(path.nodes[0][1])] += [p.box for p in path.pieces]
    groups = bars.groups(range(len(marks.dots)))
    for root, dots in groups.items():
        ink[root] += [Box(*marks.dots[n], *marks.dots[n]) for n in dots]  # type: ignore[call-overload]
    names = [t for t in page.texts if NAME.fullmatch(t.text)]
    gaps = [[min(_apart(t.box, b) for b in ink[root]) for t in names] for root in groups]
    named: dict[int, str] = {}
    for i, k in (
        zip(*linear_sum_assignment([[min(gap, 2 * REACH) for gap in row] for row in gaps]), strict=True) if names else ()
    ):
        others = [row[k] for n, row in enumerate(gaps) if n != i]
        if gaps[i][k] <= REACH:
            named[i] = names[k].text
            if others and min(others) < gaps[i][k] + 0.2:
                found.append(Defect("joint", f"{names[k].text} stands as near to another joint", number, names[k].box.middle))
    out: dict[int, Terminal] = {}
    for i, dots in enumerate(groups.values()):
        at = marks.dots[dots[0]]  # type: ignore[index]
        box = next((b.ref for b in marks.boxes if box_gap(b.box, at) == 0), None)
        if i not in named or box is None:
            found.append(Defect("joint", "a joint without a name" if box else "a joint in no box", number, at))
        out.update({n: (box or "?", named.get(i, f"?{number}.{i}")) for n in dots})  # type: ignore[misc]
    return out


def _apart(a: Box, b: Box) -> float:
    dx = max(a.x0 - b.x1, b.x0 - a.x1, 0)
    dy = max(a.y0 - b.y1, b.y0 - a.y1, 0)
    return float((dx * dx + dy * dy) ** 0.5)

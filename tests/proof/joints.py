"""Names the joints of a page: the bars and dots that hang together, by the box that holds them and the name beside them."""

from __future__ import annotations

import re
from collections import defaultdict

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
    ways = sorted(
        (min(_apart(t.box, b) for b in ink[root]), k, i) for i, root in enumerate(groups) for k, t in enumerate(names)
    )
    named: dict[int, str] = {}
    for gap, k, i in ways:
        if gap <= REACH and i not in named and names[k].text not in named.values():
            named[i] = names[k].text
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

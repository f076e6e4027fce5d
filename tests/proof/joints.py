"""Names the joints of a page: the bars and dots that hang together, by the box that holds them and the name beside them."""

from __future__ import annotations

import re
from collections import defaultdict
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace

from scipy.optimize import linear_sum_assignment

from tests.proof.expect import Terminal
from tests.proof.marks import Defect, Marks, box_gap
from tests.proof.page import Box, Page, Point, Text
from tests.proof.trace import Groups, Path
from tests.proof.zones import Zones

NAME = re.compile(r"(s\d+)((?: → \d+/[A-Z]\d+)*)")  # a name, and the sheets and zones where the joint is met again
REFERENCE = re.compile(r"→ \d+/[A-Z]\d+(?: → \d+/[A-Z]\d+)*")
IN_FULL = re.compile(r"(\S+):(s\d+) → (\d+)/([A-Z]\d+)")  # box and joint named, so that it may stand anywhere on the page
FOLLOWS = 1.6  # mm between a name and its reference
REACH = 3.5  # mm between a bar and its name


@dataclass(frozen=True)
class Seen:
    """A joint on one page: its references to others, and where its ink lies."""

    joint: Terminal
    page: int
    refs: tuple[tuple[int, str], ...]
    at: tuple[Point, ...]


def name_joints(
    page: Page, marks: Marks, paths: list[Path], number: int, found: list[Defect], seen: list[Seen]
) -> dict[int, Terminal]:
    """For each dot of the page, the joint that it belongs to; adds what is seen of each joint to `seen`."""
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
    names = _names(page)
    gaps = [[min(_apart(t.box, b) for b in ink[root]) for t in names] for root in groups]
    named: dict[int, str] = {}
    for i, k in (
        zip(*linear_sum_assignment([[min(gap, 2 * REACH) for gap in row] for row in gaps]), strict=True) if names else ()
    ):
        others = [row[k] for n, row in enumerate(gaps) if n != i]
        if gaps[i][k] <= REACH:
            named[i] = names[k].text
            if others and min(others) < gaps[i][k] - 0.3:
                found.append(Defect("joint", f"{names[k].text} stands nearer to another joint", number, names[k].box.middle))
    out: dict[int, Terminal] = {}
    in_full = [m for t in page.texts if (m := IN_FULL.fullmatch(t.text))]
    for i, dots in enumerate(groups.values()):
        at = marks.dots[dots[0]]  # type: ignore[index]
        box = next((b.ref for b in marks.boxes if box_gap(b.box, at) == 0), None)
        if i not in named or box is None:
            found.append(Defect("joint", "a joint without a name" if box else "a joint in no box", number, at))
        name = NAME.fullmatch(named.get(i, ""))
        joint = (box or "?", name[1] if name else f"?{number}.{i}")
        refs = tuple((int(p), z) for p, z in re.findall(r"(\d+)/([A-Z]\d+)", name[2])) if name else ()
        refs += tuple((int(m[3]), m[4]) for m in in_full if (m[1], m[2]) == joint)
        seen.append(Seen(joint, number, refs, tuple(marks.dots[n] for n in dots)))  # type: ignore[index]
        out.update(dict.fromkeys(dots, joint))  # type: ignore[arg-type]
    here = {one.joint for one in seen if one.page == number}
    strange = (m[0] for m in in_full if (m[1], m[2]) not in here)
    found += (Defect("reference", f"{text!r} speaks of a joint that is not on this page", number) for text in strange)
    return out


def _names(page: Page) -> list[Text]:
    """Names of joints, each with the references that follow it on its line or stand under it, one under another."""
    plain = [t for t in page.texts if NAME.fullmatch(t.text)]
    refs = sorted((t for t in page.texts if REFERENCE.fullmatch(t.text)), key=lambda t: (-t.base, t.box.x0))
    rows: dict[int, list[Text]] = {id(name): [] for name in plain}
    taken: set[int] = set()
    for beside in (True, False):  # what follows a name on its line does not belong to another one above
        for name in plain:
            row = rows[id(name)]
            for ref in refs:
                last = row[-1].box if row else name.box
                after = abs(ref.base - name.base) < 0.1 and 0 < ref.box.x0 - last.x1 < FOLLOWS
                under = abs(ref.box.x0 - name.box.x0) < 0.5 and 0 < last.y0 - ref.box.y1 < FOLLOWS
                if id(ref) not in taken and (after if beside else under):
                    row.append(ref)
                    taken.add(id(ref))
    names = []
    for name in plain:
        box = name.box
        for ref in rows[id(name)]:
            box = Box(box.x0, min(box.y0, ref.box.y0), max(box.x1, ref.box.x1), box.y1)
        names.append(replace(name, text=" ".join((name.text, *(ref.text for ref in rows[id(name)]))), box=box))
    return names


def check_references(pages: Sequence[Page], seen: Sequence[Seen]) -> Iterator[Defect]:
    """A joint that is met on several pages says on each of them where it is met again."""
    by_joint: dict[Terminal, list[Seen]] = defaultdict(list)
    for one in seen:
        by_joint[one.joint].append(one)
    zones: dict[int, Zones] = {}
    for joint, places in by_joint.items():
        for one in places:
            others = {other.page: other for other in places if other.page != one.page}
            if sorted(page for page, _ in one.refs) != sorted(others):
                yield Defect(
                    "reference", f"{joint} refers to sheets {one.refs}, it is on {sorted(others)}", one.page, one.at[0]
                )
                continue
            for page, zone in one.refs:
                grid = zones.get(page) or zones.setdefault(page, Zones(pages[page - 1]))
                if not any(zone in grid.at(point) for point in others[page].at):
                    yield Defect("reference", f"{joint} is said to be in {page}/{zone}, it is not", one.page, one.at[0])


def _apart(a: Box, b: Box) -> float:
    dx = max(a.x0 - b.x1, b.x0 - a.x1, 0)
    dy = max(a.y0 - b.y1, b.y0 - a.y1, 0)
    return float((dx * dx + dy * dy) ** 0.5)

"""The ovals across the cores of a cable: which conductors pass through which, and whose designation stands beside them."""

from __future__ import annotations

import re
from collections import defaultdict
from collections.abc import Iterator, Mapping

from tests.proof.marks import NARROW, Defect, near
from tests.proof.page import Box, Page, Text
from tests.proof.trace import Path

CABLE = re.compile(r"W\d+")
REACH = 25.0  # mm between an oval and its title
BELOW = 4.0  # a title stands above its oval: one below it counts as that much farther


def check_jackets(pages: list[tuple[Page, list[Path]]], cables: Mapping[str, str], known: frozenset[str]) -> Iterator[Defect]:
    """Each oval holds cores of one cable only and has its title nearest; each cable has all its cores in ovals of its own."""
    held: dict[str, set[str]] = defaultdict(set)
    for number, (page, paths) in enumerate(pages, 1):
        ovals = [s.box for s in page.shapes if _is_oval(s.kind, s.width, s.fill is None or min(s.fill) > 0.97, s.box)]
        inside = [(oval, _wires(oval, paths)) for oval in ovals]
        inside = [(oval, wires) for oval, wires in inside if wires]
        titles = [(t.text, _line(t, page)) for t in page.texts if t.bold and CABLE.fullmatch(t.text) and t.text in known]
        for oval, wires in inside:
            of = {cables.get(w, "no cable") for w in wires}
            if len(of) > 1:
                yield Defect("jacket", f"one oval holds cores of {sorted(of)}", number, oval.middle)
                continue
            (cable,) = of
            held[cable] |= wires
            gaps = sorted((_apart(oval, box) + (BELOW if box.y1 < oval.middle[1] else 0), ref) for ref, box in titles)
            if not gaps or gaps[0][0] > REACH:
                yield Defect("jacket", f"an oval of {cable} has no title", number, oval.middle)
            elif cable not in {text for gap, text in gaps if gap < gaps[0][0] + 0.01}:
                yield Defect("jacket", f"an oval of {cable} has the title {gaps[0][1]} nearest", number, oval.middle)
    cores: dict[str, set[str]] = defaultdict(set)
    for wire, cable in cables.items():
        cores[cable].add(wire)
    for cable, wires in sorted(cores.items()):
        if missing := sorted(wires - held[cable]):
            yield Defect("jacket", f"{missing} of {cable} pass no oval of it")


def _line(title: Text, page: Page) -> Box:
    """The designation and what is said after it, on the same line and on the next."""
    box = title.box
    for text in sorted(page.texts, key=lambda t: (-t.base, t.box.x0)):
        beside = abs(text.base - title.base) < 0.1 and 0 <= text.box.x0 - box.x1 < 2
        under = abs(text.box.x0 - box.x0) < 0.1 and 0 < box.y0 - text.box.y1 < 2
        if not text.bold and (beside or under):
            box = Box(box.x0, min(box.y0, text.box.y0), max(box.x1, text.box.x1), box.y1)
    return box


def _is_oval(kind: str, width: float, clear: bool, box: Box) -> bool:
    return (kind == "circle" and clear and near(width, NARROW, 0.1) and 2 < box.w < 5) or (
        kind == "outline" and clear and near(width, NARROW, 0.1) and 1.5 < min(box.w, box.h) < 5 and max(box.w, box.h) < 150
    )  # fmt: skip


def _wires(oval: Box, paths: list[Path]) -> set[str]:
    """Conductors that run right through an oval, across its long side."""
    found = set()
    for path in paths:
        for piece in path.pieces:
            line = piece.box
            across = (
                line.x0 < oval.x0 and line.x1 > oval.x1 and oval.y0 < line.y0 < oval.y1
                if piece.level
                else line.y0 < oval.y0 and line.y1 > oval.y1 and oval.x0 < line.x0 < oval.x1
            )
            if across and (oval.h > oval.w - 1.5 if piece.level else oval.w > oval.h - 1.5):
                found |= {label.wire for label in path.labels}
    return found


def _apart(a: Box, b: Box) -> float:
    dx = max(a.x0 - b.x1, b.x0 - a.x1, 0)
    dy = max(a.y0 - b.y1, b.y0 - a.y1, 0)
    return float((dx * dx + dy * dy) ** 0.5)

"""Where a cable's oval goes and what stands beside it."""

from __future__ import annotations

from collections import defaultdict
from dataclasses import dataclass

from wiregen.drafting.arrange import Arrangement
from wiregen.drafting.ink import SMALL
from wiregen.drafting.metrics import width
from wiregen.drafting.plan import Planner
from wiregen.wiring.model import Wiring


@dataclass(frozen=True)
class Mark:
    """A jacket's oval: in which half of which channel, across which rows."""

    cable: str
    channel: int
    half: str
    rows: tuple[int, ...]


def title_of(wiring: Wiring, ref: str, folded: bool) -> tuple[str, ...]:
    """What is said of a cable beside its designation: cores, size, length, spares; in one line or two."""
    link = next((k for k in wiring.links if k.ref == ref), None)
    if link is not None:
        what, rest = link.sheet.name or link.sheet.type, [_length(link.length, link.assumed)]
    else:
        cable = wiring.cables[ref]
        what = f"{len(cable.cores)} × {cable.sheet.size.text}".replace("mm2", "mm²")
        rest = [_length(cable.length, cable.assumed)]
        if cable.existing:
            rest.append("existing")
        if cable.spares:
            rest.append(f"{len(cable.spares)} of {len(cable.cores)} spare")
    return (what, ", ".join(rest)) if folded else (", ".join([what, *rest]),)


def _length(metres: float, assumed: bool) -> str:
    return f"about {metres:.3g} m ASSUMED" if assumed else f"{metres:.3g} m"


def title_width(wiring: Wiring, ref: str, folded: bool) -> float:
    first, *more = title_of(wiring, ref, folded)
    return max(width(ref + " ", SMALL, bold=True) + width(first, SMALL), *(width(t, SMALL) for t in more), 0.0)


def marks(planner: Planner, found: Arrangement) -> list[Mark]:
    """One mark for each cable, where its cores lie side by side with no stranger among them; best at its outer end."""
    graph, plan = planner.graph, found.plan
    hub = planner.tree.hub
    cores: dict[str, set[int]] = defaultdict(set)
    for n, net in enumerate(graph.nets):
        if net.cable:
            cores[net.cable].add(n)
    sides: dict[tuple[int, str], list[tuple[int, int, int]]] = {}
    for column, units in enumerate(plan.units):
        for side in ("left", "right"):
            channel = column if side == "right" else column - 1
            zone = "left" if side == "right" else "right"
            pieces = plan.pieces.get((channel, zone), [])  # type: ignore[call-overload]
            short = {r for p in pieces for r, _ in (p.left if zone == "left" else p.right)}
            occupied = [
                (found.heights.row[r], r, plan.row_net[r])
                for u in units
                for r in (u.right if side == "right" else u.left)
                if plan.row_net[r] >= 0 and r not in short
            ]
            for piece in pieces:
                occupied += [(found.heights.row[r], r, n) for r, n in (piece.right if zone == "left" else piece.left)]
            sides[channel, side] = sorted(occupied)
    outer = {
        (column if side == "right" else column - 1, side): all(
            u.node is None or graph.nodes[u.node].place != hub for u in units
        )
        for column, units in enumerate(plan.units)
        for side in ("left", "right")
    }
    chosen = []
    for cable in sorted(cores):
        wanted = cores[cable]
        best: tuple[int, int, int, Mark] | None = None
        for n, ((channel, side), occupied) in enumerate(sorted(sides.items())):
            at = [k for k, (_, _, net) in enumerate(occupied) if net in wanted]
            if not at:
                continue
            strangers = at[-1] - at[0] + 1 - len(at)
            missing = len(wanted) - len(at)
            passing = sum(not _is_port(planner, found, occupied[k][1]) for k in at)
            key = (missing * 10 + strangers, (0 if outer[channel, side] else 1) + passing, n)
            if best is None or key < best[:3]:
                best = (*key, Mark(cable, channel, "left" if side == "right" else "right", tuple(occupied[k][1] for k in at)))
        if best:
            chosen.append(best[3])
    return chosen


def _is_port(planner: Planner, found: Arrangement, row: int) -> bool:
    return any(row in (*u.left, *u.right) for units in found.plan.units for u in units if u.node is not None)

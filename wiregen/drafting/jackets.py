"""Where a cable's oval goes and what stands beside it."""

from __future__ import annotations

from collections import Counter, defaultdict
from collections.abc import Collection
from dataclasses import dataclass
from typing import TYPE_CHECKING

from wiregen.drafting.ink import SMALL
from wiregen.drafting.metrics import width
from wiregen.drafting.plan import Half, Plan, Planner
from wiregen.wiring.model import Wiring

if TYPE_CHECKING:
    from wiregen.drafting.arrange import Arrangement


@dataclass(frozen=True)
class Mark:
    """A jacket's oval: in which half of which channel, across which rows, for which nets; `again`: not the cable's first.

    `near`: between the column and junctions near it, else on the other side of these.
    """

    cable: str
    channel: int
    half: Half
    near: bool
    rows: tuple[int, ...]
    nets: tuple[int, ...]
    again: bool = False


def title_of(wiring: Wiring, ref: str, folded: bool) -> tuple[str, ...]:
    """Designation, cores, size, length, spares of a cable, in one line or in two of about one width."""
    link = next((k for k in wiring.links if k.ref == ref), None)
    if link is not None:
        parts = [link.sheet.name or link.sheet.type]
        if link.length:  # none where both ends are in one place
            parts.append(_length(link.length, link.assumed))
    else:
        cable = wiring.cables[ref]
        parts = [f"{len(cable.cores)} × {cable.sheet.size.text}".replace("mm2", "mm²"), _length(cable.length, cable.assumed)]
        if cable.existing:
            parts.append("existing")
        if cable.spares:
            parts.append(f"{len(cable.spares)} of {len(cable.cores)} spare")
    words = f"{ref} {', '.join(parts)}".split(" ")
    if not folded:
        return (" ".join(words),)
    splits = [(" ".join(words[:n]), " ".join(words[n:])) for n in range(2, len(words))]
    return min(splits, key=lambda pair: max(width(t, SMALL) for t in pair), default=(" ".join(words),))


def _length(metres: float, assumed: bool) -> str:
    return f"about {metres:.3g} m ASSUMED" if assumed else f"{metres:.3g} m"


def title_width(wiring: Wiring, ref: str, folded: bool) -> float:
    first, *more = title_of(wiring, ref, folded)
    return max(width(ref, SMALL, bold=True) + width(first[len(ref) :], SMALL), *(width(t, SMALL) for t in more), 0.0)


@dataclass(frozen=True)
class Bundle:
    """The cores of a cable on one side of a column: row, net and place among all rows of each; how many are missing, how
    many strangers run between, how many only pass."""

    cores: tuple[tuple[int, int, int], ...]
    missing: int
    strangers: int
    passing: int


Spot = tuple[int, Half, bool]  # channel, half, and whether between the column and junctions near it
Bundles = dict[str, dict[Spot, Bundle]]  # by cable


def bundles(planner: Planner, plan: Plan, row: list[int]) -> Bundles:
    """By cable and spot: rows that run on towards the middle of the channel, and those that end at junctions near a column."""
    nets = planner.graph.nets
    total = Counter(net.cable for net in nets if net.cable)
    found: dict[str, dict[Spot, Bundle]] = defaultdict(dict)

    def enter(spot: Spot, rows: list[tuple[int, int, int, bool]], only: Collection[int] | None = None) -> None:
        """Each row with its height, its net, and whether it only passes; cables of all, or of some."""
        rows.sort()
        at: dict[str, list[int]] = defaultdict(list)
        for k, (_, r, n, _) in enumerate(rows):
            cable = nets[n].cable
            if cable and (only is None or r in only):
                at[cable].append(k)
        for cable, ks in at.items():
            strangers = ks[-1] - ks[0] + 1 - len(ks)
            passing = sum(rows[k][3] for k in ks)
            run = tuple((rows[k][1], rows[k][2], k) for k in ks)
            found[cable][spot] = Bundle(run, total[cable] - len(ks), strangers, passing)

    for channel in range(-1, len(plan.units)):
        sides: tuple[tuple[Half, int], ...] = (("left", channel), ("right", channel + 1))
        for half, column in sides:
            units = plan.units[column] if 0 <= column < len(plan.units) else []
            pieces = plan.pieces.get((channel, half), [])
            short = {r for p in pieces for r, _ in (p.left if half == "left" else p.right)}
            rows = [
                (row[r], r, plan.row_net[r], u.node is None)
                for u in units
                for r in (u.right if half == "left" else u.left)
                if plan.row_net[r] >= 0
            ]
            ended = {r for p in pieces if p.joint is not None for r, _ in (p.left if half == "left" else p.right)}
            if ended:
                enter((channel, half, True), list(rows), ended)
            rows = [one for one in rows if one[1] not in short]
            rows += [(row[r], r, n, False) for p in pieces for r, n in (p.right if half == "left" else p.left)]
            enter((channel, half, False), rows)
    return found


def disorder(found: Bundles) -> int:
    """How many strangers run among cables' cores, even where that is fewest."""
    return sum(min(10 * b.missing + b.strangers for b in at.values()) for at in found.values())


def marks(found: Arrangement) -> list[Mark]:
    """One mark for each cable, where its cores lie side by side with no stranger among them; best at its outer end.

    Where strangers cannot be kept out, or cores run in different channels, each group of cores gets a mark of its own.
    """
    choice = found.plan.choice
    outer = [all(choice.side[n] for n in order) for order in choice.order]
    chosen: list[Mark] = []
    for cable, at in sorted(found.bundles.items()):
        done: set[int] = set()

        def price(spot: Spot, at: dict[Spot, Bundle] = at, done: set[int] = done) -> tuple[int, ...]:
            (channel, half, near), bundle = spot, at[spot]
            column = channel if half == "left" else channel + 1
            inner = not (0 <= column < len(outer) and outer[column])
            fresh = sum(net not in done for _, net, _ in bundle.cores)
            return -10 * fresh + bundle.strangers, inner + bundle.passing, channel, half == "right", near

        for _ in at:
            best = min(at, key=price)
            run: list[tuple[int, int, int]] = []
            for core in (*at[best].cores, (-1, -1, -9)):
                if run and core[2] != run[-1][2] + 1:
                    rows, nets, _ = zip(*run, strict=True)
                    if not set(nets) <= done:
                        chosen.append(Mark(cable, *best, rows, nets, bool(done)))
                        done |= set(nets)
                    run = []
                run.append(core)
    return chosen

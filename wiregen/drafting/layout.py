"""Placing and routing: a door's wiring on one page, or cut by circuit into several."""

from __future__ import annotations

from collections.abc import Collection, Iterator, Mapping, Sequence

from wiregen.drafting.areas import areas
from wiregen.drafting.arrange import Arrangement, arrange, first_choice, measure
from wiregen.drafting.columns import Tree, assign, choices, hub_of, tree_of
from wiregen.drafting.compose import Draft, compose, draft, wide_enough
from wiregen.drafting.graph import NO_BLANKS, Graph, graph_of, without_hosts
from wiregen.drafting.metrics import GRID
from wiregen.drafting.model import Layout, Rect
from wiregen.drafting.pages import cut, numbered
from wiregen.drafting.plan import Planner, Style, Unit
from wiregen.reading.model import House
from wiregen.wiring.model import End, Wiring

HOPE = 5.0  # mm of width that a search may win
STYLES = (
    Style(),
    Style(terse=True),
    Style(over=True, terse=True),
    Style(over=True, terse=True, folded=True),
    Style(over=True, terse=True, folded=True, below=True),
)


def lay_out(wiring: Wiring, field: Rect, house: House, blanks: Mapping[str, str] = NO_BLANKS) -> tuple[Layout, ...]:
    """The pages of a door's wiring sheet: every conductor and link once, on one of them; each area has its own.

    A page on which something lacks room is cut in two, as long as it can be cut.  Devices without a wire stand on the last
    page of their area; where that does not hold them all, on none: the site's list of shared devices and a door's data sheet
    have them.  `blanks` as in `graph_of`.
    """
    pages: list[Layout] = []
    for area in areas(wiring):
        pages += _pages(area, field, blanks, len(pages))
    return numbered(pages, house)


def _pages(wiring: Wiring, field: Rect, blanks: Mapping[str, str], before: int) -> list[Layout]:
    """Of one area, with so many pages before these."""
    drawn: dict[tuple[frozenset[str], bool], _Drafts] = {}

    def draw(
        wires: frozenset[str], idle: bool, elsewhere: Mapping[End, Sequence[int]], strict: bool
    ) -> tuple[Layout, int] | None:
        key = (wires, idle)
        if key not in drawn:
            drawn[key] = _Drafts(wiring, field, wires, idle, blanks)
        return drawn[key].best(elsewhere, strict)

    def without_idle(
        wires: frozenset[str], _: bool, elsewhere: Mapping[End, Sequence[int]], strict: bool
    ) -> tuple[Layout, int] | None:
        return draw(wires, False, elsewhere, strict)

    pages = cut(wiring, draw, before) or cut(wiring, without_idle, before)
    if pages is None:
        raise ValueError(f"{wiring.door}: no conductor fits a field of {field.w:g} × {field.h:g} mm")
    return pages


class _Drafts:
    """The ways to draw a page with those conductors, from generous to tight, as far as one has asked for them."""

    def __init__(self, wiring: Wiring, field: Rect, wires: Collection[str], idle: bool,
                 blanks: Mapping[str, str]) -> None:  # fmt: skip
        self.wiring, self.field = wiring, field
        self.known: list[Draft] = []
        self.more = _arrangements(wiring, field, wires, idle, blanks)

    def __iter__(self) -> Iterator[Draft]:
        yield from self.known
        for one in self.more:
            self.known.append(one)
            yield one

    def best(self, elsewhere: Mapping[End, Sequence[int]], strict: bool) -> tuple[Layout, int] | None:
        """The first on which nothing lacks room, else (not if `strict`) the one on which the least does, and how much.

        None if there is none.
        """
        best: tuple[Layout, int] | None = None
        for each in self:
            page = compose(each, self.wiring, self.field, elsewhere, strict)
            if page is not None and (best is None or page[1] < best[1]):
                best = page
            if best is not None and not best[1]:
                break
        return best


def _arrangements(
    wiring: Wiring, field: Rect, wires: Collection[str], idle: bool, blanks: Mapping[str, str]
) -> Iterator[Draft]:
    """One arrangement for each style in which the sheet has room for it."""
    graph = graph_of(wiring, wires, idle, blanks)
    exposed = frozenset(n.place for n in graph.nodes if n.exposed)
    tree = tree_of(hub_of(wiring.hub, graph), wiring.places, wiring.runs, exposed)
    limit = int(field.h / GRID + 1e-6)
    starts: list[Arrangement | None] = []
    columns = _columns(graph, tree)
    last: Arrangement | None = None
    planner = Planner(graph, tree, limit)
    for style in STYLES:
        if style.below:
            if all(node.host is None for node in graph.nodes):
                break
            graph = without_hosts(graph)
            columns = _columns(graph, tree)
            planner, last = Planner(graph, tree, limit), None
        planner = planner.styled(style)
        if last is not None and not style.over:  # labels alone change no height: a new search would find the same
            standing = _standing(planner, last, wiring, field)
            if standing:
                yield standing
                continue
        if not style.terse or style.over:  # labels alone change no height
            starts = [measure(planner, first_choice(planner, column, side)) for column, side in columns]
            if all(s is None for s in starts):
                break  # further styles are no lower
        for start in sorted((s for s in starts if s is not None), key=lambda s: s.score):
            if not wide_enough(planner, start, wiring, field.w + HOPE):
                continue
            found = arrange(planner, start)
            standing = _standing(planner, found, wiring, field)
            if standing:
                yield standing
                last = found
                break


def _standing(planner: Planner, found: Arrangement, wiring: Wiring, field: Rect) -> Draft | None:
    """An arrangement that can be drawn: nothing on anything else, and the sheet wide enough."""
    return None if found.clashes or not _beside_free(planner, found) else draft(planner, found, wiring, field)


def _beside_free(planner: Planner, found: Arrangement) -> bool:
    """Whether a calmer beside its lock has that side for itself: conductors that leave there would run through it.  And
    whether its leads keep clear of lettering over the lock's terminals: there each goes to one that has another conductor."""
    nets, nodes, faces = planner.graph.nets, planner.graph.nodes, planner.faces(found.plan.choice)
    landed = {nets[n].at[which] for (n, which), _ in found.plan.ports}

    def free(unit: Unit) -> bool:
        if unit.node is None or unit.node not in planner.guests:
            return True
        level = all(nets[n].at[1 - w] in landed for g in planner.guests[unit.node] for n, w in nodes[g].nets)
        return not (unit.left and unit.right) and (level or not faces[unit.node].over)

    return all(free(u) for units in found.plan.units for u in units)


def _columns(graph: Graph, tree: Tree) -> list[tuple[tuple[int, ...], tuple[int, ...]]]:
    """The ways to stand devices in columns that are worth trying: each a column and a side of the hub for each device."""
    variants = [choices(graph, tree, outside_left, deep) for deep in (3, 2, 1) for outside_left in (True, False)]
    return list(dict.fromkeys(assign(graph, allowed) for allowed in dict.fromkeys(map(tuple, variants))))

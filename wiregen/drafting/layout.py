"""Placing and routing: a door's wiring on one page, or cut by circuit into several."""

from __future__ import annotations

from collections.abc import Collection, Mapping, Sequence
from types import MappingProxyType

from wiregen.drafting.arrange import Arrangement, arrange, first_choice, measure
from wiregen.drafting.columns import Tree, assign, choices, hub_of, tree_of
from wiregen.drafting.compose import compose, fits
from wiregen.drafting.graph import Graph, graph_of, without_hosts
from wiregen.drafting.metrics import GRID
from wiregen.drafting.model import Layout, Rect
from wiregen.drafting.pages import Draw, clusters, cut, numbered
from wiregen.drafting.plan import Planner, Style
from wiregen.reading.model import House
from wiregen.wiring.model import End, Wiring

_NOWHERE: Mapping[End, Sequence[int]] = MappingProxyType({})
STYLES = (
    Style(),
    Style(terse=True),
    Style(over=True, terse=True),
    Style(over=True, terse=True, folded=True),
    Style(over=True, terse=True, folded=True, below=True),
)


def lay_out(wiring: Wiring, field: Rect, house: House) -> tuple[Layout, ...]:
    """The pages of a door's wiring sheet: every conductor and link once, on one of them."""
    whole = page_of(wiring, field, None)
    if whole is not None and not whole[1]:
        return numbered([whole[0]], house)

    def draw(lettered: bool) -> Draw:
        def one(wires: frozenset[str], idle: bool, elsewhere: Mapping[End, Sequence[int]]) -> Layout | None:
            page = page_of(wiring, field, wires, idle, elsewhere)
            return None if page is None or (lettered and page[1]) else page[0]

        return one

    parts = clusters(wiring)
    if whole is not None:  # two pages where every long conductor has both its labels, else one page without some of them
        return numbered(cut(wiring, parts, draw(True), most=2) or [whole[0]], house)
    pages = cut(wiring, parts, draw(False), most=len(wiring.conductors) + len(wiring.links))
    if pages is None:
        raise ValueError(f"{wiring.door}: no conductor fits a field of {field.w:g} × {field.h:g} mm")
    return numbered(pages, house)


def page_of(
    wiring: Wiring, field: Rect, wires: Collection[str] | None, idle: bool = True,
    elsewhere: Mapping[End, Sequence[int]] = _NOWHERE,
) -> tuple[Layout, int] | None:  # fmt: skip
    """One page with those conductors, and how much of its lettering lacks room; None if they do not fit."""
    graph = graph_of(wiring, wires, idle)
    exposed = frozenset(n.place for n in graph.nodes if n.exposed)
    tree = tree_of(hub_of(wiring.hub, graph), wiring.places, wiring.runs, exposed)
    limit = int(field.h / GRID + 1e-6)
    starts: list[Arrangement | None] = []
    second: tuple[Layout, int] | None = None  # fits, but some lettering lacks room
    columns = _columns(graph, tree)
    for style in STYLES:
        if style.below:
            if all(node.host is None for node in graph.nodes):
                break
            graph = without_hosts(graph)
            columns = _columns(graph, tree)
        planner = Planner(graph, tree, style, limit)
        if not style.terse or style.over:  # labels alone change no height
            starts = [measure(planner, first_choice(planner, column, side)) for column, side in columns]
            if all(s is None for s in starts):
                break  # further styles are no lower
        fitting = [s for s in starts if s is not None and fits(planner, s, wiring, field)]
        for start in sorted(fitting, key=lambda s: s.score):
            found = arrange(planner, start)
            legal = not found.clashes and _beside_free(planner, found)
            page = compose(planner, found, wiring, field, elsewhere) if legal else None
            if page is None:
                continue
            if not page[1]:
                return page
            if second is None or page[1] < second[1]:
                second = page
            break
    return second


def _beside_free(planner: Planner, found: Arrangement) -> bool:
    """Whether a calmer beside its lock has that side for itself: conductors that leave there would run through it."""
    return not any(u.left and u.right for units in found.plan.units for u in units if u.node in planner.guests)


def _columns(graph: Graph, tree: Tree) -> list[tuple[tuple[int, ...], tuple[int, ...]]]:
    """The ways to stand devices in columns that are worth trying: each a column and a side of the hub for each device."""
    variants = [choices(graph, tree, outside_left, deep) for deep in (3, 2, 1) for outside_left in (True, False)]
    return list(dict.fromkeys(assign(graph, allowed) for allowed in dict.fromkeys(map(tuple, variants))))

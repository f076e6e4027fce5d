"""Release curves as graphs: how the current of a coil dies away, with its calmer and without."""

from __future__ import annotations

from collections.abc import Iterable, Sequence

from wiregen.packet.content import Graph, Graphs, Trace
from wiregen.packet.wording import joined, named
from wiregen.quantities import quantity, scale
from wiregen.study.model import Release


def release_curves(releases: Iterable[Release]) -> Graphs:
    """A graph for each lock; those that run alike share one."""
    alike: dict[tuple[object, ...], list[Release]] = {}
    for release in releases:
        alike.setdefault((release.lets_go, *((c.seconds, c.amps) for c in release.curves)), []).append(release)
    return Graphs(
        tuple(_graph(group) for group in alike.values()),
        caption="How the current of a coil dies away once its contact opens",
    )


def _graph(alike: Sequence[Release]) -> Graph:
    first = alike[0]
    slow, seconds = scale(max(c.seconds[-1] for c in first.curves), "s")
    strong, amps = scale(max(max(c.amps) for c in first.curves), "A")
    traces = (
        Trace(
            joined([release.curves[n].label for release in alike]),
            tuple(s / slow for s in curve.seconds),
            tuple(a / strong for a in curve.amps),
        )
        for n, curve in enumerate(first.curves)
    )
    level = None
    if first.lets_go is not None:
        level = (f"lets go at {quantity(first.lets_go, 'A')} at the latest", first.lets_go / strong)
    return Graph(
        title=named(release.device for release in alike),
        x_title=f"time after the contact opens, {seconds}",
        y_title=f"current, {amps}",
        traces=tuple(traces),
        level=level,
    )

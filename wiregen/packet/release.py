"""Release curves as graphs: how the current of a coil dies away, with its calmer and without."""

from __future__ import annotations

from collections.abc import Iterable, Sequence

from wiregen.packet.content import Graph, Graphs, Trace
from wiregen.packet.wording import named, quantity, scale
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
            _joined([release.curves[n].label for release in alike]),
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


def _joined(labels: Sequence[str]) -> str:
    """"with V1 (diode)" and "with V2 (diode)" in one; labels that are not built alike stand side by side."""
    words = [label.split(" ") for label in labels]
    if len({len(each) for each in words}) > 1:
        return "; ".join(dict.fromkeys(labels))
    return " ".join(named(column) for column in zip(*words, strict=True))

"""Links: pre-terminated cables from jack to jack, one a hop through patch ports (T4, T14)."""

from __future__ import annotations

from collections.abc import Iterator
from itertools import pairwise

from wiregen.reading.model import Jack, Pass, Run, Where
from wiregen.wiring.cast import Cast
from wiregen.wiring.circuits import Circuits
from wiregen.wiring.model import End, Link
from wiregen.wiring.names import Names


def hops(cast: Cast, circuits: Circuits) -> Iterator[tuple[End, End, bool, Where]]:
    """Each link of the cast's own devices from the end nearer the switch: its two ends, whether it carries power, where."""
    for fit in circuits.fits:
        if fit.row not in ("T4", "T14") or not cast.is_own(fit.own.device):
            continue
        own, target = circuits.of(fit.own, Jack), circuits.of(fit.target, Jack)
        poe = fit.row == "T4"
        end = End(fit.target.device, target.mark)
        for item in circuits.through if poe else ():
            if item.own != fit.own:
                continue
            step = item.steps[0]
            port = circuits.of(step.at, Pass)
            assert port.jacks is not None
            yield end, End(step.at.device, port.jacks[0]), poe, fit.relation.where
            end = End(step.at.device, port.jacks[1])
        yield end, End(fit.own.device, own.mark), poe, fit.relation.where


def along(cast: Cast, one: str, other: str) -> tuple[str, ...] | None:
    """The places from one to the other by the runs, both included; None where no run joins them."""
    meet = cast.meet(one, other)
    if meet is None:
        return None
    out, back = cast.path(one), cast.path(other)
    return (*out[: out.index(meet) + 1], *reversed(back[: back.index(meet)]))


def _between(cast: Cast, along: tuple[str, ...]) -> list[Run]:
    runs = []
    for one, other in pairwise(along):
        for place, parent in ((one, other), (other, one)):
            run = cast.run(place)
            if run is not None and run.parent == parent:
                runs.append(run)
    return runs


def laid(cast: Cast, circuits: Circuits, names: Names) -> list[Link]:
    found = []
    for a, b, poe, where in hops(cast, circuits):
        places = along(cast, cast.place(a.device), cast.place(b.device)) or ()
        runs = _between(cast, places)
        found.append(
            Link(
                names.numbered("W"),
                a,
                b,
                cast.site.stock.link,
                places,
                sum((run.length.nominal for run in runs), 0.0),
                any(run.length.assumed for run in runs),
                poe,
                where,
            )
        )
    return found

"""What hangs on each output of a door: idle, in its worst state, and as the largest of its loads starts."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from typing import Any

from wiregen.reading.model import Band, Gives, Site
from wiregen.study.formula import Formula, identifier, total
from wiregen.study.model import Draw, Figure
from wiregen.study.operating import Operating
from wiregen.wiring.fitting import At
from wiregen.wiring.model import Wiring

SUM = "what its loads draw, one by one"
NETWORK = "operating point of the door's network"
PEAK = Formula("amps - own + inrush", "A", {"amps": "A", "own": "A", "inrush": "A"}, "all that is on, the largest as it starts")
LITTLE = 1e-4  # A: less is no load
TRIPS = ("hiccup", "shuts off")  # what an output does with too much that keeps a load from starting


def budgets(site: Site, wiring: Wiring, operating: Operating) -> tuple[tuple[Figure, ...], tuple[Draw, ...]]:
    """Figures of every output that loads of the door hang on, and what it draws from those of the site."""
    figures: list[Figure] = []
    draws: list[Draw] = []
    for at in operating.circuit.sources:
        group = wiring.devices[at.device].sheet.groups.get(at.group) if at.device in wiring.devices else None
        if not isinstance(group, Gives):
            continue
        told = tuple(_budget(wiring, operating, at, group))
        figures += told
        if told and wiring.devices[at.device].origin != "door":
            draws.append(_draw(operating, at, told))
    return tuple(figures), tuple(draws)


def _on(operating: Operating, at: At, row: int) -> dict[At, Band]:
    """The loads on an output that draw at that point, and their amps."""
    found = {}
    for load, supplied in operating.loads.items():
        if At(supplied.source, supplied.output.name) == at:
            amps = operating.amps(load)[row]
            if abs(amps.nominal) > LITTLE:
                found[load] = amps
    return found


def _budget(wiring: Wiring, operating: Operating, at: At, group: Gives) -> Iterator[Figure]:
    given = operating.amps(at)
    rows = range(len(given))
    worst = max(rows, key=lambda row: (given[row].most, -row))
    if given[worst].most < LITTLE:
        return
    limit = group.limit if group.limit and group.limit.unit == "A" else None
    bound = f"data sheet {wiring.devices[at.device].sheet.type}: limit of {at}" if limit else ""
    for row, word in ((0, "idle"), (worst, "worst state")) if worst else ((0, "idle, and the worst state"),):
        on = _on(operating, at, row)
        names: dict[str, Any] = {identifier(str(load)): amps for load, amps in on.items()}
        told = total("A", dict.fromkeys(names, "A"), SUM).figure("", str(at), **names)
        point = operating.points[row]
        never = [str(load) for load in _ever(operating, at) if load not in on]
        note = f"not on with them: {', '.join(never)}" if never and row else ""
        named = f"amps, {word}" + (f" ({point.state}{f', {point.lock} on' if point.lock else ''})" if row else "")
        amps = given[row]
        yield replace(
            told, name=named, topic="budget", hand=told.value, value=amps.nominal, least=amps.least, most=amps.most,
            source=f"{NETWORK}; by hand: {SUM}", note=note, ceiling=limit.nominal if limit else None, bound=bound,
            cure=f"a source of {amps.most:.3g} A, or fewer loads on {at}",
        )  # fmt: skip
    yield from _peak(wiring, operating, at, group, worst, given)


def _ever(operating: Operating, at: At) -> tuple[At, ...]:
    return tuple(load for load, s in operating.loads.items() if At(s.source, s.output.name) == at)


def _peak(
    wiring: Wiring, operating: Operating, at: At, group: Gives, row: int, given: tuple[Band, ...]
) -> Iterator[Figure]:
    """All that is on at the worst point, with the largest inrush in place of what that load draws."""
    rushing = []
    for load, amps in _on(operating, at, row).items():
        inrush = operating.loads[load].load.inrush
        if inrush is not None:
            rushing.append((inrush.amps - amps.nominal, str(load), amps, inrush))
    if not rushing:
        return
    _, name, own, inrush = max(rushing, key=lambda one: (one[0], one[1]))
    told = PEAK.figure("amps, peak", str(at), amps=given[row], own=own, inrush=inrush.amps)
    lasts = f" for {inrush.seconds * 1000:g} ms" if inrush.seconds else ""
    ceiling = group.peak.amps if group.peak else group.limit.nominal if group.limit and group.overload in TRIPS else None
    yield replace(
        told, topic="budget", grave=False, note=f"{name} starts with {inrush.amps:g} A{lasts}", ceiling=ceiling,
        bound=f"data sheet {wiring.devices[at.device].sheet.type}: peak of {at}" if ceiling is not None else "",
        cure=f"a limiter in the lead of {name}, or a source with more to spare",
    )  # fmt: skip


def _draw(operating: Operating, at: At, told: tuple[Figure, ...]) -> Draw:
    """What the door takes from an output of the site: idle, in a fire, at the worst and as its largest load starts."""
    given = operating.amps(at)
    fire = [band for band, point in zip(given, operating.points, strict=True) if point.state == "fire"]
    peak = next((figure.most for figure in told if figure.name == "amps, peak"), told[-1].most)
    worst = max(given, key=lambda band: band.most)
    idle, in_fire = given[0], fire[0] if fire else given[0]
    return Draw(at.device, at.group, idle=_amps(idle), fire=_amps(in_fire), worst=_amps(worst), peak=peak)


def _amps(band: Band) -> Band:
    return replace(band, least=max(band.least, 0.0), nominal=max(band.nominal, 0.0), most=max(band.most, 0.0))

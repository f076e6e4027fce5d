"""The conductors on the way between two terminals, how long they are and what they add in ohms."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import replace
from typing import Any

from wiregen.reading.model import Band, Site
from wiregen.study.conductor import CORE, INDOORS, ohms_per_metre, temperature
from wiregen.study.formula import identifier, total
from wiregen.study.model import Figure
from wiregen.study.shortest import shortest
from wiregen.wiring.model import Conductor, End, Wiring

ABOUT = 0.2  # part by which an assumed length may be off: common practice, no source
ASSUMED = "an assumed length may be 20 % off: common practice, no source"
SHORT = "wires inside a box and the devices' own leads count as nothing"


class Routes:
    """Finds the way of fewest metres over conductors and the devices' own ties."""

    def __init__(self, wiring: Wiring) -> None:
        self._next: dict[End, list[tuple[End, Conductor | None]]] = {}
        for conductor in wiring.conductors:
            self._join(conductor.a, conductor.b, conductor)
        for tie in wiring.ties:
            for end in tie[1:]:
                self._join(tie[0], end, None)

    def _join(self, a: End, b: End, conductor: Conductor | None) -> None:
        self._next.setdefault(a, []).append((b, conductor))
        self._next.setdefault(b, []).append((a, conductor))

    def way(self, a: End, b: End, bridges: Iterable[tuple[End, End]] = ()) -> tuple[Conductor, ...] | None:
        """The conductors from `a` to `b` in order; None where there is no way.  `bridges` are joined too: contacts, parts."""
        over: dict[End, list[tuple[End, Conductor | None]]] = {}
        for one, other in bridges:
            over.setdefault(one, []).append((other, None))
            over.setdefault(other, []).append((one, None))

        def beside(end: End) -> Iterator[tuple[End, float, Conductor | None]]:
            for other, conductor in (*self._next.get(end, ()), *over.get(end, ())):
                yield other, conductor.length if conductor else 0.0, conductor

        way = shortest(beside, a, b)
        return None if way is None else tuple(conductor for conductor in way if conductor)


def metres(way: Sequence[Conductor]) -> float:
    return sum(conductor.length for conductor in way)


def long(way: Sequence[Conductor]) -> tuple[Conductor, ...]:
    """Those that have a length."""
    return tuple(conductor for conductor in way if conductor.length)


def length(metres: float, assumed: bool) -> Band:
    """A length in m with what it may be off."""
    off = ABOUT if assumed else 0.0
    return Band(metres, metres * (1 - off), metres * (1 + off), "m", "", assumed)


def way_metres(name: str, about: str, way: Sequence[Conductor]) -> Figure:
    """Metres of the way, as a sum over its conductors."""
    lengths: dict[str, Any] = {identifier(c.wire): length(c.length, c.assumed) for c in long(way)}
    note = ASSUMED if any(c.assumed for c in way) else ""
    return total("m", dict.fromkeys(lengths, "m"), "lengths of its conductors").figure(name, about, note=note, **lengths)


def way_ohms(site: Site, wiring: Wiring, name: str, about: str, way: Sequence[Conductor]) -> Figure:
    """Ohms of the way, as a sum over its conductors, each at the temperatures of its runs."""
    ohms: dict[str, Any] = {identifier(c.wire): conductor_ohms(site, wiring, c) for c in long(way)}
    told = total("ohm", dict.fromkeys(ohms, "ohm"), "ohms of its conductors, one after the other")
    note = f"{SHORT}; {ASSUMED}" if any(c.assumed for c in way) else SHORT
    return told.figure(name, about, note=note, **ohms)


def conductor_ohms(site: Site, wiring: Wiring, conductor: Conductor) -> Figure:
    """Ohms of one conductor from end to end."""
    cable = wiring.cables.get(conductor.cable or "")
    celsius = temperature(wiring.runs, cable.along) if cable else INDOORS
    metre = ohms_per_metre(cable.sheet if cable else site.stock.wire, celsius)
    told = CORE.figure(
        "one core, end to end", cable.ref if cable else "", per_metre=metre, length=length(conductor.length, conductor.assumed),
        source=metre.source, note="; ".join(n for n in (metre.note, celsius.text, ASSUMED if conductor.assumed else "") if n),
    )  # fmt: skip
    return replace(told, topic="conductor")

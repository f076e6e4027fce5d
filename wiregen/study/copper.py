"""Which terminals are one piece of copper, and which output stands behind a load: read from the conductors alone."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, replace
from functools import cached_property

from wiregen.reading.model import Band, Gives, Site, Takes
from wiregen.wiring.model import Chain, End, Wiring

ON_THE_WAY = 0.05  # of its volts: what the wire of a site may lose between a supply and its boards; common practice, no source


class Copper:
    """The partition of a door's terminals into potentials, by union of conductors and of the devices' own ties."""

    def __init__(self, wiring: Wiring) -> None:
        self._parent: dict[End, End] = {}
        for conductor in wiring.conductors:
            self.join((conductor.a, conductor.b))
        for tie in wiring.ties:
            self.join(tie)

    def root(self, end: End) -> End:
        """The terminal that stands for all that are one copper with this one."""
        while (up := self._parent.get(end, end)) != end:
            self._parent[end] = end = self._parent.get(up, up)
        return end

    def join(self, ends: Iterable[End]) -> None:
        first, *others = ends
        self._parent.setdefault(first, first)
        for other in others:
            self._parent[self.root(other)] = self.root(first)
            self._parent.setdefault(other, self.root(first))

    def landed(self, end: End) -> bool:
        return end in self._parent

    def same(self, a: End, b: End) -> bool:
        """Whether copper joins them; a terminal that nothing is landed on is joined to nothing."""
        return a in self._parent and b in self._parent and self.root(a) == self.root(b)


@dataclass(frozen=True)
class Supplied:
    """A load of this door, the output that it hangs on, and the contacts between (None: it hangs on it direct)."""

    device: str
    load: Takes
    source: str
    output: Gives
    volts: Band | None
    chain: Chain | None

    @property
    def plus(self) -> End:
        return End(self.device, self.load.first or "")

    @property
    def minus(self) -> End:
        return End(self.device, self.load.second or "")

    @property
    def source_plus(self) -> End:
        return End(self.source, self.output.first or "")

    @property
    def source_minus(self) -> End:
        return End(self.source, self.output.second or "")


class Loads(tuple[Supplied, ...]):
    """Loads in the order of their devices, found by their own terminals and by the output that they hang on."""

    @cached_property
    def _by_inlet(self) -> dict[tuple[str, str], Supplied]:
        return {(at.device, at.load.name): at for at in reversed(self)}

    @cached_property
    def _by_output(self) -> dict[tuple[str, str], list[Supplied]]:
        found: dict[tuple[str, str], list[Supplied]] = {}
        for at in self:
            found.setdefault((at.source, at.output.name), []).append(at)
        return found

    def at(self, device: str, load: str) -> Supplied | None:
        return self._by_inlet.get((device, load))

    def on(self, device: str, output: str) -> Sequence[Supplied]:
        return self._by_output.get((device, output), ())


def supplied(site: Site, wiring: Wiring, copper: Copper) -> Loads:
    """Every load that is fed from an output of the door's wiring, in the order of its devices."""
    chains = {(c.load, c.load_group): c for c in wiring.chains}
    outputs: dict[tuple[End, End], list[tuple[str, Gives]]] = {}
    for ref, wired in wiring.devices.items():
        for group in wired.sheet.groups.values():
            if isinstance(group, Gives) and group.first and group.second:
                poles = End(ref, group.first), End(ref, group.second)
                if all(map(copper.landed, poles)):
                    outputs.setdefault((copper.root(poles[0]), copper.root(poles[1])), []).append((ref, group))
    found = []
    for ref, wired in wiring.devices.items():
        for group in wired.sheet.groups.values():
            if not isinstance(group, Takes) or not group.first or not group.second:
                continue
            plus, minus = End(ref, group.first), End(ref, group.second)
            if chain := chains.get((ref, group.name)):
                source = wiring.devices[chain.source].sheet.groups.get(chain.source_group)
                direct = [(chain.source, source)] if isinstance(source, Gives) else []
            else:
                beside = outputs.get((copper.root(plus), copper.root(minus)), ())
                direct = [(other, g) for other, g in beside if other != ref]
            for other, output in direct[:1]:
                volts = output_volts(site, other, output)
                found.append(Supplied(ref, group, other, output, volts, chain))
    return Loads(_passed_on(found))


def _passed_on(found: Sequence[Supplied]) -> Iterator[Supplied]:
    """The same, the volts of an output of the door that passes on what comes in being those of the load that it comes in by."""
    by_inlet = {(at.device, at.load.name): at for at in found}
    for at in found:
        behind, steps = at, 0
        while behind.volts is None and behind.output.volts_as and steps < len(found):
            behind, steps = by_inlet.get((behind.source, behind.output.volts_as), behind), steps + 1
        yield replace(at, volts=behind.volts)


def behind(site: Site, ref: str, output: Gives) -> tuple[str, Gives] | None:
    """The output of the site that an output passes on ("as in"): its device and itself; None where there is none."""
    if not output.volts_as or ref not in site.shared:
        return None
    for relation in site.shared[ref].relations:
        if relation.kind == "from" and relation.own in (None, output.volts_as) and relation.target.device in site.shared:
            device = site.shared[relation.target.device]
            gives = [g for g in device.sheet.groups.values() if isinstance(g, Gives)]
            named = [g for g in gives if relation.target.group in (None, g.name)]
            if len(named) == 1:
                return device.ref, named[0]
    return None


def output_on_battery(site: Site, ref: str, output: Gives) -> Band | None:
    """The band of an output while its supply lives on a battery; None where it has none."""
    seen: set[str] = set()
    while output.on_battery is None and ref not in seen and (up := behind(site, ref, output)):
        seen.add(ref)
        ref, output = up
    return output.on_battery


def output_volts(site: Site, ref: str, output: Gives) -> Band | None:
    """The band of an output, as it is promised to what hangs on it.

    Where it passes on what comes in ("as in") that of the output of the site behind it, less what the site's own wire may
    lose: the study of the site proves that it loses no more.
    """
    seen: set[str] = set()
    while output.volts is None and ref not in seen and (up := behind(site, ref, output)):
        seen.add(ref)
        ref, output = up
    volts = output.volts
    return replace(volts, least=volts.least * (1 - ON_THE_WAY)) if volts and seen else volts

"""The tables of the packet for other programs to read: what the sheets print, as texts and numbers."""

from __future__ import annotations

from collections.abc import Collection, Iterable, Iterator, Mapping, Sequence

from wiregen.packet.duties import duties
from wiregen.packet.grid import Grid, Value, grid
from wiregen.packet.labels import labels
from wiregen.packet.loads import Amps, outputs, ports
from wiregen.packet.materials import materials
from wiregen.packet.pulls import Pull, bundles, pulls
from wiregen.packet.reels import reels
from wiregen.packet.settings_list import settings
from wiregen.packet.termination import Beside, order_of_work
from wiregen.packet.wording import by_topic
from wiregen.reading.model import Site
from wiregen.reading.shared import SITE, wired
from wiregen.study.model import Figure, Study
from wiregen.wiring.model import End, Wiring

TERMINATIONS = (
    "door", "place", "wire", "from", "from lead", "to", "to lead", "colour", "cable", "core", "size", "length m", "function",
    "expected",
)  # fmt: skip
CABLES = (
    "door", "cable", "type", "along", "length m", "assumed", "serves", "cores", "used", "spare", "screen", "existing", "by",
)  # fmt: skip
FIGURES = (
    "door", "topic", "about", "figure", "value", "unit", "least", "most", "at least", "at most", "margin", "limit from",
    "formula", "inputs", "by hand", "note", "source",
)  # fmt: skip
MATERIALS = ("of", "type", "name", "quantity", "unit", "where", "by")
PULLS = ("door", "from", "over", "to", "way", "cable", "type", "length m", "assumed", "pulled together", "longest m")
REELS = ("type", "name", "pieces", "pulled m", "of it assumed m", "to order m", "reel m", "reels", "longer than a reel")
PORTS = ("switch", "port", "door", "plugged in", "class of port", "class granted", "allotted W", "used W")
OUTPUTS = (
    "output", "guarded by", "limit A", "on it", "door", "idle A", "worst A", "starting A", "least left of",
    "at most A", "margin",
)  # fmt: skip
SETTINGS = ("door", "device", "type", "place", "setting", "set to", "as delivered", "choices", "why")
LABELS = ("kind", "door", "item", "place", "line 1", "line 2", "line 3")
DUTIES = ("door", "device", "type", "name", "place", "supply", "mount", "terminate", "test", "existing")


CLOSED = ("settings", "responsibilities", "labels")  # to eyes outside
OF_DOORS = ("terminations", "cables", "pulls", "figures", *CLOSED)
ORDER = (
    "terminations", "cables", "pulls", "reels", "figures", "ports", "outputs", "materials", "settings", "responsibilities",
    "labels",
)  # fmt: skip


def tables(site: Site, wirings: Mapping[str, Wiring], studies: Mapping[str, Study]) -> tuple[Grid, ...]:
    """All of a site."""
    return in_order((*door_tables(site, wirings, studies, wired(site)), *site_tables(site, wirings, studies)))


def in_order(grids: Iterable[Grid]) -> tuple[Grid, ...]:
    return tuple(sorted(grids, key=lambda each: ORDER.index(each.name)))


def table_names(site: Site) -> tuple[str, ...]:
    """Names of all tables, in their order."""
    return tuple(name for name in ORDER if not (site.redacted and name in CLOSED))


def door_table_names(site: Site) -> tuple[str, ...]:
    """Names of the tables that `door_tables` gives, in their order."""
    return tuple(name for name in OF_DOORS if name in table_names(site))


def door_tables(
    site: Site, wirings: Mapping[str, Wiring], studies: Mapping[str, Study], doors: Collection[str]
) -> tuple[Grid, ...]:
    """What is told of these doors one by one, among them, under `SITE`, of what is shared."""
    own = {d: wirings[d] for d in wired(site) if d in wirings and d in doors}
    listed = list(pulls(site, own))
    told = (
        grid("terminations", TERMINATIONS, (row for d, w in own.items() for row in _terminations(d, w, studies[d]))),
        grid("cables", CABLES, map(_cable, listed)),
        grid("pulls", PULLS, _pulls(site, listed)),
        grid("figures", FIGURES, (row for d in own for row in _figures(d, studies[d]))),
    )
    if site.redacted:
        return told
    return (
        *told,
        grid("settings", SETTINGS, _settings(own)),
        grid("responsibilities", DUTIES, _duties(site, doors)),
        grid("labels", LABELS, _labels(own)),
    )


def site_tables(site: Site, wirings: Mapping[str, Wiring], studies: Mapping[str, Study]) -> tuple[Grid, ...]:
    """What is told of all doors together."""
    items = ((i.heading, i.type, i.name, i.quantity, i.unit, i.where, i.by) for i in materials(site, wirings))
    return (
        grid("reels", REELS, _reels(site, pulls(site, wirings))),
        grid("ports", PORTS, _ports(site, wirings, studies)),
        grid("outputs", OUTPUTS, _outputs(site, studies)),
        grid("materials", MATERIALS, items),
    )


def _figures(door: str, study: Study) -> Iterable[Sequence[Value]]:
    return (_figure(door, f) for figures in by_topic(study.figures).values() for f in figures)


def _figure(door: str, f: Figure) -> Sequence[Value]:
    inputs = "; ".join(f"{name} = {value:.9g} {f.units.get(name, '')}".rstrip() for name, value in f.inputs.items())
    return (
        door, f.topic, f.about, f.name, f.value, f.unit, f.least, f.most, f.floor, f.ceiling, f.margin, f.bound, f.formula,
        inputs, f.hand, f.note, f.source,
    )  # fmt: skip


def _cable(p: Pull) -> Sequence[Value]:
    return (
        p.door, p.ref, p.sheet.type, " - ".join(p.along), _metres(p.length), _yes(p.assumed), ", ".join(p.serves),
        len(p.sheet.cores), p.used, ", ".join(p.spares), p.screen, _yes(p.existing), p.by,
    )  # fmt: skip


def _pulls(site: Site, listed: Iterable[Pull]) -> Iterator[Sequence[Value]]:
    for bundle in bundles(site, listed):
        first, *over, last = bundle.along
        for p in bundle.pulls:
            yield (
                p.door, first, " - ".join(over), last, ", ".join(bundle.ways), p.ref, p.sheet.type, _metres(p.length),
                _yes(p.assumed), len(bundle.pulls), _metres(bundle.longest),
            )  # fmt: skip


def _reels(site: Site, listed: Iterable[Pull]) -> Iterator[Sequence[Value]]:
    for r in reels(site, listed):
        holds = r.sheet.reel.nominal if r.sheet.reel else None
        yield (
            r.sheet.type, r.sheet.name, r.pieces, r.metres, r.assumed, r.bought, holds, r.reels, ", ".join(r.longer),
        )  # fmt: skip


def _ports(site: Site, wirings: Mapping[str, Wiring], studies: Mapping[str, Study]) -> Iterator[Sequence[Value]]:
    for p in ports(site, wirings, studies):
        door = (p.door or SITE) if p.on else ""
        yield p.switch, p.port, door, p.on, p.class_, p.granted, p.allotted, p.used


def _outputs(site: Site, studies: Mapping[str, Study]) -> Iterator[Sequence[Value]]:
    """A row for each part, and one for all together with what is left."""

    def amps(of: Amps) -> Sequence[Value]:
        return of.idle, of.worst, of.peak

    for at in outputs(site, studies):
        for name, door, taken in at.parts:
            yield at.output, at.behind, at.limit, name, door or SITE, *amps(taken), "", None, None
        tight = at.tight
        told = (tight.name, tight.ceiling, tight.margin) if tight else ("", None, None)
        yield at.output, at.behind, at.limit, "all together" if at.parts else "", "", *amps(at.all), *told


def _settings(wirings: Mapping[str, Wiring]) -> Iterator[Sequence[Value]]:
    for s in settings(wirings):
        yield s.door, s.ref, s.type, s.place, s.name, s.value, s.delivered, ", ".join(s.choices), s.why


def _duties(site: Site, doors: Collection[str]) -> Iterator[Sequence[Value]]:
    return ((d.door, d.ref, d.type, d.name, d.place, *d.who, _yes(d.existing)) for d in duties(site, doors))


def _labels(wirings: Mapping[str, Wiring]) -> Iterator[Sequence[Value]]:
    for label in labels(wirings):
        yield label.kind, label.door, label.item, label.place, *label.lines, *("",) * (3 - len(label.lines))


def _metres(length: float) -> float | None:
    """Nothing for what begins and ends in one place."""
    return length or None


def _yes(said: bool) -> str:
    return "yes" if said else "no"


def _terminations(door: str, wiring: Wiring, study: Study) -> Iterable[Sequence[Value]]:
    beside = Beside(study.readings)
    for place, conductors in order_of_work(wiring).items():
        for c in conductors:
            ends = [text for end in (c.a, c.b) for text in (str(end), _lead(wiring, end))]
            cable = (c.cable or c.kind, c.core or "", c.size, _metres(c.length))
            yield (door, place, c.wire, *ends, c.colour, *cable, c.function, beside.of(c))


def _lead(wiring: Wiring, end: End) -> str:
    device = wiring.devices.get(end.device)
    return (device.sheet.terminal(end.terminal).colour or "") if device else ""

"""Whether the doors get the volts that they were promised at outputs that pass on those of another, over the site's own wire.

The network of the site has each door as a load of constant current in its worst state.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import replace

from wiregen.reading.model import Band, Gives
from wiregen.study.conductor import smallest, temperature
from wiregen.study.copper import ON_THE_WAY, behind, output_volts
from wiregen.study.hanging import Hanging, at_once, doors_of
from wiregen.study.model import Figure
from wiregen.study.operating import Operating
from wiregen.study.summed import added
from wiregen.study.volts import HAS_POWER, ON_AMPS, Series, series
from wiregen.study.worst import Volts, bands
from wiregen.wiring.fitting import At
from wiregen.wiring.model import End

NETWORK = "operating point of the site's network, every door in its worst state"
ALLOWED = f"{ON_THE_WAY * 100:g} % for the site's own wire: common practice, no source"


def promised(hanging: Hanging) -> Mapping[At, tuple[float, tuple[str, ...]]]:
    """The least volts that each pair of terminals must have whose volts go on to doors, and these doors."""
    found: dict[At, tuple[float, tuple[str, ...]]] = {}
    for at, output in hanging.outputs.items():
        volts, doors = output_volts(hanging.site, at.device, output), doors_of(hanging.parts(at))
        if output.volts_as and volts and doors:
            inlet = At(at.device, output.volts_as)
            found[inlet] = volts.least, (*found.get(inlet, (0.0, ()))[1], *doors)
    return found


def promises(hanging: Hanging, operating: Operating) -> Iterator[Figure]:
    """Volts that a board passes on, at the output that gets least, against the least that its doors are promised."""
    circuit = operating.circuit
    boards: dict[At, list[At]] = {}
    for at, output in hanging.outputs.items():
        if output.volts_as and at in circuit.sources and any(part.door for part in hanging.parts(at)):
            boards.setdefault(At(at.device, output.volts_as), []).append(at)
    asked = {at: _given(hanging, operating, at) for outputs in boards.values() for at in outputs}
    told = bands(circuit, [point.closed for point in operating.points], list(asked.values())) if asked else ()
    volts = dict(zip(asked, told, strict=True))
    for inlet, outputs in boards.items():
        promise, source = output_volts(hanging.site, inlet.device, hanging.outputs[outputs[0]]), _source(hanging, outputs[0])
        if promise is None or source is None:
            continue
        live = [(at, row) for at in outputs for row, band in enumerate(volts[at]) if band.nominal > HAS_POWER * promise.nominal]
        if live:
            at, row = min(live, key=lambda one: (volts[one[0]][one[1]].least, outputs.index(one[0]), one[1]))
            given = volts[at][row]
            yield from _held(hanging, operating, inlet, at, row, asked[at], given, promise.least, source)


def _given(hanging: Hanging, operating: Operating, at: At) -> Volts:
    """Volts of an output before its own contact, which is in the door's study."""
    inner = End("", f"{operating.circuit.sources[at]} inside")
    return Volts(inner, operating.node(End(at.device, hanging.outputs[at].second or "")))


def _held(
    hanging: Hanging, operating: Operating, inlet: At, at: At, row: int, across: Volts, given: Band, least: float,
    source: tuple[At, Gives],
) -> Iterator[Figure]:  # fmt: skip
    way = series(operating, row, source[0], (across.a, across.b))
    parts = [part for output in _passed_on(hanging, inlet) for part in hanging.parts(output)]
    if way is None or source[1].volts is None:
        return
    amps = added("", inlet, at_once(parts, hanging.site.joint)[0])
    note = "by hand all that hangs on the board, alone on its way"
    hand = ON_AMPS.figure(
        f"volts for its doors, least at {at.group}", str(inlet),
        volts=source[1].volts, amps=amps, wires=way.ohms, contacts=way.contacts,
        note="; ".join(filter(None, (note, way.note))),
    )  # fmt: skip
    yield replace(
        hand, topic="volts", value=given.nominal, least=given.least, most=given.most, hand=hand.value,
        source=f"{NETWORK}; {hand.source}", floor=least,
        bound=f"promised to the doors: least of {source[0]} less {ALLOWED}",
        cure=_cure(hanging, source[1], way, amps), doors=doors_of(parts),
    )  # fmt: skip


def _passed_on(hanging: Hanging, inlet: At) -> list[At]:
    groups = hanging.shared.devices[inlet.device].sheet.groups.values()
    return [At(inlet.device, g.name) for g in groups if isinstance(g, Gives) and g.volts_as == inlet.group]


def _source(hanging: Hanging, at: At) -> tuple[At, Gives] | None:
    """The output whose volts are passed on, through all boards."""
    found: tuple[At, Gives] | None = None
    seen: set[str] = set()
    ref, output = at.device, hanging.outputs[at]
    while output.volts is None and ref not in seen and (up := behind(hanging.site, ref, output)):
        seen.add(ref)
        ref, output = up
        found = At(ref, output.name), output
    return found


def _cure(hanging: Hanging, source: Gives, way: Series, amps: Figure) -> str:
    """The smallest cable of the stock by which all of the way would keep the promise."""
    shared = hanging.shared
    long = [c for c in shared.conductors if f"wire {c.wire}" in way.wires and c.length and c.cable]
    cables = list(dict.fromkeys(c.cable for c in long if c.cable))
    if not cables or source.volts is None:
        return "a source of its own for the doors, or fewer doors on it"
    left = ON_THE_WAY * source.volts.least - amps.most * way.contacts.most
    along = tuple(dict.fromkeys(place for ref in cables for place in shared.cables[ref].along))
    length = sum(c.length for c in long) / 2
    cable = smallest(hanging.site.stock.power, length, amps.most, left, temperature(shared.runs, along)) if left > 0 else None
    if cable is None:
        return f"a supply of its own nearer the doors: no cable of the stock in place of {', '.join(cables)} is thick enough"
    return f"{cable.type} ({cable.size.text}) in place of {', '.join(cables)}, or a supply nearer the doors"

"""Loads that nothing joins to both poles of their source, whatever closes: a conductor was dropped, say."""

from __future__ import annotations

from wiregen.reading.model import Door, Jack, Takes
from wiregen.study.elements import Converter, Source
from wiregen.study.operating import Operating
from wiregen.study.path import path
from wiregen.wiring.fitting import At
from wiregen.wiring.model import End


def cut_off(door: Door, operating: Operating) -> tuple[str, ...]:
    """The loads of the door that are said to be fed and are not, each as `Y1.coil`."""
    return tuple(
        f"{ref}.{group.name}"
        for ref, device in door.devices.items()
        for group in device.sheet.groups.values()
        if isinstance(group, Takes) and group.first and _fed(door, ref, group) and not _reached(operating, At(ref, group.name))
    )


def _fed(door: Door, ref: str, group: Takes) -> bool:
    """Whether a relation feeds it from an output, and it is one that draws."""
    inside = door.devices[ref].sheet.inside
    draws = group.load is not None or any(set(part.between) == {group.first, group.second} for part in inside)
    groups = door.devices[ref].sheet.groups.values()
    others = [g for g in groups if g is not group and (isinstance(g, Takes) or (isinstance(g, Jack) and g.poe == "in"))]
    feeding = [r for r in door.devices[ref].relations if r.kind == "from" and not r.target.word]
    return draws and group.current != "mains" and any(r.own == group.name or (r.own is None and not others) for r in feeding)


def _reached(operating: Operating, at: At) -> bool:
    circuit = operating.circuit
    if (load := operating.loads.get(at)) is None:
        return False
    elements = {element.name: element for element in circuit.elements}
    match elements.get(circuit.sources.get(At(load.source, load.output.name), "")):
        case Source() as source:
            poles = source.plus, source.minus
        case Converter() as source:
            poles = source.out_plus, source.out_minus
        case _:
            return True  # what feeds it is no source of the network: the rule on sources tells
    ends = [operating.node(End(at.device, mark)) for mark in (load.load.first, load.load.second) if mark]
    shut = dict.fromkeys(circuit.switches, True)
    ways = [[path(circuit, shut, pole, end) for pole, end in zip(poles, order, strict=True)] for order in (ends, ends[::-1])]
    return any(None not in way for way in ways)

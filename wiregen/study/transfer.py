"""What each core of a power transfer, and each pole of a surge protector, carries of the loads behind it."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

from wiregen.reading.model import Door, Pass
from wiregen.study.copper import Copper, Loads, Supplied
from wiregen.study.formula import identifier, total
from wiregen.study.load import draws
from wiregen.study.model import Figure
from wiregen.wiring.model import End, Wiring


def transfers(door: Door, wiring: Wiring, loads: Loads) -> tuple[tuple[Figure, ...], tuple[str, ...]]:
    """Amps through each landed core that loads hang behind, and what is missing for them."""
    figures: list[Figure] = []
    missing: list[str] = []
    for ref, device in wiring.devices.items():
        for group in device.sheet.groups.values():
            if not isinstance(group, Pass) or not group.between:
                continue
            near, far = (End(ref, mark) for mark in group.between)
            behind = {
                identifier(f"{at.device}.{at.load.name}"): current
                for at in _beyond(wiring, near, far, loads)
                if (current := draws(door, wiring, loads, at))
            }
            if not behind:
                continue
            about = f"{ref}.{group.name}"
            amps: dict[str, Any] = dict(behind)
            told = total("A", dict.fromkeys(amps, "A"), "amps of all loads behind it").figure(
                "amps through the core", about, **amps
            )
            rating = next((r for r in group.rating if r.category == "dc"), None) or next(iter(group.rating), None)
            if rating is None:
                key = f"groups: {{{group.name}: {{rating: {{dc: 1 A}}}}}}"
                missing.append(f"whether {about} carries its loads: its data sheet {device.sheet.type} gives no rating ({key})")
            else:
                told = replace(
                    told, ceiling=rating.amps, bound=f"{rating.category} {rating.text}, rating of {device.sheet.type}",
                    cure="a transfer with thicker cores, or two cores side by side",
                )  # fmt: skip
            figures.append(replace(told, topic="contact"))
    return tuple(figures), tuple(missing)


def _beyond(wiring: Wiring, near: End, far: End, loads: Loads) -> list[Supplied]:
    """Loads with a pole on one end of the core while that of its source is on the other, contacts counted as closed."""
    apart = Copper(replace(wiring, ties=tuple(tie for tie in wiring.ties if set(tie) != {near, far})))
    if not (apart.landed(near) and apart.landed(far)):
        return []
    for chain in wiring.chains:
        for link in chain.links:
            apart.join((link.enters, link.leaves))
    ends = ((near, far), (far, near))
    return [
        at
        for at in loads
        for pole, sources in (_pole(at, "plus"), _pole(at, "minus"))
        if not apart.same(near, far)
        and any(apart.same(pole, one) and apart.same(source, other) for source in sources for one, other in ends)
    ]


def _pole(at: Supplied, pole: str) -> tuple[End, list[End]]:
    """A pole of a load, and what stands for its source: the output, and the contacts between, where that is wired elsewhere."""
    load, source = (at.plus, at.source_plus) if pole == "plus" else (at.minus, at.source_minus)
    return load, [source, *(link.leaves for link in (at.chain.links if at.chain else ()) if link.pole == pole)]

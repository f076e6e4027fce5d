"""Ethernet channels: metres from port to device, through patch panels and mid-spans, with the cords in a closet."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from typing import Any

from wiregen.reading.model import Band, Jack, Pass
from wiregen.study.formula import identifier, total
from wiregen.study.model import Figure
from wiregen.study.route import ASSUMED, length
from wiregen.wiring.model import Link, WiredDevice, Wiring

CHANNEL = 100.0  # m, port to device; of it 90 m laid and 10 m of cords where a panel ends it: TIA-568, ISO/IEC 11801
LAID = 90.0
CORD = Band(2.0, 0.5, 5.0, "m", "0.5..5 m")  # a link within one place: common practice, no source
CORDS = "a link within one place counts as a cord of 0.5 to 5 m: common practice, no source"


def channels(wiring: Wiring) -> tuple[Figure, ...]:
    """Metres of each channel, and of what is laid of it where a patch panel stands between."""
    return tuple(replace(f, topic="line") for chain in _chains(wiring) for f in _figures(wiring, chain))


def _passes(device: WiredDevice) -> bool:
    """Whether data leads on through it: a patch panel, a mid-span or a splitter; a switch or controller ends a channel."""
    groups = device.sheet.groups.values()
    panel = any(isinstance(g, Pass) and g.jacks for g in groups)
    return panel or (device.sheet.is_ == "supply" and sum(isinstance(g, Jack) for g in groups) == 2)


def _chains(wiring: Wiring) -> list[list[Link]]:
    """Links that make one channel, in the order of the links."""
    chains: list[list[Link]] = []
    for link in wiring.links:
        joins = [chain for chain in chains if any(_joined(wiring, link, other) for other in chain)]
        merged = [other for chain in joins for other in chain] + [link]
        chains = [chain for chain in chains if chain not in joins] + [merged]
    return chains


def _joined(wiring: Wiring, one: Link, other: Link) -> bool:
    """Whether data leads from one link on to the other: at a panel only through one of its own ports."""
    for a in (one.a, one.b):
        for b in (other.a, other.b):
            device = wiring.devices[a.device]
            if a.device == b.device and a != b and _passes(device):
                ports = [g.jacks for g in device.sheet.groups.values() if isinstance(g, Pass) and g.jacks]
                if not ports or any({a.terminal, b.terminal} == set(port) for port in ports):
                    return True
    return False


def _figures(wiring: Wiring, chain: list[Link]) -> Iterator[Figure]:
    about = chain[-1].b.device
    lengths: dict[str, Any] = {
        identifier(link.ref): length(link.length, link.assumed) if link.length else CORD for link in chain
    }
    notes = [CORDS] if any(not link.length for link in chain) else []
    notes += [ASSUMED] if any(link.assumed for link in chain) else []
    whole = total("m", dict.fromkeys(lengths, "m"), "lengths of its links and cords")
    yield replace(
        whole.figure("Ethernet channel", about, note="; ".join(notes), **lengths),
        ceiling=CHANNEL, bound="100 m of channel, TIA-568", cure="a switch nearer to the door",
    )  # fmt: skip
    devices = [wiring.devices[end.device] for link in chain for end in (link.a, link.b)]
    laid = {name: told for name, told in lengths.items() if told is not CORD}
    if laid and any(isinstance(g, Pass) and g.jacks for device in devices for g in device.sheet.groups.values()):
        yield replace(
            total("m", dict.fromkeys(laid, "m"), "lengths of what is laid").figure("laid cable of the channel", about, **laid),
            ceiling=LAID, bound="90 m behind a panel, 10 m of cords: TIA-568", cure="a switch nearer to the door",
        )  # fmt: skip

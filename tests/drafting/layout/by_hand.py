"""Wiring values written by hand, as small as drawing needs them."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import replace

from wiregen.reading.model import Band, CableSheet, DataSheet, Run, Terminal, Where
from wiregen.wiring.model import Box, Cable, Conductor, End, Junction, Link, WiredDevice, Wiring

NOWHERE = Where("by hand", 1, 1)


def metres(value: float) -> Band:
    return Band(value, value, value, "m", f"{value:g} m")


def sheet(name: str, marks: Sequence[str]) -> DataSheet:
    terminals = tuple(Terminal(mark, n) for n, mark in enumerate(marks, 1))
    return DataSheet(type=name, is_="device", name=name, terminals=terminals, groups={}, where=NOWHERE)


def cable_sheet(cores: Sequence[str], size: str = "0.22 mm2") -> CableSheet:
    return CableSheet(type="cable", name="cable", cores=tuple(cores), size=Band(2e-7, 2e-7, 2e-7, "m2", size), where=NOWHERE)


def end(text: str) -> End:
    device, _, terminal = text.partition(":")
    return End(device, terminal)


def wiring(
    door: str,
    runs: Mapping[str, str],
    devices: Mapping[str, tuple[str, str, str]],
    conductors: Sequence[str],
    exposed: Sequence[str] = (),
    hub: str = "box",
    links: Sequence[str] = (),
) -> Wiring:
    """`devices`: ref -> (name, place, marks); `conductors`: "A1:1 X1:s1 RD W1 A101a" with - for no cable; `links`: "A B W9".

    Junctions are the ends whose device is not among the devices; their boxes stand at the hub, or at PLACE for X2@PLACE.
    """
    boxes: dict[str, Box] = {}
    junctions: dict[End, Junction] = {}
    made, cores = [], {}
    calmers = {ref for ref in devices if ref.startswith("V")}

    def landed(text: str) -> End:
        text, _, place = text.partition("@")
        found = end(text)
        if found.device not in devices:
            where = place or (boxes[found.device].place if found.device in boxes else hub)
            boxes.setdefault(found.device, Box(found.device, where, where in exposed))
            junctions.setdefault(found, Junction(found, where, "crimp", ""))
        return found

    for line in conductors:
        a, b, colour, cable, wire = line.split()
        if cable != "-":
            cores.setdefault(cable, []).append((colour, wire))
        made.append(
            Conductor(
                wire=wire, potential=wire[:-1], a=landed(a), b=landed(b), colour=colour,

                kind="wire" if cable == "-" else "core", function="", circuit="power",
                place=hub if cable == "-" else None, cable=None if cable == "-" else cable,
            )
        )  # fmt: skip
    cables = {
        ref: Cable(
            ref=ref, sheet=cable_sheet([c for c, _ in used]), along=(), length=4, assumed=False, serves=(), cores=tuple(used)
        )
        for ref, used in cores.items()
    }
    places = list(dict.fromkeys([hub, *(place for _, place, _ in devices.values())]))
    order = {p: n for n, p in enumerate(["closet-1", hub, "frame", "inside", "leaf", "outside"])}
    used = {e.device: set() for c in made for e in (c.a, c.b)}
    wired = {
        ref: WiredDevice(
            ref=ref, sheet=replace(sheet(name, marks.split())), place=place, exposed=place in exposed,
            origin="stock" if ref in calmers else "door", used=frozenset(used.get(ref, ())),
        )
        for ref, (name, place, marks) in devices.items()
    }  # fmt: skip
    laid = []
    for line in links:
        a, b, ref = line.split()
        laid.append(Link(ref, end(a), end(b), replace(cable_sheet([]), name="Cat 6", link="rj45"), (), 38, False, True))
    return Wiring(
        door=door, hub=hub, devices=wired, boxes=boxes, conductors=tuple(made), cables=cables,
        junctions=tuple(junctions.values()),
        lead_joints=(), links=tuple(laid), calmers=(), line_ends=(), unused=(), chains=(), behaviours=(),
        places=tuple(sorted(places, key=lambda p: order.get(p, 9))),
        runs={p: Run(p, q, metres(4), NOWHERE) for p, q in runs.items()},
    )  # fmt: skip


STRIKE = wiring(
    "D101",
    {"box": "closet-1", "frame": "box", "inside": "box", "outside": "box"},
    {
        "N1": ("PoE switch, 16 ports", "closet-1", "L N PE"),
        "A1": ("Reader with controller", "outside", "1 2 3 4 5 6 7 8 9"),
        "K1": ("Isolation board, obeys only a coded message", "box", "+ - A B C NO NC"),
        "Y1": ("Strike, 12 V", "frame", "+ -"),
        "V1": ("Diode, 1 A", "frame", "K A"),
        "B1": ("Door contact", "frame", "1 2"),
        "S1": ("Motion sensor, two contacts", "inside", "1 2 3 4 5 6"),
    },
    [
        "A1:1 X1:s1 RD W1 A101a", "X1:s1 K1:+ RD - A101b", "K1:+ K1:C RD - A101c", "X1:s1 S1:1 RD W4 A101d",
        "A1:2 X1:s2 BK W1 A102a", "X1:s2 K1:- BK - A102b", "X1:s2 Y1:- BK W2 A102c", "X1:s2 S1:2 BK W4 A102d",
        "K1:NO Y1:+ RD W2 K106a", "V1:K Y1:+ bare - K106b", "V1:A Y1:- bare - A102g", "A1:8 K1:A BU W1 A108a",
        "A1:9 K1:B WH W1 A109a", "A1:6 X1:s3 YE W1 A106a", "X1:s3 B1:1 WH W3 A106b", "X1:s2 B1:2 BK W3 A102e",
        "A1:7 X1:s4 GN W1 A107a", "X1:s4 S1:5 YE W4 A107b", "S1:2 S1:6 WH - A102f",
    ],
    ["outside"],
    links=["N1:3 A1:J1 W5"],
)  # fmt: skip

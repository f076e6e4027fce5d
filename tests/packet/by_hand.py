"""A strike door wired by hand, piece by piece: what the pages are held against, made without the wiring stage."""

from __future__ import annotations

from wiregen.reading.model import DataSheet, Site
from wiregen.wiring.model import (
    Behaviour,
    Box,
    Cable,
    Calmer,
    Chain,
    ChainLink,
    Conductor,
    End,
    Junction,
    LeadJoint,
    Link,
    Unused,
    WiredDevice,
    Wiring,
)

DOOR = "D101"

# wire, from, to, colour, kind, cable or place, function
PIECES = """
A101a A1:1  X1:s1 RD W1   controller 12 V
A101b X1:s1 K1:+  RD box  board +
A101c K1:+  K1:C  RD jump board +, on to the relay
A101d X1:s1 S1:1  RD W4   sensor +
A102a A1:2  X1:s2 BK W1   0 V
A102b X1:s2 K1:-  BK box  board 0 V
A102c X1:s2 Y1:-  BK W2   lock -
A102d X1:s2 S1:2  BK W4   sensor 0 V
A102e S1:2  S1:6  BK jump 0 V
A102f X1:s2 B1:2  BK W3   door contact, 0 V
A106a A1:6  X1:s3 YE W1   door contact
A106b X1:s3 B1:1  WH W3   door contact
A107a A1:7  X1:s4 GN W1   exit
A107b X1:s4 S1:5  YE W4   exit
A108a A1:8  K1:A  BU W1   coded line a
A109a A1:9  K1:B  WH W1   coded line b
K106a K1:NO Y1:+  RD W2   lock +
K106b Y1:+  V1:K  bare lead calmer, band
A102g Y1:-  V1:A  bare lead calmer
"""

LENGTHS = {"W1": 3.0, "W2": 4.0, "W3": 4.0, "W4": 5.0}
ALONG = {"W1": ("box", "outside"), "W2": ("box", "frame"), "W3": ("box", "frame"), "W4": ("box", "inside")}
SERVES = {"W1": ("A1",), "W2": ("Y1",), "W3": ("B1",), "W4": ("S1",)}


def _end(text: str) -> End:
    return End(*text.split(":"))


def wire_d101(site: Site) -> Wiring:
    """Door D101 of the small site, as a technician would wire it."""
    door = site.doors[DOOR]
    signal, power = site.sheets["cable-6x0.22"], site.sheets["cable-2x1.0"]
    conductors = []
    for line in PIECES.strip().splitlines():
        wire, a, b, colour, lies, function = line.split(maxsplit=5)
        cable = lies if lies in LENGTHS else None
        conductors.append(
            Conductor(
                wire=wire,
                potential=wire[:-1],
                a=_end(a),
                b=_end(b),
                colour=colour,
                kind="core" if cable else {"box": "wire", "jump": "jumper", "lead": "lead"}[lies],  # type: ignore[arg-type]
                function=function,
                circuit="lock power" if "lock" in function else "input",
                place=None if cable else "box",
                cable=cable,
                core=colour if cable else None,
                area=(1e-6 if cable == "W2" else 0.22e-6) if cable else 0.0,
                size=("1.0 mm2" if cable == "W2" else "0.22 mm2") if cable else "",
                length=LENGTHS[cable] if cable else 0.0,
            )
        )
    cables = {}
    for ref, length in LENGTHS.items():
        sheet = power if ref == "W2" else signal
        carried = {c.core: c.wire for c in conductors if c.cable == ref}
        cables[ref] = Cable(
            ref=ref,
            sheet=sheet,  # type: ignore[arg-type]
            along=ALONG[ref],
            length=length,
            assumed=ref == "W4",
            serves=SERVES[ref],
            cores=tuple((core, carried.get(core)) for core in sheet.cores),  # type: ignore[union-attr]
            door=DOOR,
        )
    used: dict[str, set[str]] = {}
    for c in conductors:
        for end in (c.a, c.b):
            used.setdefault(end.device, set()).add(end.terminal)
    used["A1"].add("J1")
    used["N1"] = {"3"}
    devices = {}
    for ref in ("N1", "A1", "K1", "Y1", "V1", "B1", "S1"):
        device = door.devices.get(ref) or site.shared.get(ref)
        sheet = device.sheet if device else site.sheets["diode-1a"]
        assert isinstance(sheet, DataSheet)
        devices[ref] = WiredDevice(
            ref=ref,
            sheet=sheet,
            place=device.place if device else "frame",
            exposed=bool(device) and device.place in door.exposed,  # type: ignore[union-attr]
            origin="stock" if ref == "V1" else "site" if ref == "N1" else "door",
            device=device,
            used=frozenset(used[ref]),
            settings={"exit": "mask only", "relay-sense": "moves on grant"} if ref == "A1" else {},
        )
    leads = [
        LeadJoint(end, devices[end.device].sheet.terminal(end.terminal).colour or "", c.wire, "crimp")
        for c in conductors
        if c.cable
        for end in (c.a, c.b)
        if end.device in devices and devices[end.device].sheet.terminal(end.terminal).is_lead
    ]
    powered = {"idle": False, "grant": True, "controller-dead": False, "power-dead": False, "fire": False}
    diode = site.sheets["diode-1a"]
    assert isinstance(diode, DataSheet)
    return Wiring(
        door=DOOR,
        hub="box",
        devices=devices,
        boxes={"X1": Box("X1", "box", False)},
        conductors=tuple(conductors),
        cables=cables,
        junctions=tuple(
            Junction(End("X1", s), "box", "lever" if s in ("s1", "s2") else "crimp", p)
            for s, p in (("s1", "A101"), ("s2", "A102"), ("s3", "A106"), ("s4", "A107"))
        ),
        lead_joints=tuple(leads),
        links=(
            Link("L1", End("N1", "3"), End("A1", "J1"), site.stock.link, ("closet-1", "box", "outside"), 41.0, False, True),
        ),
        calmers=(Calmer("Y1", "coil", "diode", "V1", diode, End("Y1", "+"), "Y1 wants a diode"),),
        line_ends=(),
        unused=(Unused("A1", "3", "VT", "outside"), Unused("A1", "4", "GY", "outside"), Unused("A1", "5", "GY-RD", "outside")),
        chains=(
            Chain("Y1", "coil", "A1", "out", (ChainLink("K1", "relay", End("K1", "C"), End("K1", "NO"), "make", "plus"),)),
        ),
        behaviours=(
            Behaviour("Y1", "coil", powered, {s: "free" if on else "held" for s, on in powered.items()}, dict(door.want)),
        ),
        places=("closet-1", "box", "frame", "inside", "outside"),
        runs=dict(door.runs),
    )

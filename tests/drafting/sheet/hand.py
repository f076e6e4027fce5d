"""A wiring and a layout made by hand: every kind of line and symbol on one page, with data sheets of the demo."""

from __future__ import annotations

from functools import cache
from pathlib import Path

import wiregen
from tests.demo import site_of
from wiregen.drafting.frame import field_for
from wiregen.drafting.ink import LETTER, SMALL
from wiregen.drafting.metrics import width
from wiregen.drafting.model import Bar, Jacket, Layout, Pin, PlacedDevice, Rect, Region, Route, Text
from wiregen.reading.model import Site
from wiregen.wiring.model import Conductor, End, Junction, Unused, WiredDevice, Wiring

SPECS = Path(wiregen.__file__).parents[1] / "door_specs"


@cache
def site(name: str = "fernhill") -> Site:
    return site_of(name)


def device(ref: str, kind: str, x: float, top: float, w: float, left: list[str], right: list[str], name: tuple[str, ...] = (),
           up: list[str] = [], title: tuple[float, float] | None = None) -> PlacedDevice:  # noqa: B006
    """A box with its first row 13 mm under `top` and a row every 5 mm; terminals as "mark" or "" for an empty row."""
    rows = max(len(left), len(right), 1)
    height = 13 + 5 * (rows - 1) + 2.5
    pins = [Pin(End(ref, m), m, (x, top - 13 - 5 * n), "left") for n, m in enumerate(left) if m]
    pins += [Pin(End(ref, m), m, (x + w, top - 13 - 5 * n), "right") for n, m in enumerate(right) if m]
    pins += [Pin(End(ref, m), m, (x + w - 6 - 9 * n, top), "top", jack=True) for n, m in enumerate(up)]
    return PlacedDevice(ref, Rect(x, top - height, w, height), tuple(pins), name or (kind,), title or (x + 2, top - 4.5))


def wired(ref: str, kind: str, where: Site, place: str = "box", exposed: bool = False) -> WiredDevice:
    sheet = where.sheets[kind]
    marks = frozenset(t.mark for t in sheet.terminals)  # type: ignore[union-attr]
    return WiredDevice(ref=ref, sheet=sheet, place=place, exposed=exposed, origin="door", used=marks)  # type: ignore[arg-type]


def example(name: str = "fernhill") -> tuple[Site, Wiring, Layout]:
    where = site(name)
    kinds = {"A1": "inner-controller", "U1": "reader-osdp", "Y1": "magnet-24", "S1": "button-30s", "S2": "motion",
             "B1": "contact-plain", "FB1": "fuse-board-8", "K1": "relay-2p-24", "K2": "inside-board", "T1": "transformer-12ac",
             "Y2": "strike-ac", "B2": "contact-eol", "R1": "diode-1a", "R2": "varistor-24", "S3": "call-point",
             "M1": "latch-bar-coil"}  # fmt: skip
    devices = {r: wired(r, k, where, "outside" if r == "U1" else "box", r == "U1") for r, k in kinds.items()}
    placed = [
        device("FB1", "fuse-board-8", 24, 196, 34, [], ["F2+", "F2-"], ("Fuse board", "closet-1")),
        device("A1", "inner-controller", 66, 192, 42, ["R+", "R-", "A", "B", "SH"],
               ["12V", "0V", "COM", "NO", "NC", "DOOR", "0V2", "EXIT", "AUX1", "0V3", "Q1"], ("Controller", "box"), up=["J1"]),
        device("U1", "reader-osdp", 24, 160, 30, [], ["1", "2", "4", "3", "6"], ("Reader, OSDP", "outside")),
        device("Y1", "magnet-24", 180, 194, 44, ["+", "-"], ["C", "NO", "NC"], ("Magnet", "frame")),
        device("S1", "button-30s", 180, 164, 40, ["1", "5", "6"], ["2"], ("Exit button", "inside")),
        device("S2", "motion", 180, 136, 34, ["1", "2", "5", "6", "3", "4"], [], ("Motion sensor", "inside")),
        device("B1", "contact-plain", 180, 94, 34, ["1", "2"], [], ("Door contact", "frame")),
        device("B2", "contact-eol", 180, 68, 34, ["1", "2"], [], ("Contact with resistors", "frame")),
        device("K1", "relay-2p-24", 120, 78, 42, ["A1", "A2", "11", "12", "14"], ["21", "24", "22"], ("Relay", "box")),
        device("T1", "transformer-12ac", 24, 116, 30, [], ["12", "0"], ("Bell transformer", "box")),
        device("Y2", "strike-ac", 24, 92, 30, [], ["1", "2"], ("Strike, AC", "frame")),
        device("K2", "inside-board", 24, 68, 42, ["+", "-"], ["C", "NO"], ("Isolation board", "box")),
        device("R1", "diode-1a", 236, 110, 24, ["K", "A"], [], ("Diode",)),
        device("R2", "varistor-24", 236, 86, 28, ["a"], ["b"], ("Varistor",)),
        device("S3", "call-point", 236, 150, 40, ["11", "21", "31"], ["12", "22", "34", "32"], ("Call point", "inside")),
        device("M1", "latch-bar-coil", 236, 194, 38, ["1", "2", "3", "4"], [], ("Exit bar", "leaf")),
    ]  # fmt: skip
    at = {p.end: p.at for d in placed for p in d.pins}
    routes, texts, conductors = [], [], []
    pairs = [("A1:12V", "S2:1", "RD", 126), ("A1:0V", "S2:2", "BK", 123), ("A1:DOOR", "B1:1", "WH", 113),
             ("A1:EXIT", "S1:5", "YE", 132), ("A1:AUX1", "S1:6", "GY", 135), ("A1:COM", "Y1:+", "GN", 138),
             ("A1:NO", "Y1:-", "BU-WH", 141), ("A1:NC", "S1:1", "BN", 129), ("A1:Q1", "S2:5", "WH-RD", 120),
             ("A1:0V3", "S2:6", "bare", 117)]  # fmt: skip
    for n, (a, b, colour, x) in enumerate(pairs, 1):
        ends = End(*a.split(":")), End(*b.split(":"))
        (x0, y0), (x1, y1) = at[ends[0]], at[ends[1]]
        wire = f"{a.split(':')[0]}{n:02d}a"
        routes.append(Route(wire, ((x0, y0), (x, y0), (x, y1), (x1, y1)), colour))
        texts.append(Text(f"{colour} {wire}", (x1 - 2, y1 + 0.9), LETTER, "right"))
        conductors.append(Conductor(wire=wire, potential=wire[:-1], a=ends[0], b=ends[1], colour=colour, kind="core",
                                    function="", circuit="power", place=None))  # fmt: skip
    bars = (Bar(End("X1", "s1"), ((60, 149), (60, 137)), "GN", ((60, 147), (60, 142))),)
    routes += [Route("U102a", ((54, 147), (60, 147)), "GN"), Route("U103a", ((54, 142), (60, 142)), "WH")]
    routes.append(Route("W1", ((102, 192), (102, 196), (112, 196), (112, 190)), "GY", link=True))
    texts.append(Text("W3", (146, 136.5), 1.8, bold=True))
    texts.append(Text("6 × 0.22 mm²", (146 + width("W3 ", 1.8, True), 136.5), SMALL))
    layout = Layout(
        page=1, pages=1, field=field_for(where.house), devices=tuple(placed), bars=bars, routes=tuple(routes),
        jackets=(Jacket("W3", Rect(150, 101, 3, 33)),), regions=(Region("outside", Rect(22, 120, 40, 42), True),),
        exposed_line=(((22, 164), (64, 164), (64, 120)),), texts=tuple(texts),
    )  # fmt: skip
    wiring = Wiring(
        door="D104", hub="box", devices=devices, boxes={}, conductors=tuple(conductors), cables={},
        junctions=(Junction(End("X1", "s1"), "box", "crimp", "U102"),), lead_joints=(), links=(), calmers=(), line_ends=(),
        unused=(Unused("U1", "5", "GY", "outside"), Unused("U1", "6", "VT", "outside"), Unused("A1", "NC", None, "box")),
        chains=(), behaviours=(), places=("closet-1", "box", "outside", "frame", "inside"), runs=where.doors["D104"].runs,
        mains=(End("FB1", "L"),),
    )  # fmt: skip
    return where, wiring, layout

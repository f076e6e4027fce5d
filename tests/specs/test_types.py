"""The specs as a whole: every type of door is there and can be wired, every data sheet serves, one more is one file more."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import pytest

from tests.specs.sites import copied
from wiregen.reading.load import load_site
from wiregen.reading.model import Sheet, Site
from wiregen.wiring.model import Wiring
from wiregen.wiring.wire import wire_door

Wired = Callable[[str, str], Wiring]

# The types of door that make up most of the trade's work (common practice, no source).
TYPES = {
    1: "strike, frees when powered",
    2: "strike, holds when powered",
    3: "strike on alternating current",
    4: "magnet, motion sensor, button",
    5: "magnet, bar switch",
    6: "magnet, call point with two poles",
    7: "pair with two magnets",
    8: "latch retraction",
    9: "pair with one bolted leaf",
    10: "electrified mortise lock",
    11: "electrified trim of an exit bar",
    12: "bolt or motor lock",
    13: "operator",
    14: "delayed egress",
    15: "readers in and out",
    16: "interlock",
    17: "turnstile",
    18: "vehicle gate",
    19: "lift",
    20: "cabinets",
    21: "intercom",
    22: "overhead door",
    23: "stair group",
    24: "watched only",
}
DOORS = {
    "fernhill": {
        "D101": 1, "D102": 2, "D103": 3, "D104": 4, "D105": 15, "D106": 6, "D107": 7, "D108": 8, "D109": 9, "D110": 10,
        "D112": 12, "D116": 16, "D117": 16, "D118": 1, "D120": 19, "D121": 20, "D122": 21, "D124": 23, "D125": 23,
        "D126": 23, "D127": 24, "D130": 10,
    },
    "annex": {"D113": 13, "D114": 14, "D119": 18},
    "yard": {
        "T05": 5, "T11": 11, "T17": 17, "T21": 21, "T22": 22, "T30": 1, "T31": 1, "T32": 20, "T33": 8, "T34": 10, "T35": 6,
        "T36": 2,
    },
}  # fmt: skip


def test_every_door_has_its_type_and_every_type_a_door(sites: dict[str, Site]) -> None:
    assert {name: set(site.doors) for name, site in sites.items()} == {name: set(doors) for name, doors in DOORS.items()}
    assert {type_ for doors in DOORS.values() for type_ in doors.values()} == set(TYPES)


def test_the_demo_covers_what_it_promises() -> None:
    promised = {1, 2, 3, 4, 6, 7, 8, 9, 10, 12, 15, 16, 19, 20, 21, 23, 24}
    assert promised <= set(DOORS["fernhill"].values())


@pytest.mark.parametrize(("name", "door"), [(name, door) for name, doors in DOORS.items() for door in doors])
def test_every_door_is_wired(sites: dict[str, Site], wired: Wired, name: str, door: str) -> None:
    site, wiring = sites[name], wired(name, door)
    landed = {end.device for conductor in wiring.conductors for end in (conductor.a, conductor.b)}
    linked = {end.device for link in wiring.links for end in (link.a, link.b)}
    passed = {run.transfer for run in site.doors[door].runs.values()}
    idle = set(site.doors[door].devices) - landed - linked - passed
    assert {ref for ref in idle if site.doors[door].devices[ref].relations} == set(), "devices with a relation and no wire"


@pytest.mark.parametrize(("name", "door"), [(name, door) for name, doors in DOORS.items() for door in doors])
def test_no_conductor_is_one_too_many(wired: Wired, name: str, door: str) -> None:
    """The copper of a potential is a tree: a ring would hide a broken joint, and be landed for nothing."""
    wiring = wired(name, door)
    root = {str(end): str(tie[0]) for tie in wiring.ties for end in tie}
    reached: dict[str, set[str]] = {}
    for conductor in wiring.conductors:
        a, b = (root.get(str(end), str(end)) for end in (conductor.a, conductor.b))
        one, other = reached.setdefault(a, {a}), reached.setdefault(b, {b})
        assert one is not other, f"{conductor.wire} from {conductor.a} to {conductor.b} closes a ring"
        one |= other
        reached.update(dict.fromkeys(other, one))


def test_every_sheet_serves_somewhere(sites: dict[str, Site], sheets: dict[str, Sheet], tmp_path: Path) -> None:
    served: set[str] = set()
    for site in [*sites.values(), *fed_each_way(tmp_path)]:
        stock = site.stock
        served |= {s.type for s in (*stock.power, *stock.signal, *stock.line, stock.link, stock.wire, *stock.calm)}
        served |= {stock.line_end.type} if stock.line_end else set()
        served |= {device.sheet.type for device in site.shared.values()}
        for door in site.doors.values():
            served |= {device.sheet.type for device in door.devices.values()}
            served |= {choice.type for choice in door.cables.values() if choice.type}
            served |= {run.cable for run in door.runs.values() if run.cable}
    assert len(sheets) >= 70
    assert set(sheets) - served == set()


def fed_each_way(folder: Path) -> list[Site]:
    """Fernhill once for each feed that D105 offers."""
    path = copied("fernhill", folder)
    spec = path / "doors" / "D105.yaml"
    text = spec.read_text(encoding="utf-8")
    feeds = load_site(path).doors["D105"].feeds
    assert len(feeds) >= 4
    made = []
    for feed in feeds:
        head, _, _ = text.rpartition("feed: ")
        spec.write_text(f"{head}feed: {feed}\n", encoding="utf-8")
        made.append(load_site(path))
    return made


def test_a_feed_moves_the_lock_and_nothing_else(tmp_path: Path) -> None:
    origins = {}
    for site in fed_each_way(tmp_path):
        door = site.doors["D105"]
        wiring = wire_door(site, door)
        (chain,) = [chain for chain in wiring.chains if chain.load == "Y1"]
        origins[door.feed] = chain.source
        assert [str(link.enters) for link in chain.links] == ["A1:COM"], "the relay stays where it was"
    assert origins == {"port": "A1", "splitter": "G3", "local": "G3", "central": "FB3"}


NEW_SHEET = """\
type: bolt-of-a-stranger
is: lock
name: Bolt that nobody has seen before
terminals: {7a: PK-TQ, 7b: SR}
groups:
  pull: {kind: takes, plus: 7a, minus: 7b, current: dc, either-way: true, range: 10..14 V}
inside:
  - {coil: [7a, 7b], resistance: 60 ohm ±5 %, pulls-in: 9 V, lets-go: 2 V, duty: continuous}
unpowered: held
calm: {fitted: none, wants: diode}
"""
NEW_DOOR = """\
door: X1
name: Stranger
leave-by: handle
want: {idle: held, grant: free, controller-dead: held, power-dead: held}
runs: {box: [closet, 9 m], frame: [box, 2 m], outside: [box, 2 m]}
exposed: [outside]
devices:
  A1: {type: inner-controller, at: box, from: N1.p-16}
  U1: {type: reader-osdp, at: outside, from: A1.reader, speaks: A1.line}
  Y1: {type: bolt-of-a-stranger, at: frame, from: A1.out, through: [A1.relay]}
"""


def test_a_new_device_is_a_data_sheet_and_nothing_else(tmp_path: Path) -> None:
    path = copied("yard", tmp_path)
    (path / "devices").mkdir()
    (path / "devices" / "bolt-of-a-stranger.yaml").write_text(NEW_SHEET, encoding="utf-8")
    (path / "doors" / "X1.yaml").write_text(NEW_DOOR, encoding="utf-8")
    site = load_site(path)
    wiring = wire_door(site, site.doors["X1"])
    joints = {str(joint.end): joint.lead_colour for joint in wiring.lead_joints if joint.end.device == "Y1"}
    assert joints == {"Y1:7a": "PK-TQ", "Y1:7b": "SR"}
    (calmer,) = wiring.calmers
    assert (calmer.lock, calmer.word, str(calmer.band_at)) == ("Y1", "diode", "Y1:7a")

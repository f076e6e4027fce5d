"""From files to the model: kits, feeds, banks and what else is laid together before a door is one."""

from __future__ import annotations

import shutil
from collections.abc import Callable
from pathlib import Path

import pytest

from wiregen.reading.load import load_site
from wiregen.reading.model import (
    CableSheet,
    DataSheet,
    Gives,
    Input,
    Jack,
    Line,
    Pass,
    Problem,
    Site,
    SpecError,
    Takes,
    Target,
)

ROOT = Path(__file__).parents[2]
GOOD = ROOT / "tests" / "bad_input" / "good"

Read = Callable[..., Site]


@pytest.fixture
def read(tmp_path: Path) -> Read:
    """Reads a site of the good site's files, some of them replaced or added."""
    shutil.copytree(ROOT / "door_specs" / "devices", tmp_path / "devices")
    shutil.copytree(GOOD, tmp_path / "site")

    def with_files(files: dict[str, str] | None = None, drop: tuple[str, ...] = ()) -> Site:
        for name in drop:
            (tmp_path / "site" / name).unlink()
        for name, text in (files or {}).items():
            (tmp_path / "site" / name).write_text(text, encoding="utf-8")
        return load_site(tmp_path / "site")

    return with_files


def problems(read: Read, files: dict[str, str], drop: tuple[str, ...] = ()) -> tuple[Problem, ...]:
    with pytest.raises(SpecError) as refusal:
        read(files, drop)
    return refusal.value.problems


def relations(site: Site, door: str, ref: str) -> list[tuple[str, str | None, str]]:
    return [(r.kind, r.own, " or ".join(map(str, r.targets))) for r in site.doors[door].devices[ref].relations]


def test_a_site(read: Read) -> None:
    site = read()
    assert site.id == "site"
    assert list(site.doors) == ["D1", "D2", "D3"]
    assert [sheet.type for sheet in site.stock.line] == ["cable-4x0.22s"]
    assert site.signed["drawn"] == "M. Alder"
    assert site.joint[0].doors == ("D1", "D2")
    assert relations(site, "D2", "Y1") == [
        ("from", None, "FB1.f-2"),
        ("through", None, "S1.pole-1"),
        ("through", None, "S2.chain"),
        ("through", None, "A1.relay"),
        ("tells", "bond", "A1.aux-1"),
    ]
    assert site.shared["G1"].relations[0].target == Target("", word="mains")
    assert {"motion", "cable-2x1.0", "try-lock"} <= site.sheets.keys()


def test_a_kit_lies_under_its_door(read: Read) -> None:
    door = read(
        {
            "doors/D1.yaml": """
door: D1
name: Glaze store
like: store
runs: {box: [closet-2, 9 m]}
want: {tamper: held}
devices:
  A1: {from: N1.p-1, set: {door: supervised}}
  U1: {speaks: none}
  B1: none
  S1: {type: motion, at: box, from: A1.out}
"""
        }
    ).doors["D1"]
    assert door.kit == "store"
    assert door.leave_by == ("handle",)
    assert door.want == {
        "idle": "held",
        "grant": "free",
        "controller-dead": "held",
        "power-dead": "held",
        "fire": "held",
        "tamper": "held",
    }
    assert door.runs["box"].parent == "closet-2"
    assert door.runs["frame"].parent == "box"
    assert list(door.devices) == ["A1", "U1", "Y1", "S1"]
    assert door.devices["A1"].set == {"exit": "mask only", "door": "supervised"}
    assert [relation.kind for relation in door.devices["U1"].relations] == ["from"]


def test_keys_point_at_the_file_that_said_them(read: Read) -> None:
    door = read().doors["D1"]
    assert door.keys["name"].file.endswith("doors/D1.yaml")
    assert door.keys["leave-by"].file.endswith("kits/store.yaml")
    assert (door.keys["leave-by"].line, door.keys["leave-by"].column) == (2, 1)
    assert door.where.file.endswith("doors/D1.yaml")
    assert door.devices["A1"].relations[0].where.file.endswith("doors/D1.yaml")
    assert door.devices["Y1"].where.file.endswith("kits/store.yaml")


def test_relations_replace(read: Read) -> None:
    site = read(
        {"doors/D1.yaml": "door: D1\nname: x\nlike: store\ndevices:\n  A1: {from: N1.p-1}\n  Y1: {through: [A1.relay-2]}\n"}
    )
    assert relations(site, "D1", "Y1") == [("from", None, "A1.out"), ("through", None, "A1.relay-2")]


def test_a_feed_is_laid_over(read: Read) -> None:
    text = (GOOD / "doors" / "D3.yaml").read_text("utf-8")
    port = read().doors["D3"]
    assert (port.feed, port.feeds) == ("port", ("port", "local"))
    assert "G2" not in port.devices
    local = read({"doors/D3.yaml": text.replace("feed: port", "feed: local")})
    assert relations(local, "D3", "A1") == [("from", "dc", "G2.out")]
    assert local.doors["D3"].devices["G2"].relations[0].target.word == "mains"


def test_a_feed_that_is_no_word(read: Read) -> None:
    text = (GOOD / "doors" / "D3.yaml").read_text("utf-8").replace("feed: port", "feed: [port]")
    assert [problem.wrong for problem in problems(read, {"doors/D3.yaml": text})] == ["a list where a text is due"]


def test_a_bank_is_dealt_out(read: Read) -> None:
    site = read()
    assert [ref for ref in site.doors["D3"].devices if ref.startswith("Y")] == ["Y1", "Y2", "Y3"]
    assert relations(site, "D3", "Y2") == [("from", None, "A1.out"), ("through", None, "K1.c-2")]
    assert relations(site, "D3", "K1")[1:] == [("obeys", f"in-{n}", f"A1.q-{n}") for n in (1, 2, 3)]
    assert site.doors["D3"].at_once == ((("Y1", "Y2", "Y3"), 1),)
    assert site.doors["D3"].why_none == "a locker of 400 mm, nobody fits in"
    assert site.doors["D3"].leave_by == ("none",)


def test_a_member_of_a_bank_may_differ(read: Read) -> None:
    kit = (GOOD / "doors" / "D3.yaml").read_text("utf-8").replace("door: D3\nname: Sample lockers", "kit: lockers")
    door = "door: D3\nname: x\nlike: lockers\ndevices: {Y2: {mount: {label: MIDDLE}}, Y3: {from: none}}\n"
    site = read({"kits/lockers.yaml": kit, "doors/D3.yaml": door})
    assert site.doors["D3"].devices["Y2"].mount == {"label": "MIDDLE"}
    assert relations(site, "D3", "Y3") == [("through", None, "K1.c-3")]


def test_sheets_are_spelt_out(read: Read) -> None:
    sheets = read().sheets
    controller, board, switch, panel = (
        sheets[name] for name in ("inner-controller", "fuse-board-8", "poe-switch-16", "patch-24")
    )
    assert isinstance(controller, DataSheet)
    assert isinstance(board, DataSheet)
    assert isinstance(switch, DataSheet)
    assert isinstance(panel, DataSheet)
    aux = controller.groups["aux-2"]
    assert isinstance(aux, Input)
    assert aux.marks == ("AUX2", "0V3")
    assert aux.pull_up is not None
    assert aux.pull_up.nominal == 2200
    assert (aux.plain["open"].least, aux.plain["open"].most) == (3.5, 5)
    branch = board.groups["f-3"]
    assert isinstance(branch, Gives)
    assert (branch.marks, branch.volts_as, branch.limit_kind) == (("F3+", "F3-"), "in", "fuse")
    port = switch.groups["p-16"]
    assert isinstance(port, Jack)
    assert (port.mark, port.poe, port.poe_class) == ("16", "out", 4)
    patch = panel.groups["p-24"]
    assert isinstance(patch, Pass)
    assert patch.jacks == ("front 24", "back 24")
    line = controller.groups["line"]
    assert isinstance(line, Line)
    assert line.roles == {"a": "A", "b": "B"}


def test_a_sheet_that_is_like_another(read: Read) -> None:
    other = "type: try-24\nlike: try-lock\nname: The same for 24 V\ngroups: {coil: {range: 21..28 V}}\n"
    door = "door: D1\nname: x\nlike: store\ndevices: {A1: {from: N1.p-1}, Y1: {type: try-24}}\n"
    sheet = read({"devices/try-24.yaml": other, "doors/D1.yaml": door}).sheets["try-24"]
    assert isinstance(sheet, DataSheet)
    coil = sheet.groups["coil"]
    assert isinstance(coil, Takes)
    assert (sheet.is_, sheet.frees, sheet.terminals[0].colour) == ("lock", "keeper", "RD")
    assert coil.range is not None
    assert (coil.range.text, coil.either_way, coil.plus) == ("21..28 V", True, "1")
    assert sheet.where.file.endswith("try-24.yaml")


def test_one_more_device_is_one_more_file(read: Read) -> None:
    """Nothing but a data sheet: a lock with a contact of its own, found by its type whatever the file is called."""
    sheet = """
type: gate-latch-7
is: lock
terminals: {1: RD, 2: BK, 3: YE, 4: YE-BK}
groups:
  coil: {kind: takes, plus: 1, minus: 2, current: dc, range: 10..14 V, load: 0.3 A}
  tell: {kind: contact, between: [3, 4], closed-when: [latched]}
unpowered: held
"""
    door = """
door: D1
name: Yard gate
like: store
devices:
  A1: {from: N1.p-1}
  Y1: {type: gate-latch-7, tells: A1.aux-1}
"""
    site = read({"devices/anything.yaml": sheet, "doors/D1.yaml": door})
    assert site.doors["D1"].devices["Y1"].sheet.name == "gate-latch-7"
    assert relations(site, "D1", "Y1")[-1] == ("tells", None, "A1.aux-1")


def test_a_relation_by_pole_and_side_by_side(read: Read) -> None:
    text = (GOOD / "doors" / "D2.yaml").read_text("utf-8")
    text = text.replace(
        "through: [S1.pole-1, S2.chain, A1.relay]", "through: {plus: [S1.pole-1 or S2.chain], minus: [S1.pole-2]}"
    )
    found = read({"doors/D2.yaml": text}).doors["D2"].devices["Y1"].relations[1:3]
    assert [(r.pole, [str(t) for t in r.targets]) for r in found] == [
        ("plus", ["S1.pole-1", "S2.chain"]),
        ("minus", ["S1.pole-2"]),
    ]


def test_all_that_a_door_may_say(read: Read) -> None:
    text = (
        (GOOD / "doors" / "D2.yaml").read_text("utf-8")
        + """
about: {location: ground floor, handing: opens out}
order: {grant: [Y1, 300 ms, S1]}
use: {grant: 4 s, per-hour: 60}
fire-rating: EI 30
cables: {W9: {type: cable-4x1.0, along: [box, inside], for: [S1..2], existing: true}}
conductors:
  add: [{from: "Y1:C", to: "A1:AUX2", colour: WH-RD, why: on trial}]
  drop: [["U1:6", "A1:AUX1", spare input]]
accept:
  battery: the owner proves it
  exit-masks: {reason: as built, who: authority, date: 2026-11-12, clause: "7.2"}
notes: [seal the cable entry]
revisions: [{rev: B, date: 2026-11-20, what: moved, by: M. Alder}]
"""
    )
    door = read({"doors/D2.yaml": text}).doors["D2"]
    assert door.about == {"location": "ground floor", "handing": "opens out"}
    assert door.order == {"grant": ("Y1", "300 ms", "S1")}
    assert door.cables["W9"].serves == ("S1", "S2")
    assert door.cables["W9"].existing
    assert (door.add[0].from_.terminal, door.add[0].colour, door.add[0].why) == ("C", "WH-RD", "on trial")
    assert [(a.terminal, b.terminal) for a, b in door.drop] == [("6", "AUX1")]
    assert door.dropped_why == ("spare input",)
    assert [(a.code, a.reason, a.clause) for a in door.accept] == [
        ("battery", "the owner proves it", None),
        ("exit-masks", "as built", "7.2"),
    ]
    assert door.revisions[0].by == "M. Alder"


def test_runs(read: Read) -> None:
    text = (GOOD / "doors" / "D2.yaml").read_text("utf-8")
    text = text.replace(
        "frame: [box, 3 m]", "frame: {to: box, length: about 12 ft, way: duct, outdoor: true, temperature: -20..50 °C}"
    )
    text = text.replace("inside: [box, 6 m]", "inside: [frame, 6 m, T1]").replace(
        "devices:", "devices:\n  T1: {type: hinge-10}"
    )
    door = read({"doors/D2.yaml": text}).doors["D2"]
    frame = door.runs["frame"]
    assert frame.length.nominal == pytest.approx(3.6576)
    assert (frame.length.assumed, frame.outdoor, frame.way) == (True, True, "duct")
    assert frame.temperature is not None
    assert (frame.temperature.least, frame.temperature.most) == (-20, 50)
    assert door.runs["inside"].transfer == "T1"
    assert door.devices["T1"].place == "frame"  # the end of its run that lies nearer the closet


def test_a_line_stock_of_several(read: Read) -> None:
    text = (GOOD / "site.yaml").read_text("utf-8").replace("line: cable-4x0.22s", "line: [cable-4x0.22s, cable-8x0.22s]")
    line = read({"site.yaml": text}).stock.line
    assert [sheet.type for sheet in line] == ["cable-4x0.22s", "cable-8x0.22s"]
    assert all(isinstance(sheet, CableSheet) and sheet.screen == "drain" for sheet in line)


def test_a_shared_controller_serves_two_doors(read: Read) -> None:
    """Two doors' own controllers on one port are refused; one controller of the site for both is not."""
    site = (
        (GOOD / "site.yaml")
        .read_text("utf-8")
        .replace("joint:", "  A9: {type: controller-2door, at: closet-1, from: G1.aux, speaks: N1.p-9}\njoint:")
    )
    door = """
door: D{n}
name: x
like: store
devices:
  A1: none
  U1: {{type: reader-wiegand, from: A9.acc, speaks: A9.w-{n}}}
  Y1: {{from: G1.out, through: [A9.relay-{n}]}}
  B1: {{tells: A9.door-{n}}}
"""
    doors = {f"doors/D{n}.yaml": door.format(n=n) for n in (1, 2)}
    assert read({"site.yaml": site, **doors}).doors["D2"].devices["Y1"].relations[1].target.group == "relay-2"


def test_a_file_that_cannot_be_parsed_does_not_make_others_wrong(read: Read) -> None:
    found = problems(read, {"doors/D1.yaml": "door: D1\nname: [", "kits/store.yaml": "kit: store\nruns: {"})
    assert [problem.where.file.rsplit("/", 1)[1] for problem in found] == ["D1.yaml", "store.yaml"]


def test_no_site_file(read: Read) -> None:
    found = problems(read, {}, ("site.yaml",))
    assert [problem.wrong for problem in found] == ["the file cannot be read: No such file or directory"]

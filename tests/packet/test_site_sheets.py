"""The sheets of the site: loads, pull list, reels, responsibilities, settings; held against the specs or added up anew."""

from __future__ import annotations

import math
from itertools import product

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from tests.packet.mill import mill
from tests.packet.pages import packet, texts
from wiregen.packet.duties import TASKS, duties
from wiregen.packet.grid import Grid
from wiregen.packet.loads import outputs, ports
from wiregen.packet.pulls import bundles, pulls, trunks
from wiregen.packet.reels import cut_from, reels
from wiregen.packet.settings_list import settings as settings_of
from wiregen.packet.tables import tables
from wiregen.reading.shared import SITE

CLASS_4 = 30.0  # W that a port allots: IEEE 802.3-2022, table 145-11 (from memory)


@pytest.fixture(scope="module")
def grids() -> dict[str, Grid]:
    known = mill()
    return {grid.name: grid for grid in tables(known.site, known.wirings, known.studies)}


@pytest.fixture(scope="module")
def printed() -> str:
    known = mill()
    return "\n".join(texts(packet(known.site, known.wirings, known.studies, known.findings)))


def test_every_port_is_listed_with_what_is_plugged_in() -> None:
    """By hand from the spec: D1 through the panel, D2 and D3 direct, the other 13 free."""
    known = mill()
    found = {p.port: p for p in ports(known.site, known.wirings, known.studies)}
    assert list(found) == [str(n) for n in range(1, 17)]
    assert {n: (p.door, p.on) for n, p in found.items() if p.on} == {
        "3": ("D1", "A1:J1 by way of PP1:front 7"),
        "4": ("D2", "A1:J1"),
        "5": ("D3", "A1:J1"),
    }
    assert {p.allotted for p in found.values() if p.granted == 4} == {CLASS_4}
    assert all((p.allotted, p.used) == (None, None) for p in found.values() if not p.on)
    for of, wiring in known.wirings.items():
        for use in known.studies[of].uses if of != SITE else ():
            assert found[use.port.mark].used == pytest.approx(use.watts.most)
            assert use.device in wiring.devices


def test_ports_add_up_to_what_the_site_s_study_says() -> None:
    known = mill()
    found = list(ports(known.site, known.wirings, known.studies))
    figures = {f.name: f for f in known.studies[SITE].figures if f.about == "N1"}
    assert sum(p.allotted or 0 for p in found) == pytest.approx(figures["switch budget, as allotted by class"].value)
    assert sum(p.used or 0 for p in found) == pytest.approx(figures["switch budget, as used"].most)


def test_parts_of_an_output_add_up_and_leave_what_is_left() -> None:
    """Kirchhoff's current law, added up anew; a steady load takes 80 % of a fuse at most (common practice, no source)."""
    known = mill()
    found = {at.output: at for at in outputs(known.site, known.studies)}
    assert [at for at in found if at.startswith("FB1")] == [f"FB1.f-{n}" for n in range(1, 9)]
    assert {at.output for at in found.values() if at.parts} == {"BT1.out", "G1.out", "G1.aux", "FB1.f-2", "FB2.f-1"}
    for at in found.values():
        if at.parts:
            for sort in ("idle", "worst"):
                assert getattr(at.all, sort) == pytest.approx(sum(getattr(amps, sort) for _, _, amps in at.parts))
    shared = found["FB1.f-2"]
    assert [door for _, door, _ in shared.parts] == ["D1", "D2"]
    assert shared.tight is not None
    assert shared.tight.margin == pytest.approx(1 - (shared.all.worst or 0) / 0.8)
    assert {door for _, door, _ in found["BT1.out"].parts} == {"D1", "D2", "D3", None}


def test_load_sheets_print_each_output_and_what_is_left(printed: str) -> None:
    known = mill()
    for at in outputs(known.site, known.studies):
        if at.parts and at.tight and at.tight.ceiling is not None:
            left = f"{100 * (1 - at.tight.most / at.tight.ceiling):.0f} %"
            assert any(left in line for line in printed.splitlines() if at.output in line or "all together" in line)
    assert "1, 2, 6 to 16 free class 4" in printed


def test_every_new_cable_is_pulled_once_from_the_closet_outwards(grids: dict[str, Grid]) -> None:
    known = mill()
    listed = list(pulls(known.site, known.wirings))
    found = list(bundles(known.site, listed))
    wanted = sorted((p.door, p.ref) for p in listed if not p.existing and len(p.along) > 1)
    assert sorted((p.door, p.ref) for bundle in found for p in bundle.pulls) == wanted
    assert sorted((row[0], row[5]) for row in grids["pulls"].rows) == wanted
    d1 = {bundle.along: [p.sheet.type for p in bundle.pulls] for bundle in found if bundle.door == "D1"}
    assert sorted(d1["closet-1", "box"]) == ["cable-2x1.0", "link-cat6"]  # lock power and network, side by side
    assert {along[0] for along in d1} == {"closet-1", "box"}
    assert next(iter(d1))[0] == "closet-1"


def test_a_run_of_the_site_tells_all_that_lies_in_it() -> None:
    """N1 and FA1 stand in closet-1 and D3 in closet-2; FB2 is fed from there."""
    known = mill()
    (run,) = trunks(known.site, list(pulls(known.site, known.wirings))).items()
    assert run[0] == "closet-2"
    assert {p.door for p in run[1]} == {SITE, "D3"}
    assert "link-cat6" in {p.sheet.type for p in run[1]}


def test_reels_add_the_slack_of_the_house(grids: dict[str, Grid], printed: str) -> None:
    known = mill()
    found = {reel.sheet.type: reel for reel in reels(known.site, pulls(known.site, known.wirings))}
    for type_, reel in found.items():
        cables = [c for w in known.wirings.values() for c in w.cables.values() if c.sheet.type == type_]
        links = [k for w in known.wirings.values() for k in w.links if k.sheet.type == type_]
        pulled = math.fsum(piece.length for piece in (*cables, *links))
        assert reel.pieces == len(cables) + len(links)
        assert reel.bought == pytest.approx(pulled * (1.0 if links else 1.05))
        assert (reel.reels is None) == bool(links)
    assert {row[0]: row[5] for row in grids["reels"].rows} == {type_: reel.bought for type_, reel in found.items()}
    assert "with 5 % slack" in printed


@settings(deadline=None, max_examples=60)
@given(st.lists(st.integers(1, 10), min_size=1, max_size=5))
def test_reels_hold_their_pieces_and_are_nearly_as_few_as_can_be(pieces: list[int]) -> None:
    """Against every way to cut up to five pieces from reels of 10; bound of first fit decreasing by G. Dosa, 2007."""
    best = min(
        len(set(way))
        for way in product(range(len(pieces)), repeat=len(pieces))
        if all(sum(p for p, w in zip(pieces, way, strict=True) if w == reel) <= 10 for reel in set(way))
    )
    assert best <= cut_from(pieces, 10) <= 11 / 9 * best + 6 / 9


def test_duties_are_those_of_the_specs(grids: dict[str, Grid], printed: str) -> None:
    known = mill()
    told = {(d.door, d.ref): dict(zip(TASKS, d.who, strict=True)) for d in duties(known.site, known.wirings)}
    wanted = {"supply": "installer", "mount": "installer", "terminate": "electrician", "test": "R. Teasel"}
    assert told[SITE, "G1"] == wanted
    assert set(told[SITE, "FA1"].values()) == {"fire contractor"}
    assert set(told["D1", "Y1"].values()) == {""}
    assert len(told) == len(known.site.shared) + sum(len(door.devices) for door in known.site.doors.values())
    assert len(grids["responsibilities"].rows) == len(told)
    assert "R. Teasel" in printed


def test_settings_tell_what_is_set_and_what_stays_as_delivered(grids: dict[str, Grid]) -> None:
    known = mill()
    found = {(s.door, s.ref, s.name): s for s in settings_of(known.wirings)}
    assert found["D2", "U1", "address"].value == "42"
    assert found["D2", "U1", "address"].delivered == ""  # a range is no choice
    assert (found[SITE, "G1", "fire"].value, found[SITE, "G1", "fire"].why) == ("in use", "as specified")
    assert found["D1", "A1", "relay-sense"].why == "asked for by the wiring"
    assert (found["D1", "A1", "door"].value, found["D1", "A1", "door"].delivered) == ("", "plain")
    for of, door in known.site.doors.items():
        for ref, device in door.devices.items():
            assert {name for d, r, name in found if (d, r) == (of, ref)} >= device.sheet.settings.keys()
    assert len(grids["settings"].rows) == len(found)

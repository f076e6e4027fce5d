"""Each row of the termination table (T1 to T16) with a tiny door: the terminals that become one point."""

from __future__ import annotations

from pathlib import Path

import pytest

from tests.wiring.small import joined, site_of, together, wire
from wiregen.reading.model import SpecError
from wiregen.wiring.wire import wire_door, wire_site

# ---- T1, T2, T3, T5, L3


def test_t1_plus_and_minus_lead_to_the_load(tmp_path: Path) -> None:
    wiring = wire(tmp_path, "S1: {type: motion, at: inside, from: A1.out}")
    assert joined(wiring) >= {frozenset({"A1:12V", "S1:1"})}
    assert together(wiring, "A1:0V", "S1:2")


def test_t1_alternating_current_takes_the_first_pole_for_plus(tmp_path: Path) -> None:
    wiring = wire(
        tmp_path,
        """
        T1: {type: transformer-12ac, at: box, from: mains}
        Y1: {type: strike-ac, at: frame, from: T1.out, through: [A1.relay]}
        """,
    )
    assert together(wiring, "T1:12", "A1:COM")
    assert together(wiring, "A1:NO", "Y1:1")
    assert together(wiring, "T1:0", "Y1:2")
    assert [str(end) for end in wiring.mains] == ["T1:L", "T1:N"]  # T3: nothing is drawn, a licensed electrician lands it
    assert not {"T1:L", "T1:N"} & {f"{u.device}:{u.terminal}" for u in wiring.unused}


def test_t1_the_minus_may_be_broken_instead_or_as_well(tmp_path: Path) -> None:
    wiring = wire(
        tmp_path,
        """
        S1: {type: call-point, at: inside}
        Y1: {type: magnet-24, at: frame, from: FB1.f-1, through: {plus: [S1.pole-1, A1.relay], minus: [S1.pole-2]}}
        """,
    )
    assert together(wiring, "FB1:F1+", "S1:11")
    assert together(wiring, "S1:12", "A1:COM")
    assert together(wiring, "Y1:-", "S1:21")
    assert together(wiring, "S1:22", "FB1:F1-")
    chain = next(c for c in wiring.chains if c.load == "Y1")
    assert [(link.device, link.group, link.pole) for link in chain.links] == [
        ("S1", "pole-1", "plus"),
        ("A1", "relay", "plus"),
        ("S1", "pole-2", "minus"),
    ]


def test_t2_power_is_looped_on_from_a_load(tmp_path: Path) -> None:
    wiring = wire(
        tmp_path,
        """
        S1: {type: motion, at: inside, from: A1.out}
        S2: {type: motion, at: inside, from: S1.power}
        """,
    )
    assert together(wiring, "A1:12V", "S1:1", "S2:1")
    assert together(wiring, "A1:0V", "S1:2", "S2:2")
    assert [cable.serves for cable in wiring.cables.values()] == [("S1",)]  # S2 hangs on S1, not on a cable of its own


def test_t5_side_by_side(tmp_path: Path) -> None:
    wiring = wire(
        tmp_path,
        """
        S1: {type: key-switch, at: box}
        Y1: {type: strike-12, at: frame, from: A1.out, through: [A1.relay or S1.made]}
        """,
    )
    assert together(wiring, "A1:12V", "A1:COM", "S1:3")
    assert together(wiring, "A1:NO", "S1:4", "Y1:+")


def test_t5_chains_share_a_common_beginning(tmp_path: Path) -> None:
    wiring = wire(
        tmp_path,
        """
        S1: {type: button-30s, at: inside}
        Y1: {type: magnet-24, at: frame, from: FB1.f-1, through: [S1.pole-1, A1.relay]}
        Y2: {type: magnet-24, at: frame, from: FB1.f-1, through: [S1.pole-1, A1.relay-2]}
        """,
    )
    assert together(wiring, "S1:2", "A1:COM", "A1:COM2")


def test_l3_no_second_way_to_the_same_reference(tmp_path: Path) -> None:
    """The reference of a coded line whose two ends have the 0 V in common already is not drawn."""
    wiring = wire(tmp_path, "U1: {type: reader-osdp, at: outside, from: A1.reader, speaks: A1.line}")
    assert sorted(c.function for c in wiring.conductors) == ["0 V", "data A", "data B", "supply +"]


def test_l3_a_reference_is_drawn_where_nothing_else_joins_the_two(tmp_path: Path) -> None:
    wiring = wire(
        tmp_path,
        """
        G5: {type: supply-12-local, at: outside, from: mains}
        U1: {type: reader-osdp, at: outside, from: G5.out, speaks: A1.line}
        """,
    )
    assert together(wiring, "U1:2", "A1:0V3", "G5:-")


# ---- T4, T14


def test_t4_one_link_a_hop(tmp_path: Path) -> None:
    wiring = wire(tmp_path, "A2: {type: intercom, at: box, from: N1.p-2, through: [PP1.p-7]}")
    assert [(str(link.a), str(link.b), link.poe) for link in wiring.links] == [
        ("N1:1", "A1:J1", True),
        ("N1:2", "PP1:front 7", True),
        ("PP1:back 7", "A2:LAN", True),
    ]
    assert wiring.links[2].along == ("closet-1", "box")
    assert wiring.links[2].length == 20.0


def test_t4_t14_a_splitter_passes_the_data_on(tmp_path: Path) -> None:
    wiring = wire(
        tmp_path,
        """
        G5: {type: splitter-12, at: box, from: N1.p-2}
        A2: {type: inner-controller, at: box, from: {dc: G5.out}, speaks: {lan: G5.data}}
        """,
    )
    assert ("G5:OUT", "A2:J1", False) in [(str(link.a), str(link.b), link.poe) for link in wiring.links]
    assert together(wiring, "G5:+", "A2:V+")


# ---- T6 to T10, T16


def test_t6_a_contact_between_input_and_reference(tmp_path: Path) -> None:
    wiring = wire(tmp_path, "B1: {type: contact-plain, at: frame, tells: A1.door}")
    assert together(wiring, "A1:DOOR", "B1:1")
    assert together(wiring, "B1:2", "A1:0V2")


def test_t7_a_changeover_on_an_input_that_may_be_set_takes_its_make_side(tmp_path: Path) -> None:
    wiring = wire(tmp_path, "S1: {type: call-point, at: inside, tells: {tell: A1.aux-1}}")
    assert together(wiring, "A1:AUX1", "S1:34")
    assert together(wiring, "S1:31", "A1:0V3")
    assert "32" not in wiring.devices["S1"].used


FIRE_SIDE = [("supply-24-local", "NO"), ("gate-operator", "NC")]  # open is the alarm; closed is the alarm


@pytest.mark.parametrize(("type_", "side"), FIRE_SIDE)
def test_t8_the_side_that_leaves_the_input_at_rest_in_idle(tmp_path: Path, type_: str, side: str) -> None:
    """A fire contact that is moved while there is no fire: make holds a loop closed, break leaves an input open."""
    wiring = wire(tmp_path, f"G5: {{type: {type_}, at: box, from: mains, obeys: {{fire: FA1.c-2}}}}")
    used = {mark for mark in wiring.devices["FA1"].used if mark.startswith("N")}
    assert used == {f"{side}2"}


def test_t8_the_side_written_wins(tmp_path: Path) -> None:
    wiring = wire(tmp_path, "G5: {type: supply-24-local, at: box, from: mains, obeys: {fire: FA1.c-2.break}}")
    assert together(wiring, "G5:F1", "FA1:NC2")


def test_t9_a_drive_line_with_its_reference(tmp_path: Path) -> None:
    wiring = wire(tmp_path, "K1: {type: module-4, at: box, from: FB1.f-1, obeys: {in-1: A1.q-1}}")
    assert together(wiring, "A1:Q1", "K1:I1")
    assert together(wiring, "A1:0V3", "K1:-", "FB1:F1-")  # two supplies: the reference has to be drawn


def test_t10_contacts_in_series(tmp_path: Path) -> None:
    wiring = wire(
        tmp_path,
        """
        B1: {type: contact-plain, at: frame, tells: A1.door}
        B2: {type: contact-plain, at: frame, tells: B1}
        B3: {type: bolt-switch, at: frame, tells: B2}
        """,
    )
    assert together(wiring, "A1:DOOR", "B1:1")
    assert together(wiring, "B1:2", "B2:1")
    assert together(wiring, "B2:2", "B3:1")
    assert together(wiring, "B3:2", "A1:0V2")
    assert len(wiring.cables) == 1, "joined in series by a local joint: one cable for all"


LEVEL_LISTENER = """
    type: level-listener
    is: board
    name: Board with an output line that another input listens to
    terminals: ["+", "-", O, G]
    screw: {wires: 2 x 1.0 mm2}
    tied: [["-", G]]
    groups:
      power: {kind: takes, plus: "+", minus: "-", current: dc, range: 9..16 V, load: 20 mA}
      out: {kind: drive, out: O, ref: G, sinks: 20 mA}
"""


def test_t16_a_drive_line_tells_an_input(tmp_path: Path) -> None:
    wiring = wire(
        tmp_path,
        "K1: {type: level-listener, at: box, from: A1.out, tells: A1.aux-1}",
        sheets={"level-listener": LEVEL_LISTENER},
    )
    assert together(wiring, "K1:O", "A1:AUX1")
    assert together(wiring, "K1:-", "A1:0V")
    assert {c.why for c in wiring.conductors if "K1:O" in (str(c.a), str(c.b))} == {"T16"}


# ---- T11, T12


def test_t11_a_sink_takes_the_place_of_the_minus(tmp_path: Path) -> None:
    wiring = wire(tmp_path, "H1: {type: sounder-exit, at: inside, from: FB1.f-1, obeys: A1.led}")
    assert together(wiring, "FB1:F1+", "H1:+")
    assert together(wiring, "H1:-", "A1:LED")
    assert not together(wiring, "H1:-", "FB1:F1-")
    assert together(wiring, "A1:0V3", "FB1:F1-")  # else the current has no way back


def test_t12_a_level_feeds_a_small_load(tmp_path: Path) -> None:
    wiring = wire(tmp_path, "H1: {type: sounder-exit, at: inside, obeys: A1.q-1}")
    assert together(wiring, "A1:Q1", "H1:+")
    assert together(wiring, "A1:0V3", "H1:-")


def test_t11_needs_a_plus_of_its_own(tmp_path: Path) -> None:
    site = site_of(tmp_path, "H1: {type: sounder-exit, at: inside, obeys: A1.led}")
    with pytest.raises(SpecError, match="only sinks current"):
        wire_door(site, site.doors["D1"])


# ---- T13, T15


def test_t13_send_goes_to_receive(tmp_path: Path) -> None:
    wiring = wire(
        tmp_path,
        """
        A2: {type: inner-controller-3, at: box, from: N1.p-2}
        U1: {type: reader-serial, at: outside, from: A2.out, speaks: A2.serial}
        """,
    )
    roles = wiring.devices["U1"].sheet.groups["line"].roles  # type: ignore[attr-defined]
    assert together(wiring, "A2:TX", f"U1:{roles['rx']}")
    assert together(wiring, "A2:RX", f"U1:{roles['tx']}")


def test_t13_a_bus_goes_on_from_device_to_device(tmp_path: Path) -> None:
    wiring = wire(
        tmp_path,
        """
        U1: {type: reader-osdp, at: outside, from: A1.reader, speaks: A1.line}
        U2: {type: reader-osdp, at: inside, from: A1.out, speaks: U1.line}
        """,
    )
    assert together(wiring, "A1:A", "U1:4", "U2:4")
    ends = {ref: wiring.devices[ref].settings.get("line-end") for ref in ("A1", "U1", "U2")}
    assert ends == {"A1": "in", "U1": "out", "U2": "in"}  # EIA-485: a resistor at either end of the bus, none between


def test_t15_earths_are_green_and_yellow(tmp_path: Path) -> None:
    wiring = wire(tmp_path, "F2: {type: surge-power, at: box, earths: E1.e-1}")
    earth = [c for c in wiring.conductors if c.circuit == "earth"]
    assert [(str(c.a), str(c.b), c.colour) for c in earth] == [("E1:E1", "F2:E", "GNYE")]
    assert all(c.colour != "GNYE" for c in wiring.conductors if c.circuit != "earth")


# ---- added, dropped, existing, other doors, the site


def test_a_conductor_more_and_one_less(tmp_path: Path) -> None:
    wiring = wire(
        tmp_path,
        """
        Y1: {type: bolt-motor, at: frame, from: A1.out, obeys: {unlock: A1.relay}}
        B1: {type: contact-plain, at: frame, tells: A1.door}
        """,
        more="""
        conductors:
          add: [{from: "Y1:5", to: "Y1:6", colour: WH, why: no second bolt is fitted}]
          drop: [["A1:0V2", "B1:2"]]
        """,
    )
    assert together(wiring, "Y1:5", "Y1:6")
    added = next(c for c in wiring.conductors if {str(c.a), str(c.b)} == {"Y1:5", "Y1:6"})
    assert (added.colour, added.why) == ("WH", "added: no second bolt is fitted") or added.kind == "jumper"
    assert "B1:2" in {f"{u.device}:{u.terminal}" for u in wiring.unused}


def test_dropping_what_is_not_there_is_refused_with_what_is(tmp_path: Path) -> None:
    site = site_of(
        tmp_path,
        "B1: {type: contact-plain, at: frame, tells: A1.door}",
        more="""
        conductors: {drop: [["A1:EXIT", "B1:1"]]}
        """,
    )
    with pytest.raises(SpecError) as caught:
        wire_door(site, site.doors["D1"])
    assert "nothing leads from A1:EXIT to B1:1" in str(caught.value)
    assert "[A1:DOOR, B1:1]" in str(caught.value)


def test_an_existing_device_is_wired_like_any_other(tmp_path: Path) -> None:
    wiring = wire(tmp_path, "B1: {type: contact-plain, at: frame, tells: A1.door, existing: true}")
    assert together(wiring, "A1:DOOR", "B1:1")
    device = wiring.devices["B1"].device
    assert device is not None
    assert device.existing


def test_another_doors_device_appears_and_its_own_door_does_not_call_it_unused(tmp_path: Path) -> None:
    other = """
door: D2
name: The door beside it
leave-by: handle
want: {}
runs: {box: [D1/box, 5 m]}
devices:
  A1: {type: inner-controller, at: box, from: N1.p-9}
"""
    site = site_of(tmp_path, "B1: {type: contact-2p, at: frame, tells: {a: A1.door, b: D2/A1.aux-1}}", others={"D2": other})
    wiring = wire_door(site, site.doors["D1"])
    assert wiring.devices["D2/A1"].origin == "other door"
    assert wiring.devices["D2/A1"].place == "D2/box"
    assert together(wiring, "D2/A1:AUX1", "B1:3")
    beside = wire_door(site, site.doors["D2"])
    assert not {"A1:AUX1", "A1:0V3"} & {f"{u.device}:{u.terminal}" for u in beside.unused}
    assert any("D1" in remark.text for remark in beside.remarks)


def test_l9_between_shared_devices_is_the_sites(tmp_path: Path) -> None:
    site = site_of(
        tmp_path,
        "Y1: {type: magnet-24, at: frame, from: FB1.f-1, through: [FA1.c-1, A1.relay]}",
        want="{idle: held, fire: free}",
    )
    wiring = wire_door(site, site.doors["D1"])
    assert not together(wiring, "FB1:F1+", "FA1:C1")
    assert together(wiring, "FA1:NO1", "A1:COM")
    assert together(wire_site(site), "FB1:F1+", "FA1:C1")

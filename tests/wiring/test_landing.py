"""The landing rules (L1 to L10) with tiny doors: cables, cores, jumpers, transfers, calmers, line ends, screens, strips."""

from __future__ import annotations

from pathlib import Path

import pytest

from tests.wiring.small import SITE, site_of, together, wire
from wiregen.reading.model import SpecError
from wiregen.wiring.model import Cable, Wiring
from wiregen.wiring.wire import wire_door

READER = "U1: {type: reader-osdp, at: outside, from: A1.reader, speaks: A1.line}"
CONTACT = "B1: {type: contact-plain, at: frame, tells: A1.door}"
STRIKE = "Y1: {type: strike-12, at: frame, from: A1.out, through: [A1.relay]}"


def cable_to(wiring: Wiring, ref: str, number: int = 0) -> Cable:
    return [cable for cable in wiring.cables.values() if ref in cable.serves][number]


def colour_at(wiring: Wiring, terminal: str) -> str:
    return next(c.colour for c in wiring.conductors if terminal in (str(c.a), str(c.b)) and c.kind == "core")


# ---- L1, L2: cables as they are pulled


def test_l1_a_cable_a_device_and_class(tmp_path: Path) -> None:
    wiring = wire(tmp_path, f"{READER}\n{STRIKE}\n{CONTACT}")
    types = {cable.serves: cable.sheet.type for cable in wiring.cables.values()}
    assert types == {("U1",): "cable-4x0.22s", ("Y1",): "cable-2x1.0", ("B1",): "cable-4x0.22"}
    assert all(cable.along[-1] == "box" for cable in wiring.cables.values())


def test_l2_branches_meet_at_the_hub_and_one_core_goes_on(tmp_path: Path) -> None:
    wiring = wire(
        tmp_path,
        """
        S1: {type: button-30s, at: inside}
        Y1: {type: magnet-24, at: frame, from: FB1.f-1, through: [S1.pole-1, A1.relay]}
        Y2: {type: magnet-24, at: frame, from: FB1.f-1, through: [S1.pole-2, A1.relay-2]}
        """,
    )
    trunk = [cable for cable in wiring.cables.values() if cable.along == ("box", "closet-1")]
    assert len(trunk) == 1
    assert sorted(wire for _, wire in trunk[0].cores if wire) == sorted(
        c.wire for c in wiring.conductors if c.cable == trunk[0].ref
    )
    assert len([core for core, used in trunk[0].cores if used]) == 2  # the plus and the minus of one fused branch
    assert trunk[0].length == 20.0


def test_l1_a_cable_runs_on_past_a_place_where_nothing_of_it_is_landed(tmp_path: Path) -> None:
    wiring = wire(tmp_path, "Y1: {type: strike-24-free, at: frame, from: FB1.f-1}")
    assert cable_to(wiring, "Y1").along == ("frame", "box", "closet-1")
    assert cable_to(wiring, "Y1").length == 23.0


def test_two_boxes_are_joined_by_a_trunk(tmp_path: Path) -> None:
    wiring = wire(
        tmp_path,
        """
        X7: {type: box-24, at: far}
        S1: {type: motion, at: left, from: A1.out, tells: {tell: A1.exit}}
        S2: {type: motion, at: right, from: A1.out, tells: {tell: A1.exit}}
        """,
        runs="far: [box, 9 m], left: [far, 2 m], right: [far, 2 m]",
    )
    assert {(c.along, c.serves) for c in wiring.cables.values()} == {
        (("left", "far"), ("S1",)),
        (("right", "far"), ("S2",)),
        (("far", "box"), ()),
    }
    trunk = next(c for c in wiring.cables.values() if not c.serves)
    assert len([wire for _, wire in trunk.cores if wire]) == 3  # plus, 0 V and exit, each once
    assert {j.end.device for j in wiring.junctions if j.place == "far"} == {"X7"}


def test_cables_the_author_laid_down(tmp_path: Path) -> None:
    wiring = wire(
        tmp_path,
        f"{STRIKE}\n{CONTACT}",
        more="cables:\n  W9: {type: old-8x0.3, along: [box, frame], for: [Y1, B1], existing: true}",
    )
    assert [(c.ref, c.sheet.type, c.existing) for c in wiring.cables.values()] == [("W9", "old-8x0.3", True)]
    assert len(wiring.cables["W9"].spares) == 4


def test_a_cable_in_which_nothing_runs_is_refused(tmp_path: Path) -> None:
    site = site_of(tmp_path, CONTACT, more="cables:\n  W9: {type: old-8x0.3, along: [box, outside], for: [B1]}")
    with pytest.raises(SpecError, match="nothing runs in W9"):
        wire_door(site, site.doors["D1"])


def test_a_cable_with_too_few_cores_is_refused(tmp_path: Path) -> None:
    site = site_of(
        tmp_path, f"{STRIKE}\n{CONTACT}", more="cables:\n  W9: {type: cable-2x1.0, along: [box, frame], for: [Y1, B1]}"
    )
    with pytest.raises(SpecError, match=r"cable-2x1\.0 has 2 cores; from frame to box 4 are needed"):
        wire_door(site, site.doors["D1"])


# ---- L4: jumpers


def test_l4_one_core_and_a_jumper(tmp_path: Path) -> None:
    wiring = wire(tmp_path, "S1: {type: button-30s, at: inside, tells: {tell: A1.exit}}\n" + (
        "Y1: {type: magnet-24, at: frame, from: FB1.f-1, through: [S1.pole-1, A1.relay]}\n"
        "Y2: {type: magnet-24, at: frame, from: FB1.f-1, through: [S1.pole-2, A1.relay-2]}"
    ))  # fmt: skip
    jumpers = {(str(c.a), str(c.b)) for c in wiring.conductors if c.kind == "jumper"}
    assert ("S1:1", "S1:3") in jumpers


def test_l4_never_at_a_locks_own_coil(tmp_path: Path) -> None:
    """A strike whose latch contact has the coil's minus for its reference: two cores, so that the coil's current moves no
    reading."""
    wiring = wire(
        tmp_path,
        "Y1: {type: strike-24-held, at: frame, from: A1.out, through: [A1.relay], tells: {latch: A1.aux-1}}",
        want="{idle: held, grant: free}",
    )
    assert len([c for c in wiring.cables.values() if "Y1" in c.serves]) == 2
    assert not [c for c in wiring.conductors if c.a.device == c.b.device == "Y1"]


def test_l10_a_screw_for_one_wire_gets_no_jumper(tmp_path: Path) -> None:
    wiring = wire(tmp_path, "S1: {type: motion, at: inside, from: A1.out, tells: {tell: A1.exit}}")
    assert together(wiring, "S1:2", "S1:6")
    assert not [c for c in wiring.conductors if c.kind == "jumper"]
    assert {str(c.b) for c in wiring.conductors if c.function == "0 V" and c.kind == "core"} == {"S1:2", "S1:6"}


# ---- L5: power transfers


def test_l5_cores_are_cut_and_keep_their_number(tmp_path: Path) -> None:
    wiring = wire(
        tmp_path,
        """
        T1: {type: hinge-10}
        Y1: {type: mortise-24, at: leaf, from: FB1.f-1, through: [A1.relay], tells: {handle: A1.exit, latch: A1.aux-1}}
        """,
        runs="leaf: [frame, 1.2 m, T1]",
    )
    for mark in ("1", "2", "4", "6"):
        at_lock = next(
            c for c in wiring.conductors if f"Y1:{mark}" in (str(c.a), str(c.b)) and "T1" in (c.a.device, c.b.device)
        )
        lead = at_lock.a if at_lock.a.device == "T1" else at_lock.b
        frame = next(c for c in wiring.conductors if f"T1:f{lead.terminal[1:]}" in (str(c.a), str(c.b)))
        assert at_lock.potential == frame.potential
    sizes = {c.function: c.area for c in wiring.conductors if c.kind == "lead" and "T1" in (c.a.device, c.b.device)}
    assert sizes["lock +"] == sizes["lock -"] == pytest.approx(0.5e-6)  # the thick cores for the coil
    assert sizes["exit"] == pytest.approx(0.14e-6)
    spare = [u for u in wiring.unused if u.device == "T1"]
    assert len(spare) == 2 * 5


def test_l5_a_transfer_with_too_few_cores_is_refused(tmp_path: Path) -> None:
    site = site_of(
        tmp_path,
        """
        T1: {type: door-loop-4}
        Y1: {type: mortise-24, at: leaf, from: FB1.f-1, through: [A1.relay], tells: {handle: A1.exit, latch: A1.aux-1}}
        """,
        runs="leaf: [frame, 1.2 m, T1]",
    )
    with pytest.raises(SpecError, match="has 4 cores and more have to cross to leaf"):
        wire_door(site, site.doors["D1"])


# ---- L6: colours of cores


def test_l6_plus_and_minus_cores_and_leads_in_their_own_colour(tmp_path: Path) -> None:
    wiring = wire(tmp_path, f"{READER}\n{STRIKE}")
    assert (colour_at(wiring, "Y1:+"), colour_at(wiring, "Y1:-")) == ("RD", "BK")
    assert (colour_at(wiring, "U1:1"), colour_at(wiring, "U1:2")) == ("RD", "BK")
    assert (colour_at(wiring, "U1:4"), colour_at(wiring, "U1:3")) == ("WH", "GN")  # leads 4 and 3 are white and green


def test_l6_a_data_pair_keeps_to_a_twisted_pair(tmp_path: Path) -> None:
    wiring = wire(tmp_path, "U1: {type: reader-osdp-keypad, at: outside, from: A1.reader, speaks: A1.line}")
    cable = cable_to(wiring, "U1")
    data = {c.core for c in wiring.conductors if c.cable == cable.ref and c.circuit == "data" and c.function != "0 V"}
    assert data in [set(pair) for pair in cable.sheet.pairs]


def test_l6_no_minus_core_on_the_plus_side(tmp_path: Path) -> None:
    """Both sides of a contact in a lock's plus: two cores, and red and black would be a trap."""
    wiring = wire(
        tmp_path,
        """
        S1: {type: button-30s, at: inside}
        Y1: {type: magnet-24, at: frame, from: FB1.f-1, through: [S1.pole-1, A1.relay]}
        """,
    )
    assert cable_to(wiring, "S1").sheet.type == "cable-4x1.0"
    assert {colour_at(wiring, "S1:1"), colour_at(wiring, "S1:2")} == {"RD", "WH"}


# ---- L7: screens


def test_l7_a_drain_is_landed_at_one_end(tmp_path: Path) -> None:
    wiring = wire(tmp_path, f"{READER}\nU2: {{type: reader-osdp, at: inside, from: A1.out, speaks: U1.line}}")
    for ref in ("U1", "U2"):
        cable = cable_to(wiring, ref)
        assert str(cable.screen_at) == "A1:SH"
        assert "cut back" in cable.screen_why
    assert "SH" in wiring.devices["A1"].used


# ---- L8: calmers and line ends


def calmers(wiring: Wiring) -> list[tuple[str, str, str | None]]:
    return [(c.lock, c.word, str(c.band_at) if c.band_at else None) for c in wiring.calmers if c.ref]


def test_l8_a_diode_with_its_band_to_plus(tmp_path: Path) -> None:
    wiring = wire(tmp_path, STRIKE)
    assert calmers(wiring) == [("Y1", "diode", "Y1:+")]
    diode = next(c.ref for c in wiring.calmers if c.ref)
    assert together(wiring, "A1:NO", "Y1:+")
    leads = {(str(c.a), str(c.b)) for c in wiring.conductors if c.a.device == diode}
    assert leads == {(f"{diode}:K", "Y1:+"), (f"{diode}:A", "Y1:-")}
    assert wiring.devices[diode].place == "frame"


def test_l8_a_series_limiter_and_no_diode(tmp_path: Path) -> None:
    wiring = wire(tmp_path, "Y1: {type: magnet-12-smart, at: frame, from: A1.out, through: [A1.relay]}")
    assert calmers(wiring) == [("Y1", "limiter", None)]
    limiter = next(c.ref for c in wiring.calmers if c.ref)
    ends = {str(end) for c in wiring.conductors for end in (c.a, c.b) if end.device == limiter}
    assert ends == {f"{limiter}:1", f"{limiter}:2"}
    direct = [c for c in wiring.conductors if {str(c.a), str(c.b)} == {"A1:NO", "Y1:+"}]
    assert direct == []


def test_l8_the_devices_own_word_wins_and_what_the_sheet_forbids_is_refused(tmp_path: Path) -> None:
    assert calmers(wire(tmp_path / "none", STRIKE.replace("}", ", calm: none}"))) == []
    varistor = wire(tmp_path / "varistor", STRIKE.replace("}", ", calm: varistor-24}"))
    assert calmers(varistor) == [("Y1", "varistor", None)]
    site = site_of(tmp_path / "diode", "Y1: {type: magnet-24, at: frame, from: FB1.f-1, through: [A1.relay], calm: diode-1a}")
    with pytest.raises(SpecError, match="must never have a diode"):
        wire_door(site, site.doors["D1"])


def test_l8_nothing_of_the_kind_in_stock_is_remarked_on(tmp_path: Path) -> None:
    wiring = wire(tmp_path, STRIKE, site=SITE.replace("calm: [diode-1a, varistor-24, limiter-2]", "calm: [limiter-2]"))
    assert calmers(wiring) == []
    assert "calmer-missing" in [r.code for r in wiring.remarks]


@pytest.mark.parametrize(("letters", "wanted"), [("iec", "R"), ("ieee", "CR")])
def test_designations_of_what_is_added_avoid_the_authors(tmp_path: Path, letters: str, wanted: str) -> None:
    taken = f"{wanted}1: {{type: contact-plain, at: frame, tells: A1.door}}"
    wiring = wire(tmp_path, f"{STRIKE}\n{taken}", site=SITE.replace("{break: plus}", f"{{break: plus, letters: {letters}}}"))
    assert [c.ref for c in wiring.calmers if c.ref] == [f"{wanted}2"]


def test_line_end_resistors_at_the_sensor(tmp_path: Path) -> None:
    a1 = "A1: {type: inner-controller, at: box, from: N1.p-1, set: {door: supervised}}"
    site = site_of(tmp_path, CONTACT)
    text = (tmp_path / "small" / "doors" / "D1.yaml").read_text("utf-8")
    assert site.doors["D1"].devices["A1"].set == {}
    text = text.replace("A1: {type: inner-controller, at: box, from: N1.p-1}", a1)
    wiring = wire(tmp_path / "again", CONTACT, others={"D1": text})
    ends = wiring.line_ends
    assert [(e.sensor, e.input) for e in ends] == [("B1", "A1.door")]
    ref = ends[0].ref
    assert ref is not None
    assert wiring.devices[ref].place == "frame"
    pairs = {frozenset((str(c.a), str(c.b))) for c in wiring.conductors}
    assert frozenset({f"{ref}:3", "B1:1"}) in pairs
    assert frozenset({f"{ref}:4", "B1:2"}) in pairs
    assert frozenset({"A1:DOOR", f"{ref}:1"}) in pairs
    cast = wire(tmp_path / "cast", "B1: {type: contact-eol, at: frame, tells: A1.door}", others={"D1": text.replace("contact-plain", "contact-eol")})  # fmt: skip # noqa: E501
    assert [(e.sensor, e.ref) for e in cast.line_ends] == [("B1", None)]


# ---- L10 and joints


def test_three_ends_meet_on_a_strip_and_two_cores_in_a_splice(tmp_path: Path) -> None:
    wiring = wire(
        tmp_path,
        """
        S1: {type: button-30s, at: inside}
        Y1: {type: magnet-24, at: frame, from: FB1.f-1, through: [S1.pole-1, A1.relay]}
        S2: {type: motion, at: inside, from: A1.out}
        S3: {type: motion, at: frame, from: A1.out}
        """,
    )
    kinds = {j.potential: j.kind for j in wiring.junctions}
    by_ends = {j.end: len([c for c in wiring.conductors if j.end in (c.a, c.b)]) for j in wiring.junctions}
    assert {(count, j.kind) for j in wiring.junctions for count in [by_ends[j.end]]} == {(2, "crimp"), (3, "lever")}
    assert kinds


def test_what_is_landed_on_a_flying_lead_is_a_joint_in_its_own_box(tmp_path: Path) -> None:
    wiring = wire(tmp_path, CONTACT)
    assert {(str(j.end), j.lead_colour, j.kind) for j in wiring.lead_joints} == {
        ("B1:1", "WH", "crimp"),
        ("B1:2", "WH", "crimp"),
    }


# ---- wire numbers


def test_numbers_come_from_the_origin(tmp_path: Path) -> None:
    wiring = wire(tmp_path, f"{READER}\n{CONTACT}\nY1: {{type: strike-24-free, at: frame, from: FB1.f-1, through: [A1.relay]}}")
    numbers = {str(end): c.potential for c in wiring.conductors for end in (c.a, c.b)}
    marks = [t.mark for t in wiring.devices["A1"].sheet.terminals]
    assert numbers["B1:1"] == f"A1{marks.index('DOOR') + 1:02d}"
    assert numbers["B1:2"] == f"A1{marks.index('V-') + 1:02d}"  # the first of the tied 0 V terminals
    assert numbers["Y1:-"] == "FB102"
    assert numbers["FB1:F1+"] == "FB103"
    assert all(c.wire[-1].isalpha() for c in wiring.conductors)


def test_a_line_cable_too_small_is_helped_by_a_second_one(tmp_path: Path) -> None:
    """Line, plus and 0 V stay in the screened cable; what has no room goes into a signal cable, and a remark says so."""
    wiring = wire(
        tmp_path,
        "U1: {type: reader-wiegand, at: outside, from: A1.reader, speaks: A1.w1, obeys: {led: A1.led}}",
        site=SITE.replace("line: [cable-4x0.22s, cable-8x0.22s]", "line: cable-4x0.22s"),
    )
    assert {cable.sheet.type for cable in wiring.cables.values()} == {"cable-4x0.22s", "cable-4x0.22"}
    in_line = {c.function for c in wiring.conductors if c.cable and wiring.cables[c.cable].sheet.type == "cable-4x0.22s"}
    assert in_line == {"supply +", "0 V", "data D0", "data D1"}
    assert [(r.code, r.where is not None) for r in wiring.remarks] == [("line-cable-small", True)]


def test_a_lock_circuit_wider_than_any_power_cable_takes_two(tmp_path: Path) -> None:
    wiring = wire(
        tmp_path,
        """
        S1: {type: call-point, at: inside}
        Y1: {type: magnet-24, at: frame, from: FB1.f-1, through: {plus: [S1.pole-1, A1.relay], minus: [S1.pole-2]}}
        """,
        site=SITE.replace("power: [cable-2x1.0, cable-4x1.0]", "power: cable-2x1.0"),
    )
    assert [c.sheet.type for c in wiring.cables.values() if "S1" in c.serves] == ["cable-2x1.0", "cable-2x1.0"]


def test_places_that_no_run_joins_are_refused(tmp_path: Path) -> None:
    lost = SITE.replace("shared:", "runs: {attic: [loft, 3 m]}\nshared:\n  G9: {type: supply-12-local, at: attic, from: mains}")
    with pytest.raises(SpecError, match="run"):  # reading or wiring, whichever finds it first
        wire_door(site := site_of(tmp_path, "S1: {type: motion, at: inside, from: G9.out}", site=lost), site.doors["D1"])

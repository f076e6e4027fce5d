"""Notes beside the drawing: which apply to a door, computed from its wiring."""

from __future__ import annotations

from dataclasses import replace
from functools import cache

import pytest

from tests.drafting.sheet.hand import site
from wiregen.drafting.cautions import cautions_for, run_of
from wiregen.drafting.notes import blocks_for
from wiregen.wiring.model import Wiring
from wiregen.wiring.wire import wire_door


@cache
def wiring(door: str) -> Wiring:
    return wire_door(site(), site().doors[door])


def told(door: str) -> str:
    return "\n".join(cautions_for(site(), site().doors[door], wiring(door)))


def block(door: str, title: str) -> str:
    blocks = {b.title: b for b in blocks_for(site(), site().doors[door], wiring(door))}
    return "\n".join(next((b.lines for t, b in blocks.items() if t.startswith(title)), ()))


@pytest.mark.parametrize("door", sorted(site().doors))
def test_every_door_says_how_to_read_it(door: str) -> None:
    assert "Contacts are drawn without power, the door shut and latched, nobody at it." in told(door)
    assert "A dot joins; a crossing without one does not." in told(door)


def test_seen() -> None:
    assert len(site().doors) >= 16


@pytest.mark.parametrize("door", sorted(site().doors))
def test_cautions_are_those_of_the_wiring(door: str) -> None:
    wired, text = wiring(door), told(door)
    assert ("licensed electrician" in text) == bool(wired.mains)
    locks = {ref for ref, d in wired.devices.items() if d.sheet.is_ == "lock"}
    assert ("Lock power last" in text) == any(c.load in locks for c in wired.chains)
    outside = [ref for ref, d in wired.devices.items() if d.exposed]
    assert ("secured side only" in text) == bool(outside)
    for ref in outside:
        assert ref in text.partition("Within reach from outside: ")[2].partition(".")[0]
    for calmer in wired.calmers:
        if calmer.word == "diode" and calmer.ref and calmer.band_at:
            assert f"band to its {calmer.band_at.terminal}" in text
    assert ("ASSUMED" in text) == any(c.assumed for c in (*wired.cables.values(), *wired.links))
    assert ("found cable" in text) == any(c.existing for c in wired.cables.values())


def test_a_lock_that_must_have_no_diode_says_so() -> None:
    for door in site().doors:
        for ref, device in wiring(door).devices.items():
            if device.sheet.is_ == "lock" and device.sheet.calm and "diode" in device.sheet.calm.never:
                line = next(n for n in told(door).splitlines() if ref.rstrip("0123456789") in n and "diode" in n.lower())
                assert "No diode" in line or "NO DIODE" in line
                return
    raise AssertionError("no lock of the demo forbids a diode")


def test_fire_interface_on_the_sheet_or_before_it() -> None:
    here = [d for d in site().doors if any(w.sheet.is_ == "interface" for w in wiring(d).devices.values())]
    assert here
    for door in here:
        assert "fire-alarm contractor. Put the panel on test first." in told(door)
    assert "Fire release acts at G1, before this sheet, by FA1" in told("D104")


def test_foreign_voltage_of_a_machine() -> None:
    assert "Foreign voltage: M1 feeds contacts of K1." in told("D120")
    assert "Foreign voltage" not in told("D104")


def test_alternating_current_lock() -> None:
    assert "Y1 runs on alternating current" in told("D103")
    assert "alternating current" not in told("D104")


def test_chains_that_are_alike_are_told_once() -> None:
    assert "Chain: FB1 → S1 1-2 → S2 3-4 → A1 COM-NO → Y1." in told("D104")
    assert told("D121").count("Chain:") == 2
    assert "Y1 to Y8" in told("D121")


@pytest.mark.parametrize("door", sorted(site().doors))
def test_lists_are_complete(door: str) -> None:
    wired = wiring(door)
    unused = block(door, "Not used")
    for u in wired.unused:
        if u.is_lead:
            assert f"{u.terminal} {u.colour}" in unused
    assert ("Insulate singly and fold back." in unused) == any(u.is_lead for u in wired.unused)
    assert ("Empty screws: termination sheet." in unused) == any(not u.is_lead for u in wired.unused)
    key = block(door, "Colours")
    for c in wired.conductors:
        for part in c.colour.split("-"):
            assert part in key
    for junction in wired.junctions:
        assert junction.kind in block(door, "Joints")
    for cable in wired.cables.values():
        if cable.spares:
            assert f"{cable.ref} {' '.join(cable.spares)}" in block(door, "Spare cores")
        if cable.sheet.screen:
            assert cable.ref in block(door, "Screens")
    for link in wired.links:
        assert link.ref in block(door, "Plugs")
        assert f"1 {link.sheet.cores[0]}" in block(door, "Plugs")
    for ref, device in wired.devices.items():
        if device.sheet.screw and device.used and device.sheet.screw.torque:
            assert "N·m" in block(door, "Screws"), ref


def test_runs_of_names() -> None:
    assert run_of(["s1", "s2", "s3", "s5", "s7", "s8"]) == "s1 to s3, s5, s7, s8"
    assert run_of(["A1", "A1"]) == "A1"
    assert run_of(["D117/A1", "X"]) == "D117/A1, X"
    assert run_of([]) == ""


def test_own_notes_of_the_door_come_last() -> None:
    door = replace(site().doors["D104"], notes=("mind the step",))
    notes = blocks_for(site(), door, wiring("D104"))[0]
    assert notes.title == "Notes"
    assert notes.first == 1
    assert notes.lines[-1] == "Mind the step."

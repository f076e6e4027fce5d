"""Contacts on the demo sites, and one contact behind which several doors hang."""

from __future__ import annotations

import shutil
from pathlib import Path

import pytest

from tests.demo import site_of
from wiregen.reading.load import load_site
from wiregen.reading.model import Changeover, Site
from wiregen.study.contact import Behind, behind, chained, contact_figures, switched
from wiregen.study.copper import Copper, supplied
from wiregen.study.model import Figure
from wiregen.wiring.wire import wire_door

ROOT = Path(__file__).parents[2] / "door_specs"


def _figures(site: Site, door: str) -> tuple[tuple[Figure, ...], tuple[str, ...]]:
    wiring = wire_door(site, site.doors[door])
    return contact_figures(wiring, behind(site.doors[door], wiring, supplied(site, wiring, Copper(wiring))))


@pytest.fixture(scope="module")
def fernhill() -> Site:
    return site_of("fernhill")


def _named(figures: tuple[Figure, ...], about: str, name: str = "amps through the contact") -> Figure:
    return next(f for f in figures if (f.about, f.name) == (about, name))


def _changed(folder: Path, *changes: tuple[str, str, str]) -> Site:
    """The demo site with texts of its files replaced."""
    for part in ("fernhill", "devices"):
        shutil.copytree(ROOT / part, folder / part)
    for file, old, new in changes:
        path = folder / file
        text = path.read_text(encoding="utf-8")
        assert old in text
        path.write_text(text.replace(old, new), encoding="utf-8")
    return load_site(folder / "fernhill")


def test_a_lock_is_a_coil_and_counts_in_dc_13(fernhill: Site) -> None:
    """12 V +5 % over 40 ohm -5 % against 1.5 A; a magnet at 27.3 V over 104 ohm against the sensor's 0.5 A."""
    relay = _named(_figures(fernhill, "D101")[0], "K1.relay")
    assert (relay.ceiling, relay.most) == pytest.approx((1.5, 12.6 / 38))
    assert relay.bound.startswith("dc-13 1.5 A 30 V")
    sensor = _named(_figures(fernhill, "D104")[0], "S2.chain")
    assert (sensor.ceiling, sensor.value) == pytest.approx((0.5, 27.3 / 104))


def test_alternating_current_counts_as_rms_against_ac_15(fernhill: Site) -> None:
    """12 V and 16 ohm are 9 VA: ac-14, which an ac-15 contact covers."""
    told = _named(_figures(fernhill, "D103")[0], "A1.relay")
    assert (told.value, told.ceiling) == pytest.approx((0.75, 1.0))
    assert told.bound.startswith("ac-15")


def test_contacts_in_series_on_one_input_carry_its_current(fernhill: Site) -> None:
    """5 V over 2.2 kohm through B1 and through B2, which tells B1."""
    figures, _ = _figures(fernhill, "D107")
    for contact in ("B1.tell", "B2.tell"):
        told = _named(figures, contact)
        assert told.value == pytest.approx(5 / 2200)
        assert told.bound.startswith("dc-12")


def test_what_another_firm_puts_on_a_relay(fernhill: Site) -> None:
    """The lift wets each button's contact with 24 V and 15 mA."""
    figures, _ = _figures(fernhill, "D120")
    assert _named(figures, "K1.c-3").value == pytest.approx(0.015)
    assert _named(figures, "K1.c-3", "volts that it breaks").value == 24


def test_an_input_without_pull_up_is_named() -> None:
    site = site_of("annex")
    missing = _figures(site, "D119")[1]
    key = "data sheet gate-operator gives no pull-up (groups: {open: {pull-up: 2.2 kohm to 5 V}})"
    assert any(m.startswith("what M1.open puts on the contact that it reads") and key in m for m in missing)


def test_a_rating_that_is_missing_is_named(tmp_path: Path) -> None:
    site = _changed(tmp_path, ("devices/inside-board.yaml", "dc-12: 3 A 30 V, dc-13: 1.5 A 30 V", "dc-12: 3 A 30 V"))
    figures, missing = _figures(site, "D101")
    assert _named(figures, "K1.relay").margin is None
    assert "inside-board gives no dc-13 rating (groups: {relay: {rating: {dc-13: 1 A 30 V}}})" in missing[0]


def test_latch_bar_through_a_controllers_relay_wants_an_external_one(tmp_path: Path) -> None:
    """Common practice, no source: the peak of a latch bar does not go through the controller's relay (commonly 2 A 30 V DC)."""
    site = _changed(tmp_path, ("fernhill/doors/D108.yaml", "from: G3.bar-1,", "from: G3.bar-1, through: [A1.relay-2],"))
    figures, _ = _figures(site, "D108")
    told = _named(figures, "A1.relay-2", "inrush through the contact")
    assert told.most == pytest.approx(16)
    assert told.margin == pytest.approx(-15)
    assert "an external relay" in told.cure
    assert "dc-13, 16 A or more" in told.cure
    assert "a series limiter of 25 ohm cold and more" in told.cure  # 24.96 V over 1 A


def test_a_contact_outside_wants_a_board_inside(tmp_path: Path) -> None:
    site = _changed(
        tmp_path,
        ("fernhill/doors/D101.yaml", "through: [K1.relay]", "through: [A1.relay]"),
        ("devices/reader-controller.yaml", "dc-13: 0.8 A 30 V", "dc-13: 0.2 A 30 V"),
    )
    told = _named(_figures(site, "D101")[0], "A1.relay")
    assert told.margin is not None
    assert told.margin < 0
    assert "an isolation board on the secured side" in told.cure


def test_a_coil_without_a_calmer_must_settle_in_time(tmp_path: Path) -> None:
    """3 L/R against 6 ms for each of its watts: 0.18 H and 40 ohm 13.5 ms, 11.4² / 42 W 18.6 ms."""
    site = _changed(
        tmp_path, ("fernhill/doors/D101.yaml", "type: strike-12, at: frame,", "type: strike-12, at: frame, calm: none,")
    )
    told = _named(_figures(site, "D101")[0], "K1.relay", "95 % time of Y1.coil")
    assert (told.value, told.ceiling) == pytest.approx((13.5e-3, 6e-3 * 11.4**2 / 42))


def test_one_fire_contact_with_all_that_it_drops(fernhill: Site) -> None:
    """Six magnets of 0.26 A on a contact of 2 A (dc-13): 6 x 27.57 V / 98.8 ohm; eight of them are too many."""
    loads: list[Behind] = []
    for door in ("D104", "D116", "D117"):
        wiring = wire_door(fernhill, fernhill.doors[door])
        known = behind(fernhill.doors[door], wiring, supplied(fernhill, wiring, Copper(wiring)))
        loads += [load.of(door) for load in known["Y1", "coil"]]
    contact = fernhill.shared["FA1"].sheet
    group = contact.groups["c-1"]
    assert isinstance(group, Changeover)
    figures, missing = switched("FA1", contact, group, [load.of(f"{n}") for n in range(2) for load in loads])
    assert not missing
    told = _named(figures, "FA1.c-1")
    assert told.most == pytest.approx(6 * 27.573 / 98.8)
    assert len(told.inputs) == 6
    assert told.margin is not None
    assert told.margin > 0
    more, _ = switched("FA1", contact, group, [load.of(f"{n}") for n in range(3) for load in loads])
    assert (_named(more, "FA1.c-1").margin or 0) < 0


def test_what_hangs_behind_each_contact_of_a_door(fernhill: Site) -> None:
    wiring = wire_door(fernhill, fernhill.doors["D107"])
    found = chained(wiring, behind(fernhill.doors["D107"], wiring, supplied(fernhill, wiring, Copper(wiring))))
    assert {key: [b.name for b in of] for key, of in found.items()} == {
        ("S2", "chain"): ["K1.coil"], ("A1", "relay"): ["K1.coil"], ("S1", "pole-1"): ["Y1.coil"], ("K1", "c-1"): ["Y1.coil"],
        ("S1", "pole-2"): ["Y2.coil"], ("K1", "c-2"): ["Y2.coil"],
    }  # fmt: skip


def test_a_bare_coil_has_no_inrush(fernhill: Site) -> None:
    """Common practice, no source: a bare coil's current rises to V/R; only a magnet with electronics surges."""
    assert not [f for f in _figures(fernhill, "D104")[0] if f.name.startswith("inrush")]


def test_the_surge_of_a_magnet_with_electronics_wants_a_limiter(tmp_path: Path) -> None:
    """Common practice, no source: up to 20 times its rating when powered, and a series limiter tames it.

    A relay that makes 1 A: 10 ohm -20 % let 24.72 V / 8.3 ohm in, 40 ohm -20 % no more than 24.72 V / 32.3 ohm.
    """
    spec = "fernhill/doors/D106.yaml"
    smart = (spec, "type: magnet-24-bare, at: frame,", "type: magnet-24-smart, at: frame,")
    told = _named(_figures(_changed(tmp_path / "thin", smart), "D106")[0], "A1.relay", "inrush through the contact")
    assert told.most == pytest.approx(24.72 / 8.3)
    assert told.most <= 20 * 0.24
    assert told.margin == pytest.approx(1 - 24.72 / 8.3)
    assert "a series limiter of 25 ohm cold and more" in told.cure
    thick = ("devices/limiter-2.yaml", "cold: 10 ohm", "cold: 40 ohm")
    told = _named(_figures(_changed(tmp_path / "thick", smart, thick), "D106")[0], "A1.relay", "inrush through the contact")
    assert told.most == pytest.approx(24.72 / 32.3)
    assert told.margin is not None
    assert told.margin > 0

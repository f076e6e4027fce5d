"""Data lines, screens and Ethernet channels on the demo sites, and on doors that reach too far."""

from __future__ import annotations

import shutil
from pathlib import Path

import pytest

from tests.demo import site_of
from wiregen.reading.load import load_site
from wiregen.reading.model import Site
from wiregen.study.ethernet import channels
from wiregen.study.model import Figure
from wiregen.study.signal import Pair, signals
from wiregen.wiring.wire import wire_door

ROOT = Path(__file__).parents[2] / "door_specs"

Told = tuple[tuple[Figure, ...], tuple[Pair, ...], tuple[str, ...]]


def _told(site: Site, door: str) -> Told:
    wiring = wire_door(site, site.doors[door])
    figures, pairs, missing = signals(site, wiring)
    return (*figures, *channels(wiring)), pairs, missing


@pytest.fixture(scope="module")
def fernhill() -> Site:
    return site_of("fernhill")


def _named(figures: tuple[Figure, ...], start: str) -> Figure:
    return next(f for f in figures if f.name.startswith(start))


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


def test_a_line_with_both_ends_in(fernhill: Site) -> None:
    """45 m of travelling cable at 39 ohm/km there and back: 120 ohm beside 123.51 ohm, and three receivers."""
    figures, (pair,), _ = _told(fernhill, "D120")
    assert pair.resistors == 2
    assert pair.ohms.value == pytest.approx(1 / (1 / 120 + 1 / 123.51 + 3 / 96e3))
    assert _named(figures, "length of the data line").value == 45
    assert _named(figures, "devices on the data line").value == 3


@pytest.mark.parametrize(("metres", "ohms"), [("4 m", 60.0), ("1200 m", 87.0)])
def test_ohms_across_an_unpowered_pair(tmp_path: Path, metres: str, ohms: float) -> None:
    """Common practice, no source: 60 ohm across a short line, 87 over 1200 m of 24 AWG, with 120 ohm at both ends."""
    site = _changed(
        tmp_path,
        ("fernhill/doors/D104.yaml", "outside: [box, 4 m]", f"outside: [box, {metres}]"),
        ("devices/cable-4x0.22s.yaml", "size: 0.22 mm2\nstranded: 7 x 0.2 mm", "size: 24 AWG\nstranded: solid"),
    )
    _, (pair,), _ = _told(site, "D104")
    assert pair.ohms.value == pytest.approx(ohms, abs=0.5)
    assert pair.ohms.least < ohms < pair.ohms.most


def test_a_third_end_resistor_loads_the_driver_too_much(tmp_path: Path) -> None:
    site = _changed(
        tmp_path, ("fernhill/doors/D120.yaml", "set: {address: 1, line-end: out}", "set: {address: 1, line-end: in}")
    )
    _, (pair,), _ = _told(site, "D120")
    assert pair.resistors == 3
    assert pair.ohms.value < 54
    assert pair.ohms.margin is not None
    assert pair.ohms.margin < 0


def test_a_line_through_a_protector_has_two_devices_and_one_resistor() -> None:
    figures, (pair,), _ = _told(site_of("annex"), "D119")
    assert pair.resistors == 1
    assert _named(figures, "devices on the data line").value == 2
    assert _named(figures, "length of the data line").value == pytest.approx(240 * 0.3048)


def test_more_devices_than_a_controller_takes(tmp_path: Path) -> None:
    site = _changed(tmp_path, ("devices/inner-controller.yaml", "drops: 4", "drops: 1"))
    told = _named(_told(site, "D120")[0], "devices on the data line")
    assert told.margin == pytest.approx(-0.5)


def test_wiegand_by_the_section_or_by_what_the_maker_allows(fernhill: Site, tmp_path: Path) -> None:
    """0.22 mm² is thinner than 22 AWG, 0.326 mm²: 200 ft x 0.22 / 0.326 is 41.2 m; the demo's reader says 120 m."""
    told = _named(_told(fernhill, "D118")[0], "length of the Wiegand line")
    assert (told.value, told.ceiling) == (27, 120)
    site = _changed(tmp_path, ("devices/reader-wiegand.yaml", ", reach: 120 m", ""))
    told = _named(_told(site, "D118")[0], "length of the Wiegand line")
    assert told.ceiling == pytest.approx(60.96 * 0.22 / 0.3255, rel=1e-3)
    assert told.margin is not None
    assert told.margin > 0
    told = _named(_told(site, "D102")[0], "length of the Wiegand line")  # "about 40 m": 20 % more may come
    assert told.most == pytest.approx(43 * 1.2)
    assert told.margin is not None
    assert told.margin < 0


SERIAL = (
    "devices/inner-controller.yaml",
    "w1: {kind: line, protocol: wiegand, d0: D0, d1: D1,",
    "w1: {kind: line, protocol: rs-232, tx: D0, rx: D1,",
)
READER = (
    "fernhill/doors/D103.yaml",
    "type: reader-wiegand, at: outside, from: A1.reader, speaks: A1.w1, obeys: {led: A1.led},",
    "type: reader-serial, at: outside, from: A1.reader, speaks: A1.w1,",
)


def test_rs_232_by_capacitance_and_speed(tmp_path: Path) -> None:
    """10 m at 164 pF/m and 200 pF of the ends are 1.84 nF of 2.5 nF; at 19200 bit/s 50 ft, where a data sheet gives a speed."""
    figures, _, missing = _told(_changed(tmp_path / "a", SERIAL, READER), "D103")
    load = _named(figures, "capacitance of the RS-232 line")
    assert load.value == pytest.approx(1.84e-9)
    assert "no source" in load.note
    assert "reader-serial gives none (groups: {line: {speed: 9600}})" in missing[0]
    speed = ("devices/reader-serial.yaml", "protocol: rs-232,", "protocol: rs-232, speed: 38400,")
    cable = ("devices/old-8x0.3.yaml", "size: 0.3 mm2", "size: 0.3 mm2\ncapacitance: 90 pF")
    figures, _, missing = _told(_changed(tmp_path / "b", SERIAL, READER, speed, cable), "D103")
    assert not missing
    assert _named(figures, "capacitance of the RS-232 line").value == pytest.approx(1.1e-9)
    length = _named(figures, "length of the RS-232 line")
    assert (length.value, length.ceiling) == pytest.approx((10, 7.62))
    assert (length.margin or 0) < 0


def test_an_ethernet_channel_through_a_panel(fernhill: Site) -> None:
    """A cord and 55 m; behind the panel 90 m are allowed, in all 100."""
    figures, _, _ = _told(fernhill, "D104")
    whole, laid = _named(figures, "Ethernet channel"), _named(figures, "laid cable")
    assert (whole.value, whole.most, whole.ceiling) == (57, 60, 100)
    assert (laid.value, laid.ceiling) == (55, 90)


def test_a_mid_span_leads_on_and_a_switch_does_not(fernhill: Site) -> None:
    assert _named(_told(fernhill, "D112")[0], "Ethernet channel").value == 73
    assert [f.about for f in _told(fernhill, "D122")[0] if f.name.startswith("Ethernet")] == ["A1", "A2"]


def test_a_channel_that_is_too_long(tmp_path: Path) -> None:
    site = _changed(tmp_path, ("fernhill/doors/D104.yaml", "box: [closet-1, 55 m]", "box: [closet-1, 96 m]"))
    figures, _, _ = _told(site, "D104")
    assert (_named(figures, "laid cable").margin or 0) < 0
    assert (_named(figures, "Ethernet channel").margin or 0) < 0  # with a cord of 5 m


def test_a_screen_is_landed_at_one_end_at_most(fernhill: Site) -> None:
    seen = 0
    for site in (fernhill, site_of("annex")):
        for door in site.doors:
            for told in _told(site, door)[0]:
                if told.name.startswith("landed ends"):
                    assert told.value in (0, 1)
                    assert told.note
                    seen += 1
    assert seen > 20

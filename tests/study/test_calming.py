"""Calming on the demo sites, and on doors with each kind of calmer."""

from __future__ import annotations

import re
import shutil
from pathlib import Path

import pytest

from tests.demo import site_of
from wiregen.reading.load import load_site
from wiregen.study.calming import calming
from wiregen.study.copper import Copper, supplied
from wiregen.study.model import Figure, Release
from wiregen.wiring.wire import wire_door

ROOT = Path(__file__).parents[2] / "door_specs"

Told = tuple[tuple[Figure, ...], tuple[Release, ...], tuple[str, ...]]


@pytest.fixture(scope="module")
def told() -> dict[str, Told]:
    found = {}
    for folder in ("fernhill", "annex"):
        site = site_of(folder)
        for door in site.doors.values():
            wiring = wire_door(site, door)
            found[door.id] = calming(site, wiring, supplied(site, wiring, Copper(wiring)))
    return found


def _like_d101(folder: Path, lock: str, sheets: dict[str, str], more: str = "") -> Told:
    """The strike door with another lock, and with more data sheets in the site."""
    shutil.copytree(ROOT / "fernhill", folder / "fernhill")
    shutil.copytree(ROOT / "devices", folder / "devices")
    for name, text in sheets.items():
        (folder / "devices" / f"{name}.yaml").write_text(text, encoding="utf-8")
    spec = folder / "fernhill" / "doors" / "D101.yaml"
    text = re.sub(r"type: strike-12, at: frame,", f"type: {lock}, at: frame,{more}", spec.read_text(encoding="utf-8"))
    spec.write_text(re.sub(r"want: .*", "want: {idle: held}", text), encoding="utf-8")
    site = load_site(folder / "fernhill")
    wiring = wire_door(site, site.doors["D101"])
    return calming(site, wiring, supplied(site, wiring, Copper(wiring)))


def _of(figures: tuple[Figure, ...], start: str) -> Figure:
    return next(f for f in figures if f.name.startswith(start))


def test_both_cases_are_in_the_demo(told: dict[str, Told]) -> None:
    """With an inductance there are curves; without one the sizes, and the data sheet to add it to."""
    _, curves, missing = told["D101"]
    assert [c.device for c in curves] == ["Y1"]
    assert not missing
    figures, curves, missing = told["D110"]
    assert not curves
    assert "Y1" in missing[0]
    assert "data sheet mortise-24 gives no inductance (inside: - {coil: ..., inductance: ...})" in missing[0]
    assert _of(figures, "amps through R1 (diode)").value == pytest.approx(27.3 / 110)


def test_a_diode_by_hand(told: dict[str, Told]) -> None:
    """180 mH and 40 ohm at 12 V to 1.5 V: 4.5 ms ln(12.8 / 2.3) = 7.72 ms; 400 V for 126 V and 1 A for at most 12.6/38 A."""
    figures, _, _ = told["D101"]
    assert _of(figures, "release time with R1 (diode)").value == pytest.approx(7.724e-3, rel=1e-3)
    assert _of(figures, "energy in the coil").value == pytest.approx(0.5 * 0.18 * 0.09)
    assert _of(figures, "reverse volts").margin == pytest.approx((400 - 126) / 400)
    assert _of(figures, "amps through").margin == pytest.approx(1 - 12.6 / 38)
    assert _of(figures, "volts across the opening contact with R1").value == pytest.approx(12.8)


def test_a_magnet_that_must_not_have_a_diode_would_take_long_with_one(told: dict[str, Told]) -> None:
    figures, _, _ = told["D104"]
    diode = _of(figures, "release time with a diode-1a instead")
    assert "must never have one" in diode.note
    assert diode.value > 5 * _of(figures, "release time with the varistor inside").value


def test_curves_fall_from_the_hold_current_to_nothing(told: dict[str, Told]) -> None:
    seen = 0
    for _, curves, _ in told.values():
        for release in curves:
            assert [c.label for c in release.curves][-1] == "without calmer"
            assert len({c.seconds[-1] for c in release.curves}) == 1
            for curve in release.curves:
                assert curve.seconds[0] == 0
                assert len(curve.seconds) == len(curve.amps)
                assert all(a >= b for a, b in zip(curve.amps, curve.amps[1:], strict=False))
                assert curve.amps[-1] == pytest.approx(0, abs=1e-9)
                seen += 1
            assert release.lets_go is not None
            assert 0 < release.lets_go < release.curves[0].amps[0]
    assert seen > 20


def test_the_curve_crosses_the_let_go_current_at_the_release_time(told: dict[str, Told]) -> None:
    """1.5 V over 40 ohm is the nominal let-go current of the strike."""
    figures, (release,), _ = told["D101"]
    curve = release.curves[0]
    after = next(s for s, a in zip(curve.seconds, curve.amps, strict=True) if a <= 1.5 / 40)
    assert after == pytest.approx(_of(figures, "release time with R1").value, abs=curve.seconds[1])


def test_alternating_current_has_no_release_time(told: dict[str, Told]) -> None:
    figures, curves, missing = told["D103"]
    assert not curves
    assert "where in the wave" in missing[0]
    assert _of(figures, "working volts at R1 (varistor)").value == pytest.approx(12 * 2**0.5)


def test_what_is_fitted_inside_and_not_told_is_named(told: dict[str, Told]) -> None:
    assert "latch-bar-coil does not tell what is fitted inside" in told["D108"][2][0]


def test_a_limiter_cold_and_warm(tmp_path: Path) -> None:
    """12 V over 10 ohm and 0.3 ohm; 0.48 A through 0.6 ohm."""
    figures, _, missing = _like_d101(tmp_path, "magnet-12-smart", {})
    rush = _of(figures, "inrush through the cold limiter")
    assert (rush.value, rush.most) == pytest.approx((12 / 10.3, 12.6 / 8.3))
    cost = _of(figures, "volts that R1 (limiter) costs at hold")
    assert cost.value == pytest.approx(0.6 * 0.48)
    assert cost.ceiling == pytest.approx(11.4 - 11.2)
    assert cost.margin is not None
    assert cost.margin < 0  # 5 % under 12 V leaves too little for it
    assert _of(figures, "heat of R1").value == pytest.approx(0.6 * 0.48**2)
    assert _of(figures, "energy that R1 (limiter) takes").value == pytest.approx(0.5 * 220e-6 * 144)
    assert "names no coil" in missing[-1]


def test_a_limiter_against_the_peak_of_its_supply(tmp_path: Path) -> None:
    """12 V and 1.5 A want 8 ohm; a limiter of 10 ohm -20 % has them, at 12.6 V it lacks 0.4 ohm."""
    sheet = (ROOT / "devices" / "reader-controller.yaml").read_text(encoding="utf-8")
    peaked = sheet.replace("limit: 520 mA,", "limit: 520 mA, peak: 1.5 A 20 ms,")
    figures, _, _ = _like_d101(tmp_path, "magnet-12-smart", {"reader-controller": peaked})
    told = _of(figures, "least cold ohms of R1 (limiter) for A1.out")
    assert (told.value, told.ceiling) == pytest.approx((8.0, 8.0))
    assert told.margin == pytest.approx(-0.4 / 8)


def _calmer(type_: str, marks: str, part: str) -> str:
    return f"type: {type_}\nis: calmer\nname: {type_}\nterminals: {{{marks}}}\ninside:\n  - {{{part}}}\n"


RC = _calmer("rc-1", "a: bare, b: bare", "rc: [a, b], resistance: 100 ohm ±5 %, capacitance: 220 nF ±10 %")
ZENER = _calmer("zener-1", "K: bare, A: bare", "zener: [A, K], clamps: 25 V ±5 %, rating: 1 A 200 V")
BARE = _calmer("diode-x", "K: bare, A: bare", "diode: [A, K]")


def test_resistor_and_capacitor(tmp_path: Path) -> None:
    """100 ohm and 220 nF at 0.3 A: 30 V at once, then at most 12 V + 0.3 A sqrt(0.18 H / 220 nF)."""
    figures, curves, _ = _like_d101(tmp_path, "strike-12", {"rc-1": RC}, " calm: rc-1,")
    assert _of(figures, "volts across R1 (rc) as the contact opens").value == pytest.approx(30)
    assert _of(figures, "volts across the opening contact with R1 (rc)").value == pytest.approx(
        12 + 0.3 * (0.18 / 220e-9) ** 0.5
    )
    took = _of(figures, "release time with R1 (rc)")
    assert took.hand is not None
    assert 0 < took.least < took.value < took.most < 2 * took.hand
    assert [c.label for c in curves[0].curves] == ["with R1 (rc)", "without calmer"]


def test_a_zener_is_faster_than_a_diode(tmp_path: Path) -> None:
    """4.5 ms ln(37 / 26.5)."""
    figures, _, _ = _like_d101(tmp_path, "strike-12", {"zener-1": ZENER}, " calm: zener-1,")
    assert _of(figures, "release time with R1 (zener)").value == pytest.approx(4.5e-3 * 0.33377, rel=1e-4)
    assert _of(figures, "release time with a diode-1a instead").value == pytest.approx(7.724e-3, rel=1e-3)
    assert _of(figures, "reverse volts").margin == pytest.approx(0.37)


def test_a_diode_without_a_rating_is_named(tmp_path: Path) -> None:
    figures, _, missing = _like_d101(tmp_path, "strike-12", {"diode-x": BARE}, " calm: diode-x,")
    assert _of(figures, "reverse volts").margin is None
    assert "data sheet diode-x gives no amps and volts (inside: - {diode: ..., rating: 1 A 400 V})" in missing[0]

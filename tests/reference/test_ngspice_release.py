"""How a coil's current dies away, against ngspice's transient analysis (a Debian package of that name), within 1 %.

A supply, a contact that opens, a coil from node a to ground, and what tames it across the coil.
"""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import numpy as np
import pytest
from numpy.typing import NDArray

from bench.spice import PROGRAM, run
from wiregen.study.decay import CLAMPED, RELEASE, fall, ring, rung_time, varistor_volts

pytestmark = pytest.mark.skipif(
    PROGRAM is None, reason="ngspice is not installed (Debian: apt install ngspice): not checked against it"
)

VOLTS, OHMS, HENRIES = 24.0, 96.0, 0.8  # a strike of 0.25 A
AMPS, LETS_GO = VOLTS / OHMS, 4.8
SATURATION, SLOPE = 7e-9, 8.617333e-5 * 300.15 * 1.8  # of a rectifier, at ngspice's own 27 °C
SHARP = ".model sharp D(is=1e-14 n=0.001)"  # next to no volts of its own
Amps = NDArray[np.float64]


def decay(tames: str, seconds: float, folder: Path) -> tuple[Amps, Amps, Amps]:
    """Seconds since the contact opened, amperes of the coil, and volts across it."""
    run(
        f"""* a coil and its contact
vsupply p 0 {VOLTS}
vgate gate 0 pulse(1 0 0 1n 1n 1 2)
scontact p a gate 0 contact
.model contact SW(ron=1e-3 roff=1e9 vt=0.5 vh=0.1)
vsense a s 0
rcoil s b {OHMS}
lcoil b 0 {HENRIES} ic={AMPS}
{tames}
.options reltol=1e-6 abstol=1e-9
.control
set wr_vecnames
tran {seconds / 4000} {seconds} 0 {seconds / 4000} uic
wrdata {folder}/decay.data i(vsense) v(a)
quit 0
.endc
.end
""",
        folder,
    )
    table = np.loadtxt(folder / "decay.data", skiprows=1)
    return table[:, 0], table[:, 1], table[:, 3]


@pytest.mark.parametrize("clamp", [0.8, 15.0, 40.0])
def test_diode_and_clamp_with_their_volts_held_still(clamp: float, tmp_path: Path) -> None:
    """The closed form: when the current is down to where the lock lets go, the whole curve, and what the clamp takes up."""
    took = RELEASE(inductance=HENRIES, resistance=OHMS, volts=VOLTS, clamp=clamp, lets_go=LETS_GO)
    curve = fall("", HENRIES, OHMS, AMPS, lambda i: np.full_like(i, clamp))
    seconds, amps, volts = decay(f"dclamp 0 c sharp\nvclamp c a {clamp}\n{SHARP}", curve.seconds[-1] * 1.1, tmp_path)
    assert seconds[np.argmax(amps <= LETS_GO / OHMS)] == pytest.approx(took, rel=0.01)
    assert np.abs(np.interp(curve.seconds, seconds, amps) - np.array(curve.amps)).max() < 0.01 * AMPS
    carries = (amps > 1e-6) & (volts < 0)
    joules = np.trapezoid(np.where(carries, clamp * amps, 0.0), seconds)
    assert joules == pytest.approx(CLAMPED(inductance=HENRIES, resistance=OHMS, clamp=clamp, amps=AMPS), rel=0.01)


@pytest.mark.parametrize(
    ("tames", "clamp"),
    [
        (f"d1 0 a rectifier\n.model rectifier D(is={SATURATION} n=1.8)", lambda i: SLOPE * np.log1p(i / SATURATION)),
        (  # with the stray capacitance that no winding is without: the contact opens in no time
            "bvaristor 0 a i=1e-3*sgn(v(0,a))*pow(abs(v(0,a))/47,25)\ncstray a 0 100p ic=24",
            lambda i: varistor_volts(47.0, i),
        ),
    ],
    ids=["rectifier", "varistor"],
)
def test_clamps_whose_volts_follow_the_current(tames: str, clamp: Callable[[Amps], Amps], tmp_path: Path) -> None:
    curve = fall("", HENRIES, OHMS, AMPS, clamp)
    seconds, amps, _ = decay(tames, curve.seconds[-1], tmp_path)
    assert np.abs(np.interp(curve.seconds, seconds, amps) - np.array(curve.amps)).max() < 0.01 * AMPS


def test_resistor_and_capacitor(tmp_path: Path) -> None:
    """It rings: the curve, and when the current first is down to where the lock lets go."""
    series, farads = 100.0, 1e-6
    curve = ring("", HENRIES, OHMS, series, farads, VOLTS)
    seconds, amps, _ = decay(f"rc a c {series}\ncc c 0 {farads} ic={VOLTS}", curve.seconds[-1], tmp_path)
    assert np.abs(np.interp(curve.seconds, seconds, amps) - np.array(curve.amps)).max() < 0.01 * AMPS
    took = rung_time(HENRIES, OHMS, series, farads, VOLTS, LETS_GO)
    assert seconds[np.argmax(amps <= LETS_GO / OHMS)] == pytest.approx(took, rel=0.01)

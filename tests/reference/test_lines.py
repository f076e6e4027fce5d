"""What data lines carry, against their standards and common guidance."""

from __future__ import annotations

import pytest

from wiregen.reading.quantity import awg_area
from wiregen.study import ethernet, signal
from wiregen.study.conductor import RESISTIVITY

FOOT = 0.3048


@pytest.mark.parametrize(("gauge", "feet"), [(18, 500), (20, 300), (22, 200)])
def test_wiegand_by_gauge(gauge: int, feet: int) -> None:
    """SIA AC-01-1996.10, from memory: 500 ft of 18 AWG, 300 ft of 20 AWG, 200 ft of 22 AWG."""
    assert signal.wiegand_reach(awg_area(gauge))[0] == pytest.approx(feet * FOOT)
    assert signal.wiegand_reach(awg_area(gauge) * 1.2)[0] == pytest.approx(feet * FOOT)


def test_wiegand_on_thinner_cores_is_in_proportion() -> None:
    """Common practice, no source: the three lengths of the standard have about the same ohms, 6.1 to 6.5 going and coming."""
    ohms = [2 * RESISTIVITY * reach / awg_area(gauge) for gauge, reach in signal.WIEGAND.items()]
    assert min(ohms) > 6.0
    assert max(ohms) < 6.6
    reach, bound = signal.wiegand_reach(awg_area(24))
    assert 2 * RESISTIVITY * reach / awg_area(24) == pytest.approx(ohms[-1])
    assert "no source" in bound


def test_rs_485() -> None:
    """TIA-485-A: 32 unit loads, of 12 kohm at least, 1.5 V into 54 ohm; 4000 ft or 1200 m is common guidance."""
    assert (signal.RS_485_DEVICES, signal.RECEIVER.least, signal.RS_485_OHMS) == (32, 12e3, 54)
    assert abs(signal.RS_485_METRES - 4000 * FOOT) < 20


@pytest.mark.parametrize(("speed", "feet"), [(19200, 50), (9600, 100), (4800, 200), (2400, 400)])
def test_rs_232_halving_rule(speed: int, feet: int) -> None:
    """Common guidance: 50 ft at 19200 bit/s, twice as far at each half."""
    assert signal.RS_232_METRES(speed=float(speed), **signal.RS_232_AT) == pytest.approx(feet * FOOT)


@pytest.mark.parametrize(("picofarads_per_foot", "feet"), [(50, 46), (17, 135)])
def test_rs_232_capacitance(picofarads_per_foot: float, feet: float) -> None:
    """TIA-232-F, 2500 pF: (2500 - 100 - 100) / 50 = 46 ft of cable; at 17 pF/ft 135 ft (147 ft with nothing for the ends)."""
    metre = picofarads_per_foot * 1e-12 / FOOT
    full = signal.CAPACITANCE(ends=signal.RS_232_ENDS, per_metre=metre, length=feet * FOOT)
    assert full == pytest.approx(signal.RS_232_FARADS, rel=0.005)
    assert signal.CAPACITANCE(ends=0.0, per_metre=17e-12 / FOOT, length=147 * FOOT) == pytest.approx(2500e-12, rel=0.005)
    assert pytest.approx(50e-12 / FOOT, rel=0.005) == signal.PER_METRE.most


def test_ethernet_channel() -> None:
    """TIA-568: 100 m of channel, 90 m of it laid and 10 m of cords."""
    assert (ethernet.CHANNEL, ethernet.LAID) == (100, 90)

"""Power over Ethernet against the tables of IEEE 802.3-2022 (clauses 33 and 145), read in excerpts, and worked examples."""

from __future__ import annotations

from typing import NamedTuple

import pytest

from wiregen.reading.quantity import band
from wiregen.study.conductor import copper
from wiregen.study.poe import AMPS, AT_DEVICE, AT_PORT, CLASSES, GRANTED, LINK_OHMS, LOSS, NEEDED, PER_WIRE

FOOT = 0.3048


class Row(NamedTuple):
    class_: int
    port: float  # W at the port
    device: float  # W at the device
    type_: int
    volts: float  # V, least of the type
    ohms: float  # most of the channel: one pair set of Cat 3 (20) or Cat 5 (12.5), or two of Cat 5 side by side
    amps: float  # worked out here from the columns before, as are the next two
    loss: float
    arrives: float


TABLE = (
    Row(1, 4.0, 3.84, 1, 44, 20, 0.0909, 0.165, 3.835),
    Row(2, 7.0, 6.49, 1, 44, 20, 0.1591, 0.506, 6.494),
    Row(3, 15.4, 12.95, 1, 44, 20, 0.3500, 2.450, 12.950),
    Row(4, 30, 25.5, 2, 50, 12.5, 0.6000, 4.500, 25.500),
    Row(5, 45, 40, 3, 50, 6.25, 0.9000, 5.063, 39.94),
    Row(6, 60, 51, 3, 50, 6.25, 1.2000, 9.000, 51.00),
    Row(7, 75, 62, 4, 52, 6.25, 1.4423, 13.00, 62.00),
    Row(8, 90, 71.3, 4, 52, 6.25, 1.7308, 18.72, 71.28),
)
# Type: V of the port, V of the device, A of a pair set
TYPES = {1: (44, 57, 37, 0.350), 2: (50, 57, 42.5, 0.600), 3: (50, 57, 42.5, 0.600), 4: (52, 57, 41.1, 0.960)}


@pytest.mark.parametrize("row", TABLE, ids=lambda r: f"class {r.class_}")
def test_classes(row: Row) -> None:
    allows, (least, most, device, per_set) = CLASSES[row.class_], TYPES[row.type_]
    assert (allows.port_watts, allows.device_watts) == (row.port, row.device)
    assert (allows.port_volts.least, allows.port_volts.most, allows.device_least) == (least, most, device)
    assert allows.amps == pytest.approx(per_set * allows.pair_sets)
    assert allows.pair_sets == (1 if row.class_ <= 4 else 2)  # single-signature devices: two pair sets from class 5 on


@pytest.mark.parametrize("row", TABLE, ids=lambda r: f"class {r.class_}")
def test_what_arrives_is_what_the_port_sends_less_the_loss_of_the_longest_channel(row: Row) -> None:
    """The watts at the device in the standard are P - (P / V)^2 R at the least volts and the most ohms."""
    amps = AMPS(watts=row.port, volts=row.volts)
    loss = LOSS(amps=amps, ohms=row.ohms)
    assert (amps, loss) == pytest.approx((row.amps, row.loss), rel=1e-3, abs=6e-4)
    assert row.port - loss == pytest.approx(row.arrives, abs=0.006)
    assert CLASSES[row.class_].device_watts == pytest.approx(row.arrives, abs=0.07)


@pytest.mark.parametrize("row", TABLE, ids=lambda r: f"class {r.class_}")
def test_the_same_from_the_device_back_to_the_port(row: Row) -> None:
    """Constant power: the watts at the device, over the longest channel, are the watts of the class at the port again."""
    volts = AT_DEVICE(volts=row.volts, watts=row.device, ohms=row.ohms)
    loss = LOSS(amps=AMPS(watts=row.device, volts=volts), ohms=row.ohms)
    assert AT_PORT(watts=row.device, loss=loss) == pytest.approx(row.port, abs=0.15)
    assert volts >= CLASSES[row.class_].device_least - 0.06


# W, V, ohm → V at the device, A, W lost in the cable: "PoE system power equations", worked out here
@pytest.mark.parametrize(
    ("watts", "sent", "ohms", "volts", "amps", "loss"),
    [(12.95, 44, 20, 37.00, 0.350, 2.450), (25.5, 54, 12.5, 47.25, 0.5396, 3.640), (12.95, 48, 12.5, 44.35, 0.2920, 1.066)],
)
def test_constant_power(watts: float, sent: float, ohms: float, volts: float, amps: float, loss: float) -> None:
    told = AT_DEVICE(volts=sent, watts=watts, ohms=ohms)
    current = AMPS(watts=watts, volts=told)
    assert (told, current, LOSS(amps=current, ohms=ohms)) == pytest.approx((volts, amps, loss), rel=5e-4)
    assert told * current == pytest.approx(watts)
    assert told == pytest.approx(sent - ohms * current)


def test_a_load_that_no_volts_can_carry_fails_its_floor() -> None:
    """Over 60 ohm 50 V carries at most 50^2 / 240 = 10.4 W; beyond there is no solution, and the figure is below any floor."""
    assert AT_DEVICE(volts=50, watts=10.5, ohms=60) < min(c.device_least for c in CLASSES.values())


def test_ohms_of_a_channel() -> None:
    """0.125 ohm/m of a pair set (power equations of a maker): 100 m are 12.5 ohm, two pair sets 6.25."""
    inputs = {"per_metre": 0.125, "length": 90.0, "cords": 10.0}
    assert LINK_OHMS(**inputs, pair_sets=1) == pytest.approx(12.5)
    assert LINK_OHMS(**inputs, pair_sets=2) == pytest.approx(6.25)


# Published: A in each wire, ohm of one wire, W lost in each and in the four of a pair set and volts lost
def test_watts_lost_in_wires() -> None:
    """0.175 A a wire, 7 ohm/100 m: 0.214 W a wire, 0.858 W for four, 2.45 V."""
    assert PER_WIRE(amps=0.35, pair_sets=1) == pytest.approx(0.175)
    assert LOSS(amps=0.175, ohms=7) == pytest.approx(0.214, abs=0.0005)
    ohms = LINK_OHMS(per_metre=0.07, length=100, cords=0, pair_sets=1)
    assert LOSS(amps=0.35, ohms=ohms) == pytest.approx(0.858, abs=0.0005)
    assert 0.35 * ohms == pytest.approx(2.45)


def test_half_a_link_of_23_awg() -> None:
    """Published: 50 m of 23 AWG, 0.6 A, 6.67 ohm of loop: 4.00 V, 2.40 W; that page counts one wire each way."""
    loop = 2 * 50 * copper(band("23 AWG", "m2"), "solid", 20).value
    assert loop == pytest.approx(6.67, rel=0.002)
    assert 0.6 * loop == pytest.approx(4.00, abs=0.01)
    assert LOSS(amps=0.6, ohms=loop) == pytest.approx(2.40, abs=0.01)


def test_250_feet_of_24_awg() -> None:
    """Published: 250 ft of 24 AWG, 25.6 ohm/kft there and back are 12.8 ohm; 30 W at 54 V are 0.55 A and lose 7.04 V.

    An approximation: amps at the volts of the source, and one wire each way.
    """
    loop = 2 * 250 * FOOT * copper(band("24 AWG", "m2"), "solid", 20).value
    amps = AMPS(watts=30, volts=54)
    assert loop == pytest.approx(12.8, rel=0.005)
    assert amps == pytest.approx(0.55, abs=0.006)
    assert 0.55 * loop == pytest.approx(7.04, rel=0.005)


def test_amps_of_a_wire_in_a_bundle() -> None:
    """60 W are 0.3 A a wire (NEC 725.144, 2017); 22 and 23 AWG in bundles to 192 carry 0.5 A, more than any class asks."""
    assert PER_WIRE(amps=1.2, pair_sets=2) == pytest.approx(0.3)
    assert max(PER_WIRE(amps=c.amps, pair_sets=c.pair_sets) for c in CLASSES.values()) < 0.5


def test_most_amps_of_a_port() -> None:
    """IEEE 802.3-2022 table 145-1, as headers of an operating system cite it: 1.92 A over both pair sets."""
    assert max(c.amps for c in CLASSES.values()) == pytest.approx(1.92)


@pytest.mark.parametrize(
    ("watts", "class_"),
    [(0, 1), (3.84, 1), (3.85, 2), (12.95, 3), (12.96, 4), (25.5, 4), (26, 5), (51, 6), (62, 7), (71.3, 8), (71.4, 9)],
)
def test_class_needed(watts: float, class_: int) -> None:
    assert NEEDED(watts=watts) == class_


def test_class_granted() -> None:
    assert GRANTED(device=6, port=4) == GRANTED(device=4, port=8) == 4

"""Rectifiers across a coil, by the reverse volts and amps for which JEDEC registers them."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import pytest

from tests.packet.by_hand import DOOR, wire_d101
from wiregen.reading.load import load_site
from wiregen.reading.model import Part
from wiregen.study.calming import calming
from wiregen.study.copper import Copper, supplied

# JEDEC registration: peak repetitive reverse volts by type, of the types for 1 A and of those for 3 A
RECTIFIERS = {
    1.0: {"1N4001": 50, "1N4002": 100, "1N4003": 200, "1N4004": 400, "1N4005": 600, "1N4006": 800, "1N4007": 1000},
    3.0: {"1N5400": 50, "1N5401": 100, "1N5402": 200, "1N5403": 300, "1N5404": 400, "1N5405": 500, "1N5406": 600, "1N5407": 800,
          "1N5408": 1000},
}  # fmt: skip


@pytest.mark.parametrize(("amps", "type_", "volts"), [(a, t, v) for a, types in RECTIFIERS.items() for t, v in types.items()])
def test_ten_times_the_volts_of_the_circuit(amps: float, type_: str, volts: float) -> None:
    """Common guidance: reverse volts ten times those of the circuit, here 12 V +5 %; forward amps those of the coil, 0.3 A."""
    site = load_site(Path(__file__).parents[1] / "packet" / "specs" / "yard")
    wiring = wire_d101(site)
    (calmer,) = [c for c in wiring.calmers if c.ref]
    assert calmer.sheet
    part = Part(kind="diode", between=calmer.sheet.inside[0].between, rating=type_, amps=amps, reverse=float(volts))
    wiring = replace(wiring, calmers=(replace(calmer, sheet=replace(calmer.sheet, inside=(part,))),))
    figures, _, _ = calming(site, wiring, supplied(site, wiring, Copper(wiring)))
    told = {f.name.split()[0]: f.margin for f in figures if f.margin is not None}
    assert DOOR in site.doors
    assert (told["reverse"] >= 0) == (type_ not in ("1N4001", "1N4002", "1N5400", "1N5401"))
    assert told["amps"] == pytest.approx((amps - 12.6 / 38) / amps)

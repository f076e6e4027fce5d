"""What outputs of splitters and converters have left, against rules of thumb and sums by hand."""

from __future__ import annotations

from dataclasses import replace

import pytest

from tests.demo import site_of
from wiregen.reading.model import Gives, Site
from wiregen.study.converter import LEFT, LOST, MORE, converters, unlimited
from wiregen.study.copper import Copper, supplied
from wiregen.study.model import Figure
from wiregen.study.poe import CLASSES, poe
from wiregen.wiring.model import Wiring
from wiregen.wiring.wire import wire_door


@pytest.fixture(scope="module")
def site() -> Site:
    return site_of("fernhill")


def _converters(site: Site, door: str, wiring: Wiring) -> tuple[dict[str, Figure], tuple[str, ...]]:
    loads = supplied(site, wiring, Copper(wiring))
    uses = poe(site.doors[door], wiring, loads)[1]
    told, missing = converters(site.doors[door], wiring, loads, uses), unlimited(wiring, loads)
    return {f"{f.about} {f.name}": f for f in told}, missing


def test_class_4_through_a_splitter() -> None:
    """25.5 W through a splitter of 85 % are 1.8 A at 12 V: common practice, no source."""
    assert MORE(allowed=CLASSES[4].device_watts, taken=0, efficiency=0.85, volts=12) == pytest.approx(1.8, abs=0.01)


def test_class_3_behind_a_controller() -> None:
    """12.95 W less the controller's few, converted: half an ampere or a little more at 12 V: common practice, no source."""
    assert 0.5 < MORE(allowed=CLASSES[3].device_watts, taken=4, efficiency=0.84, volts=12) < 0.7


def test_the_smaller_of_the_two_limits_counts() -> None:
    assert LEFT(limit=1.0, amps=0.3, more=5) == pytest.approx(0.7)
    assert LEFT(limit=1.0, amps=0.3, more=0.2) == pytest.approx(0.2)


def test_heat() -> None:
    """12 W out of 85 % are 14.12 W in."""
    assert LOST(amps=1, volts=12, efficiency=0.85) == pytest.approx(12 / 0.85 - 12)


def test_reader_with_controller_by_hand(site: Site) -> None:
    """Class 3 over 84 %: what is taken in, and what may still be given at 12 V; at most 520 mA."""
    wiring = wire_door(site, site.doors["D101"])
    told, missing = _converters(site, "D101", wiring)
    assert not missing
    of_port = poe(site.doors["D101"], wiring, supplied(site, wiring, Copper(wiring)))[0]
    taken = next(f for f in of_port if f.name == "power taken in")
    more = (12.95 - taken.value) * 0.84 / 12
    left = told["A1.out left to give"]
    assert told["A1.out more that class 3 allows"].value == pytest.approx(more)
    assert left.value == pytest.approx(min(more, 0.52 - left.inputs["amps"]))
    assert left.margin is not None
    assert left.margin > 0


def _output(wiring: Wiring, ref: str, name: str, **changed: object) -> Wiring:
    device = wiring.devices[ref]
    group = device.sheet.groups[name]
    assert isinstance(group, Gives)
    sheet = replace(device.sheet, groups={**device.sheet.groups, name: replace(group, **changed)})  # type: ignore[arg-type]
    return replace(wiring, devices={**wiring.devices, ref: replace(device, sheet=sheet)})


def test_an_output_that_is_too_small_fails(site: Site) -> None:
    wiring = wire_door(site, site.doors["D105"])
    output = wiring.devices["G3"].sheet.groups["out"]
    assert isinstance(output, Gives)
    assert output.limit is not None
    small = replace(output.limit, nominal=0.5, least=0.5, most=0.5, text="0.5 A")
    left = _converters(site, "D105", _output(wiring, "G3", "out", limit=small))[0]["G3.out left to give"]
    assert left.margin is not None
    assert left.margin < 0
    assert "0.5 A" in left.bound


def test_what_a_sheet_leaves_out_is_named(site: Site) -> None:
    wiring = wire_door(site, site.doors["D105"])
    _, missing = _converters(site, "D105", _output(wiring, "G3", "out", limit=None))
    assert missing == ("what G3.out can give: its data sheet splitter-12 gives no limit (groups: {out: {limit: 1 A}})",)
    told, _ = _converters(site, "D105", _output(wiring, "G3", "out", efficiency=None))
    assert "assumed" in told["G3.out lost as heat"].note

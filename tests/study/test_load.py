"""What loads draw: relays that are moved together, and what hangs on the outputs of a load."""

from __future__ import annotations

import pytest

from tests.demo import site_of
from wiregen.reading.model import Site
from wiregen.study.copper import Copper, Supplied, supplied
from wiregen.study.load import draws, ports, relays_at_once
from wiregen.wiring.model import Wiring
from wiregen.wiring.wire import wire_door


@pytest.fixture(scope="module")
def site() -> Site:
    return site_of("fernhill")


def _wired(site: Site, door: str) -> tuple[Wiring, tuple[Supplied, ...]]:
    wiring = wire_door(site, site.doors[door])
    return wiring, supplied(site, wiring, Copper(wiring))


def test_of_a_bank_that_opens_one_at_a_time_one_relay_is_moved(site: Site) -> None:
    """The cabinets: eight relays of one module and three of another, one latch at a time."""
    wiring, loads = _wired(site, "D121")
    assert relays_at_once(site.doors["D121"], wiring, "K1") == 1
    told = draws(site.doors["D121"], wiring, loads, next(at for at in loads if at.device == "K1"))
    assert told is not None
    assert told.most == pytest.approx((1.2 + 0.4) / (12 * 0.96))
    assert told.least == pytest.approx(1.2 / (12 * 1.04))


def test_without_a_bank_all_relays_that_are_landed_may_be_moved(site: Site) -> None:
    """The lift: eight floors, each with a relay."""
    wiring, _ = _wired(site, "D120")
    assert relays_at_once(site.doors["D120"], wiring, "K1") == 8


def test_an_output_that_passes_on_what_comes_in_has_its_volts() -> None:
    """The sounder of the delayed egress magnet hangs on its own supply."""
    annex = site_of("annex")
    _, loads = _wired(annex, "D114")
    by_load = {f"{at.device}.{at.load.name}": at for at in loads}
    passed = [at for at in loads if at.output.volts_as == "power"]
    assert passed
    assert all(at.volts == by_load["Y1.power"].volts is not None for at in passed)


def test_a_controller_behind_a_splitter_draws_what_hangs_on_it_too(site: Site) -> None:
    """4 W of its own, and what its outputs give over their efficiency, at the volts of the splitter."""
    wiring, loads = _wired(site, "D105")
    at = next(at for at in loads if (at.device, at.load.name) == ("A1", "dc"))
    told = draws(site.doors["D105"], wiring, loads, at)
    assert told is not None
    assert at.load.load is not None
    assert at.volts is not None
    assert told.value > at.load.load.nominal / at.volts.nominal


def test_a_port_is_found_through_patch_panel_and_mid_span(site: Site) -> None:
    patched, _ = _wired(site, "D104")
    (port,) = ports(patched)
    assert (port.device, port.source) == ("A1", "N1")
    assert sum(link.length for link in port.links) == 55
    behind, _ = _wired(site, "D112")
    (port,) = ports(behind)
    assert (port.source, port.port.mark) == ("P1", "PWR")

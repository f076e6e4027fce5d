"""Ports of the demo doors, and what a switch gives to all of them."""

from __future__ import annotations

from dataclasses import replace

import pytest

from tests.demo import site_of
from wiregen.reading.model import Band, Door, Jack, Site
from wiregen.study.copper import Copper, supplied
from wiregen.study.model import Figure
from wiregen.study.poe import PortUse, poe, switch_budget
from wiregen.wiring.model import Wiring
from wiregen.wiring.wire import wire_door


@pytest.fixture(scope="module")
def site() -> Site:
    return site_of("fernhill")


def _poe(site: Site, door: Door, wiring: Wiring) -> tuple[dict[str, Figure], tuple[PortUse, ...], tuple[str, ...]]:
    figures, uses, missing = poe(door, wiring, supplied(site, wiring, Copper(wiring)))
    return {f.name: f for f in figures}, uses, missing


def _jack(wiring: Wiring, ref: str, name: str, **changed: object) -> Wiring:
    """The same wiring with one jack of one data sheet changed."""
    device = wiring.devices[ref]
    group = device.sheet.groups[name]
    assert isinstance(group, Jack)
    sheet = replace(device.sheet, groups={**device.sheet.groups, name: replace(group, **changed)})  # type: ignore[arg-type]
    return replace(wiring, devices={**wiring.devices, ref: replace(device, sheet=sheet)})


def test_figures_of_a_port(site: Site) -> None:
    door = site.doors["D105"]
    told, (use,), missing = _poe(site, door, wire_door(site, door))
    assert not missing
    assert told["class granted"].value == use.granted == 4
    assert told["power taken in"].ceiling == 25.5
    assert all(f.margin > 0 for f in told.values() if f.margin is not None)
    assert told["volts at the device"].most < 57
    assert use.watts.most > told["power taken in"].most  # the cable's loss comes on top


def test_a_lower_class_than_the_loads_need_breaks_its_bound(site: Site) -> None:
    door = site.doors["D105"]
    wiring = _jack(wire_door(site, door), "N1", "p-4", poe_class=2)
    need = _poe(site, door, wiring)[0]["power taken in"]
    assert need.margin is not None
    assert need.margin < 0
    assert need.cure.startswith("a port or mid-span of class 4")
    asks = _jack(wire_door(site, door), "G3", "in", poe_class=2)
    assert "asks for class 2 at most" in _poe(site, door, asks)[0]["power taken in"].cure


def test_a_class_that_no_sheet_gives_is_named_with_where_to_add_it(site: Site) -> None:
    door = site.doors["D105"]
    told, uses, missing = _poe(site, door, _jack(wire_door(site, door), "N1", "p-4", poe_class=None))
    assert not uses
    assert missing == ("class of N1.p-4: poe-switch-16 gives none (groups: p-4: poe-class)",)
    assert set(told) == {"power taken in", "class needed (9: none carries it)"}


def test_not_classified_counts_as_class_3(site: Site) -> None:
    door = site.doors["D105"]
    told = _poe(site, door, _jack(wire_door(site, door), "G3", "in", poe_class=0))[0]
    assert told["class granted"].value == 3


def test_a_long_link_pulls_the_device_under_its_least_volts(site: Site) -> None:
    """Beside the 100 m that data allow, power has a limit of its own: 14 W over a kilometre of 0.2 mm2."""
    door = site.doors["D105"]
    wiring = wire_door(site, door)
    long = replace(wiring, links=tuple(replace(link, length=1000.0) for link in wiring.links))
    volts = _poe(site, door, long)[0]["volts at the device"]
    assert volts.margin is not None
    assert volts.margin < 0


def test_a_switch_gives_the_sum_over_all_doors(site: Site) -> None:
    uses = [u for d in site.doors.values() for u in _poe(site, d, wire_door(site, d))[1]]
    allotted, used = switch_budget(site, "N2", uses)
    ports = [u for u in uses if u.source == "N2"]
    assert len(ports) > 8
    assert allotted.value == pytest.approx(sum({2: 7.0, 3: 15.4, 4: 30.0}[u.granted] for u in ports))
    assert used.value == pytest.approx(sum(u.watts.value for u in ports))
    assert used.most < allotted.value
    assert (used.ceiling, allotted.ceiling) == (240, None)  # its sheet says that it allots by use


@pytest.mark.parametrize(("allots", "by_class"), [("class", 240), ("use", None), (None, 240)])
def test_what_counts_against_the_budget_is_what_the_sheet_says(site: Site, allots: str | None, by_class: float | None) -> None:
    """A switch that does not say how it allots is counted the careful way, and the figure says so."""
    door = site.doors["D105"]
    (use,) = _poe(site, door, wire_door(site, door))[1]
    port = replace(use.port, allots=allots, budget=Band(240, 240, 240, "W", "240 W"))  # type: ignore[arg-type]
    allotted, used = switch_budget(site, "N1", [replace(use, port=port)])
    assert (allotted.ceiling, used.ceiling) == (by_class, 240)
    assert ("assumed" in allotted.note) == (allots is None)
    assert switch_budget(site, "N9", [use]) == ()

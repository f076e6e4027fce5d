"""Runs of demo doors against sums by hand: what they lose, how long they may be, which cable of the stock cures them."""

from __future__ import annotations

from dataclasses import replace

import pytest

from tests.demo import site_of
from wiregen.reading.model import Site
from wiregen.study.circuit import CONTACT
from wiregen.study.copper import Copper, supplied
from wiregen.study.model import Figure
from wiregen.study.run import runs
from wiregen.wiring.model import Wiring
from wiregen.wiring.wire import wire_door


@pytest.fixture(scope="module")
def site() -> Site:
    return site_of("fernhill")


@pytest.fixture(scope="module")
def wiring(site: Site) -> Wiring:
    """A magnet for 24 V at the end of its run from the closet: 104 ohm, at least 20.4 V."""
    return wire_door(site, site.doors["D104"])


def _lock(site: Site, wiring: Wiring) -> dict[str, Figure]:
    loads = supplied(site, wiring, Copper(wiring))
    return {f.name: f for f in runs(site, site.doors["D104"], wiring, loads) if f.about == "Y1.coil"}


def _times(wiring: Wiring, factor: float) -> Wiring:
    return replace(wiring, conductors=tuple(replace(c, length=c.length * factor) for c in wiring.conductors))


def test_by_hand(site: Site, wiring: Wiring) -> None:
    """20.4 V over 104 ohm are 0.196 A; what its branch promises less 20.4 V may be lost."""
    told = _lock(site, wiring)
    (volts,) = (at.volts for at in supplied(site, wiring, Copper(wiring)) if at.device == "Y1")
    lost = told["volts that the run loses"]
    contacts = len(next(c for c in wiring.chains if c.load == "Y1").links)
    assert lost.inputs["amps"] == pytest.approx(20.4 / 104)
    assert lost.inputs["contacts"] == pytest.approx(CONTACT.nominal * contacts)
    assert lost.value == pytest.approx(20.4 / 104 * (told["ohms of its wires"].value + CONTACT.nominal * contacts))
    assert volts is not None
    assert lost.ceiling == pytest.approx(volts.least - 20.4)
    assert "own current only" in lost.note


def test_the_longest_run_just_passes(site: Site, wiring: Wiring) -> None:
    """As long as that, the wires lose all that they may; contacts come on top and are left out here."""
    told = _lock(site, wiring)
    ohms, longest = told["ohms of its wires"], told["longest run that passes"]
    length = told["one core of the run"].inputs["length"]
    stretched = _lock(site, _times(wiring, longest.least / length))["ohms of its wires"]
    assert stretched.most == pytest.approx(ohms.most * longest.least / length)
    most = 20.4 / (104 * 0.95) * stretched.most
    assert most == pytest.approx(told["volts that the run loses"].ceiling, rel=0.001)


def test_a_run_that_is_too_long_names_the_cable_that_cures_it(site: Site, wiring: Wiring) -> None:
    """The length alone turns the answer: first a thicker cable, then none of the stock."""
    longest = _lock(site, wiring)["longest run that passes"]
    length = _lock(site, wiring)["one core of the run"].inputs["length"]
    longer = _lock(site, _times(wiring, 1.3 * longest.least / length))["volts that the run loses"]
    assert (longer.margin or 0) < 0
    assert longer.cure.startswith("cable-2x")
    assert "W" in longer.cure  # the cable that it replaces
    hopeless = _lock(site, _times(wiring, 20 * longest.least / length))["volts that the run loses"]
    assert (hopeless.margin or 0) < 0
    assert "mm2 (the stock has none) in place of W" in hopeless.cure


def test_a_source_that_gives_too_little_already_has_no_longest_run(site: Site, wiring: Wiring) -> None:
    loads = supplied(site, wiring, Copper(wiring))
    low = tuple(replace(at, volts=replace(at.volts, least=19.0)) if at.device == "Y1" and at.volts else at for at in loads)
    told = {f.name: f for f in runs(site, site.doors["D104"], wiring, low) if f.about == "Y1.coil"}
    assert "longest run that passes" not in told
    assert (told["volts that the run loses"].margin or 0) < 0
    assert told["volts that the run loses"].cure.startswith("a source of higher volts")


def test_what_alternating_current_feeds_is_left_to_the_network(site: Site) -> None:
    wiring = wire_door(site, site.doors["D103"])
    loads = supplied(site, wiring, Copper(wiring))
    alternating = {f"{at.device}.{at.load.name}" for at in loads if at.load.current == "ac"}
    assert alternating
    assert not alternating & {f.about for f in runs(site, site.doors["D103"], wiring, loads)}

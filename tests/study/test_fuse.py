"""Fuses against their loads and wires, screws and joints against their cores, on demo doors."""

from __future__ import annotations

from dataclasses import replace

import pytest

from tests.demo import site_of
from wiregen.reading.model import Band, Gives, Screw, Site
from wiregen.study.copper import Copper, supplied
from wiregen.study.fuse import fuses, guarded, guards
from wiregen.study.model import Figure
from wiregen.study.screw import screws, splices
from wiregen.study.source_class import mixed
from wiregen.wiring.model import Conductor, Wiring
from wiregen.wiring.wire import wire_door


@pytest.fixture(scope="module")
def site() -> Site:
    return site_of("fernhill")


@pytest.fixture(scope="module")
def wiring(site: Site) -> Wiring:
    """A magnet on a fused branch of the closet."""
    return wire_door(site, site.doors["D104"])


def _fuses(site: Site, wiring: Wiring) -> dict[tuple[str, str], Figure]:
    copper = Copper(wiring)
    loads = supplied(site, wiring, copper)
    return {(f.about, f.name): f for f in (*fuses(site.doors["D104"], wiring, loads), *guards(wiring, loads, copper))}


def _sized(wiring: Wiring, size: str, area: float) -> Conductor:
    return replace(next(c for c in wiring.conductors if c.area), size=size, area=area)


# NEC 240.4(D), and BS 7671 table 4F3A for flexible cords: both from memory; thinner ones common practice, no source
@pytest.mark.parametrize(
    ("size", "area", "amps"),
    [
        ("18 AWG", 0.823e-6, 7), ("16 AWG", 1.31e-6, 10), ("14 AWG", 2.08e-6, 15), ("12 AWG", 3.31e-6, 20),
        ("10 AWG", 5.26e-6, 30), ("17 AWG", 1.04e-6, 7), ("8 AWG", 8.37e-6, 30), ("22 AWG", 0.326e-6, 2.61),
        ("0.75 mm2", 0.75e-6, 6), ("1.0 mm2", 1e-6, 10), ("1.25 mm2", 1.25e-6, 10),
        ("1.5 mm2", 1.5e-6, 16), ("2.5 mm2", 2.5e-6, 25),
        ("0.22 mm2", 0.22e-6, 1.76),
    ],
)  # fmt: skip
def test_the_largest_fuse_of_a_wire(wiring: Wiring, size: str, area: float, amps: float) -> None:
    assert guarded(_sized(wiring, size, area))[0] == pytest.approx(amps, rel=0.001)


def test_a_fuse_that_is_too_small_for_its_lock(site: Site, wiring: Wiring) -> None:
    name = ("FB1.f-2", "amps through the fuse, this door")
    told = _fuses(site, wiring)[name]
    assert told.ceiling == 0.8
    assert (told.margin or 0) > 0
    small = _fuses(site, _limited(wiring, 0.3))[name]
    assert small.ceiling == pytest.approx(0.24)
    assert (small.margin or 0) < 0


def test_a_fuse_that_is_too_large_for_its_wire(site: Site, wiring: Wiring) -> None:
    """The thinnest wire in the lock's circuit is 0.75 mm2 or more: a fuse of 25 A would not guard it."""
    name = ("FB1.f-2", "amps that the thinnest wire may have to carry")
    assert (_fuses(site, wiring)[name].margin or 0) > 0
    large = _fuses(site, _limited(wiring, 25))[name]
    assert (large.margin or 0) < 0
    assert large.cure.startswith(f"a fuse of {large.ceiling:.2g} A")


def _limited(wiring: Wiring, amps: float) -> Wiring:
    device = wiring.devices["FB1"]
    output = device.sheet.groups["f-2"]
    assert isinstance(output, Gives)
    fused = replace(output, limit=Band(amps, amps, amps, "A", f"{amps} A fuse"))
    sheet = replace(device.sheet, groups={**device.sheet.groups, "f-2": fused})
    return replace(wiring, devices={**wiring.devices, "FB1": replace(device, sheet=sheet)})


def _screwed(wiring: Wiring, ref: str, screw: Screw) -> Wiring:
    device = wiring.devices[ref]
    return replace(wiring, devices={**wiring.devices, ref: replace(device, sheet=replace(device.sheet, screw=screw))})


def test_screws(wiring: Wiring) -> None:
    told = {f.about.split(":")[0]: f for f in screws(wiring)}
    assert all((f.margin or 0) >= 0 for f in told.values())
    small = {f.about.split(":")[0]: f for f in screws(_screwed(wiring, "Y1", Screw(((1, 0.5e-6),), "1 x 0.5 mm2")))}
    assert (small["Y1"].margin or 0) < 0
    assert small["Y1"].bound.endswith("takes 1 x 0.5 mm2")


def test_more_wires_than_a_screw_takes(wiring: Wiring) -> None:
    ref = next(f.about.split(":")[0] for f in screws(wiring))
    none = {f.about.split(":")[0]: f for f in screws(_screwed(wiring, ref, Screw(((0, 1e-6),), "nothing")))}
    assert none[ref].name == "wires on one screw"
    assert (none[ref].margin or 0) < 0


def test_joints(wiring: Wiring) -> None:
    told, missing = splices(wiring)
    assert told
    assert not missing
    assert all((f.margin or 0) > 0 for f in told)
    thick = replace(wiring, conductors=tuple(replace(c, area=10e-6) for c in wiring.conductors))
    assert all((f.margin or 0) < 0 for f in splices(thick)[0])


def test_a_joint_of_unknown_size_is_named(wiring: Wiring) -> None:
    odd = replace(wiring, junctions=tuple(replace(j, kind="weld") for j in wiring.junctions))
    assert any("weld" in text for text in splices(odd)[1])


def test_circuits_that_lie_together(site: Site, wiring: Wiring) -> None:
    """All of this door is class 2; call its lock branch something else, and what it shares with others is named."""
    copper = Copper(wiring)
    loads = supplied(site, wiring, copper)
    assert mixed(wiring, loads, copper) == ()
    other = tuple(
        replace(at, output=replace(at.output, circuit="not class 2")) if at.source == "FB1" else at for at in loads
    )
    found = mixed(wiring, other, copper)
    assert found
    for each in found:
        assert each.limited
        assert each.others
        assert not set(each.limited) & set(each.others)

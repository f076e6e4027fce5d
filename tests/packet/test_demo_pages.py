"""Doors of the demo, wired by the program: what their printed termination sheets say is what was wired."""

from __future__ import annotations

from pathlib import Path

import pytest

from tests.demo import site_of
from tests.packet.pages import MM, opened, pdf_of_door, table_rows, texts
from tests.packet.test_door_pages import TITLES
from wiregen.packet.commissioning import _releases
from wiregen.packet.egress import chain_text
from wiregen.study.study import study_door
from wiregen.wiring.wire import wire_door, wire_site

ROOT = Path(__file__).parents[2] / "door_specs"


FULLEST = pytest.param("fernhill", "D121", marks=pytest.mark.sweep)


@pytest.mark.parametrize(("folder", "door"), [("fernhill", "D107"), FULLEST, ("annex", "D119")])
def test_every_conductor_is_printed_once_with_its_ends_and_colour(folder: str, door: str) -> None:
    site = site_of(folder)
    wiring = wire_door(site, site.doors[door])
    pdf = pdf_of_door(site, site.doors[door], wiring, study_door(site, site.doors[door], wiring, wire_site(site)))
    with opened(pdf) as document:
        pages = [p for p, text in zip(document.pages, texts(pdf), strict=True) if "Termination sheet" in text.splitlines()[0]]
        wires = {c.wire for c in wiring.conductors}
        rows = [row for page in pages for row in table_rows(page, TITLES) if row["Wire"] in wires]
        inch = {"A4": (297, 210), "letter": (279, 216)}[site.house.paper]
        assert {(round(p.width / MM), round(p.height / MM)) for p in document.pages} == {inch}
    printed = sorted((r["Wire"], r["From"].split()[0], r["To"].split()[0], r["Colour"], r["Function"]) for r in rows)
    assert printed == sorted((c.wire, str(c.a), str(c.b), c.colour, c.function) for c in wiring.conductors)


def test_release_chains_run_from_supply_to_lock_in_order() -> None:
    """Two magnets, each on a pole of its own of the button and of the relay: worked out by hand from the door's spec."""
    site = site_of("fernhill")
    wiring = wire_door(site, site.doors["D107"])
    text = next(chain_text(wiring, c) for c in wiring.chains if c.load == "Y1")
    order = [text.index(part) for part in ("FB1.f-3 plus", "S1 1–2", "K1 11–14", "Y1:+")]
    assert order == sorted(order)
    assert "Y1 without power, free; Y2 without power, free" in [then for _, _, then in _releases(wiring)]


def test_a_side_way_begins_where_the_first_one_does() -> None:
    """A key beside the relay of an AC strike: closing it powers the strike, which frees."""
    site = site_of("fernhill")
    wiring = wire_door(site, site.doors["D103"])
    text = next(chain_text(wiring, c) for c in wiring.chains if c.load == "Y1")
    assert "wiring of the site" not in text
    assert " or [" in text
    assert [(device, then) for device, _, then in _releases(wiring)] == [("S1", "Y1 powered, free")]

"""A small site, its strike door wired by hand, and that door's printed pages."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest

from tests.packet.by_hand import DOOR, wire_d101
from tests.packet.pages import opened, packet, pdf_of_door, texts
from wiregen.reading.load import load_site
from wiregen.reading.model import Site
from wiregen.study.model import Study
from wiregen.study.study import study_door
from wiregen.wiring.model import Wiring
from wiregen.wiring.wire import wire_site

SPECS = Path(__file__).parent / "specs" / "yard"


@pytest.fixture(scope="session")
def site() -> Site:
    return load_site(SPECS)


@pytest.fixture(scope="session")
def wiring(site: Site) -> Wiring:
    return wire_d101(site)


@pytest.fixture(scope="session")
def study(site: Site, wiring: Wiring) -> Study:
    return study_door(site, site.doors[DOOR], wiring, wire_site(site))


@pytest.fixture(scope="session")
def door_pdf(site: Site, wiring: Wiring, study: Study) -> bytes:
    return pdf_of_door(site, site.doors[DOOR], wiring, study)


@pytest.fixture(scope="session")
def packet_pdf(site: Site, wiring: Wiring, study: Study) -> bytes:
    return packet(site, {DOOR: wiring}, {DOOR: study})


@pytest.fixture(scope="session")
def door_pages(door_pdf: bytes) -> Iterator[list[Any]]:
    """The pages of the door, taken apart once for all tests."""
    with opened(door_pdf) as document:
        yield document.pages


@pytest.fixture(scope="session")
def door_texts(door_pdf: bytes) -> list[str]:
    return texts(door_pdf)


@pytest.fixture(scope="session")
def packet_texts(packet_pdf: bytes) -> list[str]:
    return texts(packet_pdf)

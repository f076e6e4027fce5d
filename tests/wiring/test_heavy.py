"""Which circuits run in power cable: common practice, no source."""

from __future__ import annotations

from pathlib import Path

from tests.demo import site_of
from wiregen.wiring.model import End
from wiregen.wiring.wire import wire_site

SPECS = Path(__file__).parents[2] / "door_specs"


def test_what_feeds_a_board_of_fuses_runs_in_power_cable() -> None:
    site = site_of("fernhill")
    wiring = wire_site(site)
    fed = [c for c in wiring.conductors if c.cable and {c.a, c.b} & {End("FB4", "IN+"), End("FB4", "IN-")}]
    assert len(fed) == 2
    assert {wiring.cables[c.cable or ""].sheet for c in fed} <= set(site.stock.power)

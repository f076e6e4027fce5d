"""Joints of more cores than one connector takes."""

from __future__ import annotations

from wiregen.study.screw import WAYS, in_a_row


def test_connectors_in_a_row_have_a_way_for_each_core_and_each_end_of_a_bridge() -> None:
    ways = WAYS["lever"]
    for ends in range(2, 40):
        connectors, bridges = in_a_row("lever", ends)
        assert bridges == connectors - 1, ends
        assert connectors * ways >= ends + 2 * bridges, ends
        fewer = connectors - 1
        assert fewer * ways < ends + 2 * (fewer - 1) or fewer == 0, f"no more than it takes for {ends}"


def test_what_has_no_number_of_ways_is_one() -> None:
    assert in_a_row("screw", 14) == (1, 0)

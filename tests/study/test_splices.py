"""Joints of more cores than one connector takes."""

from __future__ import annotations

from wiregen.study.screw import WAYS, in_a_row


def test_connectors_in_a_row_have_a_way_for_each_core_and_each_end_of_a_bridge() -> None:
    made = {ends: in_a_row("lever", ends) for ends in range(2, 40)}
    assert {ends: row for ends, row in made.items() if not _just_enough(ends, *row)} == {}


def _just_enough(ends: int, connectors: int, bridges: int) -> bool:
    """And no more than it takes."""
    ways, fewer = WAYS["lever"], connectors - 1
    enough = bridges == connectors - 1 and connectors * ways >= ends + 2 * bridges
    return enough and (fewer * ways < ends + 2 * (fewer - 1) or fewer == 0)


def test_what_has_no_number_of_ways_is_one() -> None:
    assert in_a_row("screw", 14) == (1, 0)

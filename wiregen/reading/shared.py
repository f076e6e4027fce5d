"""What the doors share, seen as if it were a door: it is wired, drawn and landed like one, under an id of its own."""

from __future__ import annotations

from collections.abc import Mapping

from wiregen.reading.model import Door, Site

SITE = "site"  # no door may have this id


def wired(site: Site) -> Mapping[str, Door]:
    """All that has a wiring, by id: what is shared first, as the doors hang on it; then the doors."""
    return {SITE: as_door(site), **site.doors}


def as_door(site: Site) -> Door:
    """Nobody passes through it, so it wants nothing and is left by nothing."""
    return Door(
        id=SITE,
        name="Shared devices",
        leave_by=(),
        want={},
        runs=site.runs,
        exposed=site.exposed,
        devices=site.shared,
        where=site.where,
        keys={},
    )

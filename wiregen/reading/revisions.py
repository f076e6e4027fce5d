"""Which revisions stand on which pages."""

from __future__ import annotations

from wiregen.reading.model import Door, Revision, Site


def revisions_of(site: Site, door: Door | None = None, sheet: str = "") -> tuple[Revision, ...]:
    """All revisions that touch a door's pages, or the site's sheet of that title; oldest first.

    A revision of the site touches what is no longer as it was issued before; other pages stand as they were.
    """
    of_site = sorted(site.revisions, key=lambda r: r.date)
    stands = site.standing.get(door.id if door else sheet_key(sheet))
    if stands is not None:
        of_site = of_site[: 1 + max((n for n, r in enumerate(of_site) if r.rev == stands), default=len(of_site))]
    return tuple(sorted((*of_site, *(door.revisions if door else ())), key=lambda r: r.date))


def sheet_key(title: str) -> str:
    """The key of one of the site's sheets in `Site.standing`; no door's id has a slash."""
    return f"/{title}"

"""What marks a door's pages: the findings that fall on it, its revision, and the texts at head and foot."""

from __future__ import annotations

from collections.abc import Iterable, Sequence

from wiregen.packet.paper import Running
from wiregen.reading.model import Door, Site
from wiregen.reading.revisions import revisions_of
from wiregen.reading.shared import SITE
from wiregen.review.model import Finding

REDACTED = "REDACTED"  # on each page of a set that leaves out what an outsider must not have
SHOWN = 8  # digits of a content hash that are printed


def findings_of(findings: Sequence[Finding], door: str) -> tuple[Finding, ...]:
    """The findings of a door, and those of the site that mark it; all of the site mark what is shared."""
    return tuple(f for f in findings if (f.door or SITE) == door or door in f.doors)


def by_door(findings: Iterable[Finding]) -> dict[str, tuple[Finding, ...]]:
    """`findings_of` each door that has any."""
    found: dict[str, list[Finding]] = {}
    for f in findings:
        for door in dict.fromkeys((f.door or SITE, *f.doors)):
            found.setdefault(door, []).append(f)
    return {door: tuple(own) for door, own in found.items()}


def stops_of(findings: Sequence[Finding]) -> int:
    return sum(f.level == "stop" for f in findings)


def code(site: Site, door: Door | None, digest: str, title: str = "") -> str:
    """The short code: door (or site, for its sheet of that title), revision, first digits of the content hash."""
    revisions = revisions_of(site, door, title)
    text = f"{door.id if door else site.id} {revisions[-1].rev if revisions else '–'} {digest[:SHOWN].upper()}"
    return f"{text} {REDACTED}" if site.redacted else text


def running(site: Site, door: Door | None, title: str, digest: str, stops: int = 0) -> Running:
    """Head and foot of a page; `digest` is the whole content hash."""
    revisions = revisions_of(site, door, title)
    issued = f"revision {revisions[-1].rev} of {revisions[-1].date}" if revisions else "no revision stated"
    return Running(
        left=door.id if door else site.name,
        name=door.name if door else "",
        title=f"{title}, {REDACTED}" if site.redacted else title,
        foot=f"{site.name} · {issued}",
        code=code(site, door, digest, title),
        stops=stops,
    )

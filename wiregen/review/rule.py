"""What a rule is: a small generator function with its code, level, words and source."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass

from wiregen.reading.model import Door, Site, Where
from wiregen.review.model import Level
from wiregen.study.model import Study
from wiregen.wiring.model import Wiring

COMMON = "common practice, no source"


@dataclass(frozen=True)
class Case:
    """A door as a rule sees it."""

    site: Site
    door: Door
    wiring: Wiring
    study: Study


@dataclass(frozen=True)
class Job:
    """A site as a rule sees it: the doors as cases."""

    site: Site
    cases: Mapping[str, Case]


@dataclass(frozen=True)
class Found:
    """What a rule yields.  `level` where it differs from the rule's; `doors` where a site's rule marks some of them."""

    where: Where
    message: str
    cure: str
    level: Level | None = None
    source: str | None = None
    doors: tuple[str, ...] = ()


@dataclass(frozen=True)
class Rule:
    """`words` says in a sentence what the rule asks; `approvable` is False where no approval can help."""

    code: str
    level: Level
    words: str
    source: str
    approvable: bool
    of_door: Callable[[Case], Iterator[Found]] | None = None
    of_site: Callable[[Job], Iterator[Found]] | None = None


DoorRule = Callable[[Case], Iterator[Found]]
SiteRule = Callable[[Job], Iterator[Found]]


def door_rule(
    code: str, level: Level, words: str, source: str = COMMON, approvable: bool = True
) -> Callable[[DoorRule], Rule]:
    """Makes a generator over one door's findings a rule."""
    return lambda check: Rule(code, level, words, source, approvable, of_door=check)


def site_rule(code: str, level: Level, words: str, source: str = COMMON) -> Callable[[SiteRule], Rule]:
    """Makes a generator over a site's findings a rule."""
    return lambda check: Rule(code, level, words, source, True, of_site=check)

"""What a rule is: a small generator function with its code, level, words and source."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass
from functools import cached_property

from wiregen.reading.model import Device, Door, Site, Where
from wiregen.reading.view import Views
from wiregen.review.model import Level
from wiregen.study.copper import Copper, Supplied, supplied
from wiregen.study.model import Study
from wiregen.wiring.logic import Logic, logic_of
from wiregen.wiring.model import Chain, WiredDevice, Wiring

COMMON = "common practice, no source"


@dataclass(frozen=True)
class Case:
    """A door as a rule sees it."""

    site: Site
    door: Door
    wiring: Wiring
    study: Study
    views: Views

    @cached_property
    def seen(self) -> Site:
        """The site as the door itself sees it."""
        return self.views.of(self.door.id)

    @cached_property
    def copper(self) -> Copper:
        return Copper(self.wiring)

    @cached_property
    def loads(self) -> tuple[Supplied, ...]:
        """Every load of the door with the output behind it."""
        return supplied(self.site, self.wiring, self.copper)

    @cached_property
    def logic(self) -> Logic:
        """Wiring's model of what the contacts do, with the sides and senses that it chose."""
        return logic_of(self.seen, self.door, self.wiring)

    @property
    def locks(self) -> Iterator[WiredDevice]:
        """The door's own locks, in its order."""
        return (d for d in self.wiring.devices.values() if d.origin == "door" and d.sheet.is_ == "lock")

    def chains(self, ref: str) -> Iterator[Chain]:
        return (chain for chain in self.wiring.chains if chain.load == ref)

    def device(self, ref: str) -> Device | None:
        """The device as it was written, the door's own or a shared one; None where it came from stock or another door."""
        return self.door.devices.get(ref) or self.site.shared.get(ref)

    def key(self, *names: str) -> Where:
        """Where the first of these keys of the door stands that is written; the door itself where none is."""
        return next((self.door.keys[name] for name in names if name in self.door.keys), self.door.where)

    def at(self, ref: str, kind: str | None = None) -> Where:
        """Where a device stands in the spec, or its first relation of that kind."""
        device = self.device(ref)
        if device is None:
            return self.door.where
        return next((r.where for r in device.relations if r.kind == kind), device.where)


@dataclass(frozen=True)
class Job:
    """A site as a rule sees it: its doors as cases, and the study of what they share."""

    site: Site
    cases: Mapping[str, Case]
    of_site: Study | None = None


@dataclass(frozen=True)
class Found:
    """What a rule yields.  `level` and `source` where they differ from the rule's; `doors`: those that a site's rule marks.

    `approvable` is False where no approval can help here, though the rule has cases in which one can.
    """

    where: Where
    message: str
    cure: str
    level: Level | None = None
    source: str | None = None
    doors: tuple[str, ...] = ()
    approvable: bool = True


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
    code: str, level: Level, words: str, *, source: str = COMMON, approvable: bool = True
) -> Callable[[DoorRule], Rule]:
    """Makes a generator over one door's findings a rule."""
    return lambda check: Rule(code, level, words, source, approvable, of_door=check)


def site_rule(code: str, level: Level, words: str, *, source: str = COMMON) -> Callable[[SiteRule], Rule]:
    """Makes a generator over a site's findings a rule."""
    return lambda check: Rule(code, level, words, source, True, of_site=check)

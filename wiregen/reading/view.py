"""The part of a site that the work on one door may depend on."""

from __future__ import annotations

from collections.abc import Collection, Iterator, Mapping, Sequence
from dataclasses import fields, is_dataclass, replace
from typing import Any

from wiregen.reading.model import CableSheet, DataSheet, Door, LineEndSheet, Sheet, Site
from wiregen.reading.shared import SITE

EXAMPLES = ("button", "interface")  # kinds of devices that cures name a data sheet of, from what the site has


class Views:
    """A site as each of its doors sees it: the door, those that it is wired with, all that is shared, and their data sheets.

    What doors do together (`joint`), slack and labels are matters of the site alone, so that they are left out.
    """

    def __init__(self, site: Site) -> None:
        self._bare = replace(site, doors={}, joint=(), sheets={}, slack=None, labels=None)
        self._site = site
        self._together = together(site.doors)
        self._always = frozenset(
            {name for name, sheet in site.sheets.items() if isinstance(sheet, DataSheet) and sheet.is_ in EXAMPLES}
            | self._named(self._bare)
        )
        self._by_door: dict[str, frozenset[str]] = {}

    def of(self, door: str) -> Site:
        """The site as that door sees it, or without any for `SITE`.  Raises KeyError where there is no such door."""
        doors = {} if door == SITE else {each: self._site.doors[each] for each in self._together[door]}
        names = self._always.union(*map(self._sheets_of, doors))
        return replace(self._bare, doors=doors, sheets={n: sheet for n, sheet in self._site.sheets.items() if n in names})

    def _sheets_of(self, door: str) -> frozenset[str]:
        if door not in self._by_door:
            self._by_door[door] = frozenset(self._named(self._site.doors[door]))
        return self._by_door[door]

    def _named(self, value: Any) -> set[str]:
        """Types of data sheets that are named anywhere in a value, and by those sheets."""
        found = {word for word in _words(value) if word in self._site.sheets}
        waiting = list(found)
        while waiting:
            more = {word for word in _words_of_sheet(self._site.sheets[waiting.pop()]) if word in self._site.sheets} - found
            found |= more
            waiting += more
        return found


def together(doors: Mapping[str, Door]) -> dict[str, tuple[str, ...]]:
    """For each door the doors that it is wired with, itself among them, in the site's order: whoever names one another in a
    relation, a place or a conductor, directly or through others."""
    group = {door: {door} for door in doors}
    for door, spec in doors.items():
        for other in _doors_named(spec, doors):
            if group[other] is not group[door]:
                group[door] |= group[other]
                for each in group[other]:
                    group[each] = group[door]
    return {door: tuple(each for each in doors if each in group[door]) for door in doors}


def _doors_named(spec: Door, doors: Collection[str]) -> Iterator[str]:
    """Other doors are named as `door/designation` or `door/place`, or as the door of a target."""
    for word in _words(spec):
        before, slash, _ = word.partition("/")
        if before in doors and before != spec.id and (slash or before == word):
            yield before


def _words(value: Any) -> Iterator[str]:
    if isinstance(value, str):
        yield value
    elif isinstance(value, (DataSheet, CableSheet, LineEndSheet)):
        yield value.type
    elif is_dataclass(value):
        for field in fields(value):
            yield from _words(getattr(value, field.name))
    elif isinstance(value, Mapping):
        for key, each in value.items():
            yield from _words(key)
            yield from _words(each)
    elif isinstance(value, (Sequence, frozenset)):
        for each in value:
            yield from _words(each)


def _words_of_sheet(sheet: Sheet) -> Iterator[str]:
    for field in fields(sheet):
        yield from _words(getattr(sheet, field.name))

"""The part of a site that the work on one door may depend on."""

from __future__ import annotations

from collections.abc import Collection, Iterator, Mapping, Sequence, Set
from dataclasses import fields, is_dataclass, replace
from functools import cache
from typing import Any

from wiregen.reading.model import CableSheet, DataSheet, LineEndSheet, Site
from wiregen.reading.shared import SITE

SHEETS = (DataSheet, CableSheet, LineEndSheet)
EXAMPLES = ("button", "interface")  # kinds of devices that cures name a data sheet of, from what the site has


class Views:
    """A site as each of its doors sees it: the door, those that it is wired with, all that is shared, and their data sheets.

    What doors do together (`joint`), slack and labels are matters of the site alone, so that they are left out; and what others
    have taken of what is shared is left out for doors that do not ask what else they could be fed from.
    """

    def __init__(self, site: Site) -> None:
        self._bare = replace(site, doors={}, joint=(), sheets={}, slack=None, labels=None, taken=frozenset())
        self._site = site
        self._said = {door: _words(spec) for door, spec in site.doors.items()}
        self._together = _together(self._said)
        self._by_sheet: dict[str, Set[str]] = {}
        self._always = frozenset(
            {name for name, sheet in site.sheets.items() if isinstance(sheet, DataSheet) and sheet.is_ in EXAMPLES}
            | self._named(_words(self._bare))
        )
        self._by_door: dict[str, frozenset[str]] = {}

    def of(self, door: str) -> Site:
        """The site as that door sees it, or without any for `SITE`.  Raises KeyError where there is no such door."""
        doors = {} if door == SITE else {each: self._site.doors[each] for each in self._together[door]}
        names = self._always.union(*map(self._sheets_of, doors))
        sheets = {name: sheet for name, sheet in self._site.sheets.items() if name in names}
        taken = self._site.taken if any(each.otherwise for each in doors.values()) else frozenset()
        return replace(self._bare, doors=doors, sheets=sheets, taken=taken)

    def _sheets_of(self, door: str) -> frozenset[str]:
        if door not in self._by_door:
            self._by_door[door] = frozenset(self._named(self._said[door]))
        return self._by_door[door]

    def _named(self, words: Set[str]) -> set[str]:
        """Types of data sheets among words, and what those sheets name."""
        found = words & self._site.sheets.keys()
        waiting = list(found)
        while waiting:
            more = self._words_of_sheet(waiting.pop()) - found
            found |= more
            waiting += more
        return found

    def _words_of_sheet(self, name: str) -> Set[str]:
        if name not in self._by_sheet:
            sheet = self._site.sheets[name]
            words = _words([getattr(sheet, field.name) for field in fields(sheet)])
            self._by_sheet[name] = words & self._site.sheets.keys()
        return self._by_sheet[name]


def _together(said: Mapping[str, Set[str]]) -> dict[str, tuple[str, ...]]:
    """For each door, given all that each says, the doors that it is wired with, itself among them, in the site's order: whoever
    names one another in a relation, a place or a conductor, directly or through others."""
    group = {door: {door} for door in said}
    for door, words in said.items():
        for other in _doors_named(door, words, said):
            if group[other] is not group[door]:
                group[door] |= group[other]
                for each in group[other]:
                    group[each] = group[door]
    place = {door: n for n, door in enumerate(said)}
    return {door: tuple(sorted(group[door], key=place.__getitem__)) for door in said}


def _doors_named(door: str, words: Set[str], doors: Collection[str]) -> Iterator[str]:
    """Other doors are named as `door/designation` or `door/place`, or as the door of a target."""
    for word in sorted(words):
        before, slash, _ = word.partition("/")
        if before in doors and before != door and (slash or before == word):
            yield before


def _words(value: Any) -> Set[str]:
    """Every text in a value, keys too; of a data sheet its type alone."""
    found: set[str] = set()
    waiting = [value]
    while waiting:
        of = waiting.pop()
        kind = type(of)
        if kind is str:
            found.add(of)
        elif kind in SHEETS:
            found.add(of.type)
        elif is_dataclass(kind):
            waiting += [getattr(of, name) for name in _fields(kind)]
        elif isinstance(of, Mapping):
            waiting += of
            waiting += of.values()
        elif isinstance(of, (Sequence, Set)):
            waiting += of
    return found


@cache
def _fields(kind: type) -> tuple[str, ...]:
    return tuple(field.name for field in fields(kind))

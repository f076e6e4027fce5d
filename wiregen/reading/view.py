"""The part of a site that the work on one door may depend on."""

from __future__ import annotations

from collections.abc import Callable, Collection, Iterable, Iterator, Mapping, Sequence, Set
from dataclasses import fields, is_dataclass, replace
from functools import cache
from operator import attrgetter
from typing import Any

from wiregen.reading.model import SHEETS, DataSheet, Device, Run, Site
from wiregen.reading.reach import Reach
from wiregen.reading.shared import SITE

EXAMPLES = ("button", "interface")  # kinds of devices that cures name a data sheet of, from what the site has


class Views:
    """A site as each of its doors sees it: the door, those that it is wired with, the shared devices that they name, the runs
    to the places of these, and the data sheets of all of them.

    Shared devices that name one another are seen together.  What doors do together (`joint`), slack and labels are matters of
    the site alone, so that they are left out.  A door that asks what else it could be fed from sees all to which runs lead from
    it, and what others have taken of that.
    """

    def __init__(self, site: Site) -> None:
        self._site = site
        self._bare = replace(
            site, doors={}, shared={}, runs={}, sheets={}, joint=(), slack=None, labels=None, taken=frozenset()
        )
        self._said = {door: _words(spec) for door, spec in site.doors.items()}
        self._together = _grouped({door: _doors_named(door, words, site.doors) for door, words in self._said.items()})
        self._own = {ref: _words(device) for ref, device in site.shared.items()}
        others = {ref: sorted((words & self._own.keys()) - {ref}) for ref, words in self._own.items()}
        self._districts = _grouped(others)
        self._reach = Reach(site)
        self._runs: dict[frozenset[str], dict[str, Run]] = {}
        self._shared: dict[frozenset[str], dict[str, Device]] = {}
        self._by_sheet: dict[str, Set[str]] = {}
        self._by_door: dict[str, frozenset[str]] = {}
        self._always = frozenset(
            {name for name, sheet in site.sheets.items() if isinstance(sheet, DataSheet) and sheet.is_ in EXAMPLES}
            | self._named(_words((self._bare, site.runs)))
        )

    def of(self, door: str) -> Site:
        """The site as that door sees it, or without any for `SITE`.  Raises KeyError where there is no such door."""
        doors = {} if door == SITE else {each: self._site.doors[each] for each in self._together[door]}
        asks = [each for each in doors.values() if each.otherwise]
        refs = frozenset(self._site.shared) if door == SITE else self._named_shared(doors).union(*map(self._reach.of, asks))
        shared = self._among(refs)
        names = self._always.union(self._named({device.sheet.type for device in shared.values()}), *map(self._sheets_of, doors))
        sheets = {name: sheet for name, sheet in self._site.sheets.items() if name in names}
        runs = self._site.runs if door == SITE else self._runs_to(doors, shared)
        taken = frozenset(outlet for outlet in self._site.taken if outlet[0] in shared) if asks else frozenset()
        return replace(self._bare, doors=doors, shared=shared, runs=runs, sheets=sheets, taken=taken)

    def _runs_to(self, doors: Iterable[str], shared: Iterable[str]) -> dict[str, Run]:
        """The runs on the way to the places that these name, in the site's order; for the same ones the same value."""
        runs = self._site.runs
        on = runs.keys() & set().union(*(self._said[door] for door in doors), *(self._own[ref] for ref in shared))
        waiting = list(on)
        while waiting:
            parent = str(runs[waiting.pop()].parent)
            if parent in runs and parent not in on:
                on.add(parent)
                waiting.append(parent)
        key = frozenset(on)
        if key not in self._runs:
            self._runs[key] = {place: run for place, run in runs.items() if place in on}
        return self._runs[key]

    def _named_shared(self, doors: Iterable[str]) -> frozenset[str]:
        words = {word.removeprefix(f"{SITE}/") for door in doors for word in self._said[door]}
        return frozenset(each for ref in words & self._site.shared.keys() for each in self._districts[ref])

    def _among(self, refs: frozenset[str]) -> dict[str, Device]:
        """Shared devices in the site's order; for the same ones the same value."""
        if refs not in self._shared:
            self._shared[refs] = {ref: device for ref, device in self._site.shared.items() if ref in refs}
        return self._shared[refs]

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


def _grouped(named: Mapping[str, Iterable[str]]) -> dict[str, tuple[str, ...]]:
    """For each of many, given whom each of them names, all that name one another, directly or through others, in their order;
    itself among them."""
    group = {one: {one} for one in named}
    for one, others in named.items():
        for other in others:
            if group[other] is not group[one]:
                group[one] |= group[other]
                for each in group[other]:
                    group[each] = group[one]
    place = {one: n for n, one in enumerate(named)}
    return {one: tuple(sorted(group[one], key=place.__getitem__)) for one in named}


def _doors_named(door: str, words: Set[str], doors: Collection[str]) -> Iterator[str]:
    """Those that a relation, a place or a conductor names: `door/designation`, `door/place`, or the door of a target."""
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
        kind: type = type(of)
        if kind is str:
            found.add(of)
        else:
            waiting += _inside(kind)(of)
    return found


@cache
def _inside(kind: type) -> Callable[[Any], Iterable[Any]]:
    """What is in each value of a kind."""
    if kind in SHEETS:
        return lambda of: (of.type,)
    if is_dataclass(kind):
        names = [field.name for field in fields(kind)]
        return attrgetter(*names) if len(names) > 1 else lambda of: [getattr(of, name) for name in names]
    if issubclass(kind, Mapping):
        return lambda of: (*of, *of.values())
    return iter if issubclass(kind, (Sequence, Set)) else lambda of: ()

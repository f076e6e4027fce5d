"""From entries to the spec files of new doors, each on outlets that the site has free; or to all that is wrong with them."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from contextlib import suppress
from dataclasses import dataclass, replace
from pathlib import Path

from wiregen.entering.cells import Cell
from wiregen.entering.entry import Entry
from wiregen.entering.open_ends import Short, Stock
from wiregen.entering.spec import Filled, Layout, Spec, write
from wiregen.reading.document import Table
from wiregen.reading.library import SpecFile
from wiregen.reading.load import load_kits, load_site
from wiregen.reading.model import Door, Problem, Site, SpecError, Target
from wiregen.reading.places import parent
from wiregen.reading.schema import offered, suggestion
from wiregen.reading.targets import target
from wiregen.wiring.wire import wire_door


@dataclass(frozen=True)
class _Planned:
    """An entry with its kit, where its spec goes, how it hangs on the site, and what its feed cell names."""

    entry: Entry
    kit: Table
    path: Path
    at: Layout
    feed: Cell | None  # one of the kit's
    chosen: tuple[Target, ...]  # shared devices, or outlets of them


def enter(folder: Path, entries: Sequence[Entry], wrong: Sequence[Problem] = ()) -> list[Spec]:
    """The specs of these doors, in their order, checked with the site as if they stood there; writes nothing.

    Raises SpecError with what is wrong with the site, or else with the entries, at their cells, and what was `wrong` before.
    """
    site, kits = load_site(folder), load_kits(folder)
    problems = [*wrong, *_twice(folder, site, entries)]
    planned: list[_Planned] = []
    for entry in entries:
        found = _planned(entry, folder, site, kits)
        if isinstance(found, _Planned):
            planned.append(found)
        else:
            problems += found
    there = {problem.where for problem in problems}
    planned = [one for one in planned if one.entry.door.where not in there]
    bare = [_spec(one, site) for one in planned]
    laid = _loaded(folder, bare, problems)
    if laid is None or problems:
        raise SpecError(_in_order(problems))
    stock, specs = Stock.of(site), []
    for one in planned:
        door = laid.doors[one.entry.door.text]
        try:
            specs.append(_spec(one, site, _filled(one, door, stock)))
        except Short as short:
            cell = one.entry.feed or one.entry.door
            problems.append(Problem(cell.where, "", f"{one.entry.door.text}: {short.wrong}", short.instead))
    made = None if problems else _loaded(folder, specs, problems)
    if made is not None:
        for one, spec in zip(planned, specs, strict=True):
            try:
                wire_door(made, made.doors[one.entry.door.text])
            except SpecError as error:
                problems += (_at_cell(problem, {str(spec.path): spec}) for problem in error.problems)
    if problems:
        raise SpecError(_in_order(problems))
    return specs


def places_of(folder: Path) -> frozenset[str]:
    """The places that runs of any kit within reach name."""
    return frozenset(str(place) for kit in load_kits(folder).values() for place in _runs(kit))


def next_id(site: Site) -> str:
    """The id after the highest of those that end in a number, spelt like it."""
    numbered = [(stem, digits) for stem, digits in map(_parted, site.doors) if digits]
    stem, digits = max(numbered, key=lambda one: (int(one[1]), one), default=("D", "100"))
    return f"{stem}{int(digits) + 1:0{len(digits)}}"


def _parted(word: str) -> tuple[str, str]:
    stem = word.rstrip("0123456789")
    return stem, word[len(stem) :]


def _filled(one: _Planned, door: Door, stock: Stock) -> list[Filled]:
    """The door filled; and with each feed that is not built, as far as the site has what that takes: only one takes it."""
    before = stock.copy()
    filled = [Filled(door, stock.fill(door, one.chosen, one.at.closet))]
    for other in door.otherwise:
        with suppress(Short):
            filled.append(Filled(other, before.copy().fill(other, (), one.at.closet)))
    return filled


def _spec(one: _Planned, site: Site, filled: Sequence[Filled] = ()) -> Spec:
    return write(one.entry, one.kit, one.path, site.house, one.at, one.feed, filled)


# ---- what is wrong with cells ----------------------------------------------------------------------------------------


def _twice(folder: Path, site: Site, entries: Sequence[Entry]) -> Iterator[Problem]:
    """Doors that are there already, in the site or further up; some file systems do not tell D1 from d1."""
    there = {door.casefold(): f"in {one.where.file}" for door, one in site.doors.items()}
    there |= {file.stem.casefold(): f"in {file}" for file in sorted((folder / "doors").glob("*.y*ml"))}
    for entry in entries:
        first = there.setdefault(entry.door.text.casefold(), f"in {entry.door.where}")
        if first != f"in {entry.door.where}":
            wrong = f"the door {entry.door.text} is already there, {first}"
            yield Problem(entry.door.where, "", wrong, "take the row out, or give the door another id")


def _planned(entry: Entry, folder: Path, site: Site, kits: Mapping[str, Table]) -> _Planned | list[Problem]:
    problems = []
    kit = kits.get(entry.kit.text)
    if kit is None:
        known = suggestion(entry.kit.text, kits) or offered(sorted(kits), "kits: ")
        problems.append(Problem(entry.kit.where, "", f"there is no kit {entry.kit.text}", known))
    feed, chosen = None, []
    for word in entry.feed.text.replace("+", " ").split() if entry.feed else ():
        assert entry.feed is not None
        feeds = kit.get("feeds", ()) if kit is not None else ()
        if word in feeds and feed is None:
            feed = replace(entry.feed, text=word)
        elif (wrong := _unusable(word, site, feeds, kit is not None)) is None:
            chosen.append(target(word))
        else:
            problems.append(replace(wrong, where=entry.feed.where))
    places = _places(site)
    if entry.closet and entry.closet.text not in places:
        known = suggestion(entry.closet.text, places) or offered(sorted(places), "places: ")
        problems.append(Problem(entry.closet.where, "", f"the site has no place {entry.closet.text}", known))
    for place, cell in entry.lengths.items():
        if kit is not None and place not in _runs(kit):
            known = offered(map(str, _runs(kit)), "its runs: ")
            problems.append(Problem(cell.where, "", f"the kit {entry.kit.text} has no run to {place}", known))
    if problems or kit is None:
        return problems
    path = folder / "doors" / f"{entry.door.text}.yaml"
    return _Planned(entry, kit, path, _layout(entry, site, kit, chosen), feed, tuple(chosen))


def _unusable(word: str, site: Site, feeds: Sequence[str], kit_known: bool) -> Problem | None:
    """Why a word of a feed cell names no free outlet, shared device or feed."""
    try:
        named = target(word)
    except ValueError:
        named = Target(word)
    device = site.shared.get(named.device)
    if device is None:
        known = [*site.shared, *map(str, feeds)]
        help_ = suggestion(word, known) or offered(known, "there are: ")
        what = f"{word} is neither a shared device of the site nor a feed of the kit"
        return Problem(site.where, "", what, help_) if kit_known else None
    if named.group is None:
        return None
    if named.group not in device.sheet.groups:
        groups = device.sheet.groups
        help_ = suggestion(named.group, groups) or offered(groups, "it has: ")
        return Problem(site.where, "", f"{named.device} has no {named.group}", help_)
    if (named.device, named.group) in site.taken:
        return Problem(site.where, "", f"{word} is taken", f"name another, or {named.device} alone for its next free one")
    return None


# ---- where it hangs --------------------------------------------------------------------------------------------------


def _runs(kit: Table) -> Table:
    runs = kit.get("runs")
    return runs if isinstance(runs, Table) else Table.at(kit.mark)


def _places(site: Site) -> set[str]:
    hung = {device.place for device in site.shared.values() if device.place}
    return {*site.runs, *(run.parent for run in site.runs.values()), *hung}


def _layout(entry: Entry, site: Site, kit: Table, chosen: Sequence[Target]) -> Layout:
    """The places of the kit that hang on nothing of its own, and the place of the site that they hang on.

    That is the one that the entry names, that of what it is fed from, the one that the kit names, or that of the first switch.
    """
    runs, places = _runs(kit), _places(site)
    parents = {str(place): str(parent(run)) for place, run in runs.items()}
    above = dict.fromkeys(each for each in parents.values() if each not in parents and each not in places)
    hung = {place: each for place, each in parents.items() if each in places}
    devices = [site.shared[one.device] for one in chosen]
    devices += sorted(site.shared.values(), key=lambda device: device.sheet.is_ != "switch")
    closets = (entry.closet.text if entry.closet else "", *(d.place for d in devices[: len(chosen)]), *hung.values())
    closet = next(filter(None, (*closets, *(d.place for d in devices))), "closet")
    return Layout(closet, (*above, *hung))


# ---- as if they stood there ------------------------------------------------------------------------------------------


def _loaded(folder: Path, specs: Sequence[Spec], problems: list[Problem]) -> Site | None:
    """The site with these specs; None after complaining, at the cells, of what is wrong with them."""
    try:
        return load_site(folder, [SpecFile(str(spec.path), spec.text.encode()) for spec in specs])
    except SpecError as error:
        by_file = {str(spec.path): spec for spec in specs}
        problems += (_at_cell(problem, by_file) for problem in error.problems)
        return None


def _at_cell(problem: Problem, specs: Mapping[str, Spec]) -> Problem:
    spec = specs.get(problem.where.file)
    return replace(problem, where=spec.cell(problem.where.line).where) if spec else problem


def _in_order(problems: Sequence[Problem]) -> tuple[Problem, ...]:
    return tuple(sorted(set(problems), key=lambda problem: (problem.where, problem.path, problem.wrong)))

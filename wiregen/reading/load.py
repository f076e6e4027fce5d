"""Reads a site's folder: `site.yaml`, `doors/`, and kits and data sheets in `kits/` and `devices/` beside it and above it."""

from __future__ import annotations

from collections.abc import Callable, Collection, Iterable, Iterator, Mapping, Sequence
from dataclasses import replace
from pathlib import Path

from wiregen.reading.document import Table, Text
from wiregen.reading.doors import door
from wiregen.reading.drafts import Draft, Named, check_kit, door_draft, site_draft
from wiregen.reading.folders import shared_folder
from wiregen.reading.formats import is_name
from wiregen.reading.label_sheet import of_labels
from wiregen.reading.library import Library, SpecFile, spec_files
from wiregen.reading.model import DataSheet, Door, Problem, Sheet, Site, SpecError, Where
from wiregen.reading.parsing import parse
from wiregen.reading.places import of_places
from wiregen.reading.references import Specs, of_conductors, of_devices
from wiregen.reading.sharing import of_lists, of_ports
from wiregen.reading.sites import site

Complain = Callable[[Problem], None]


def load_site(folder: Path, added: Sequence[SpecFile] = ()) -> Site:
    """The site in that folder, with the doors of `added` files as if they stood there.

    Raises SpecError with every problem of every file, in order of place.
    """
    problems: list[Problem] = []
    complain = problems.append
    written = _site_table(folder, complain)
    files = _named([*spec_files(folder / "doors", complain), *added], "door", complain)
    kits = _kits(folder, {str(table.get("like")) for table in files.tables.values()}, complain)
    doors = {name: door_draft(name, table, kits, complain) for name, table in files.tables.items()}
    if written is None:  # without it every reference would seem to lead nowhere
        raise SpecError(in_order(problems))
    library = Library.within(folder / "devices", shared_folder(folder) / "devices", complain)
    specs = Specs(site_draft(written, complain), doors, files.unread, library)
    for problem in _unresolved(specs):
        complain(problem)
    if problems:
        raise SpecError(in_order(problems))
    sheets = specs.library.used
    made = {name: _door(draft, sheets) for name, draft in sorted(doors.items())}
    return site(folder.resolve().name, specs.site.sound, sheets, made)


def load_catalogue(folder: Path, kind: str) -> tuple[DataSheet, ...]:
    """Every usable data sheet of that kind of device within reach of the site, used or not, by type.  Problems are told by
    nobody here: those of a sheet that nothing uses harm nothing."""
    library = Library.within(folder / "devices", shared_folder(folder) / "devices", lambda _: None)
    sheets = (library.get(name) for name in sorted(library.types))
    return tuple(sheet for sheet in sheets if isinstance(sheet, DataSheet) and sheet.is_ == kind)


def load_kits(folder: Path) -> Mapping[str, Table]:
    """Every kit within reach of the site as it stands in its file, used or not, by name.  Problems are told by nobody here."""
    return _kits(folder, frozenset(), lambda _: None).tables


def _kits(folder: Path, used: Collection[str], complain: Complain) -> Named:
    """The site's own kits, all checked; and those that sites share, of which only those in use are."""
    own = _named(spec_files(folder / "kits", complain), "kit", complain)
    held: list[Problem] = []
    shared = _named(spec_files(shared_folder(folder) / "kits", held.append), "kit", held.append)
    for name in shared.tables.keys() & own.tables.keys():
        wrong, first = f"the kit {name} is there twice", own.tables[name].where_of("kit")
        complain(Problem(shared.tables[name].where_of("kit"), "kit", wrong, f"the first is in {first}"))
    for name, kit in shared.tables.items():
        if name in used:
            check_kit(kit, complain)
    for kit in own.tables.values():
        check_kit(kit, complain)
    for problem in held:
        if Path(problem.where.file).stem in used:
            complain(problem)
    return Named({**shared.tables, **own.tables}, shared.unread | own.unread)


def _door(draft: Draft, sheets: Mapping[str, Sheet]) -> Door:
    """The door that is built, with those of the feeds that are not."""
    made = door(draft.sound, sheets, draft.kit)
    names = [name for name in made.feeds if name != made.feed]
    others = (replace(door(one.sound, sheets, one.kit), feed=name) for name, one in zip(names, draft.otherwise, strict=True))
    return replace(made, otherwise=tuple(others))


def in_order(problems: list[Problem]) -> tuple[Problem, ...]:
    """By place; said once where a kit or a bank said it for each of its users."""
    first = {(problem.where, problem.wrong): problem for problem in reversed(problems)}
    return tuple(sorted(first.values(), key=lambda problem: (problem.where, problem.path, problem.wrong)))


def _unresolved(specs: Specs) -> Iterator[Problem]:
    for draft in specs.drafts:
        for each in (draft, *draft.otherwise):
            yield from of_devices(specs, each)
        yield from of_conductors(specs, draft)
    yield from of_places(specs)
    yield from of_ports(specs)
    yield from of_lists(specs)
    yield from of_labels(specs.site)


def _site_table(folder: Path, complain: Complain) -> Table | None:
    path = folder / "site.yaml"
    try:
        raw = path.read_bytes()
    except OSError as error:
        complain(
            Problem(
                Where(str(path), 1, 1), "", f"the file cannot be read: {error.strerror}", "a site begins with its site.yaml"
            )
        )
        return None
    return parse(raw, str(path), complain)


def _named(files: Iterable[SpecFile], kind: str, complain: Complain) -> Named:
    """The tables of these files by the name that their first key gives; a name given twice is complained of."""
    tables: dict[str, Table] = {}
    unread: set[str] = set()
    names: dict[str, Text] = {}
    for file in files:
        written = parse(file.raw, file.name, complain)
        name = None if written is None else written.get(kind)
        if written is None or not isinstance(name, Text):
            unread.add(Path(file.name).stem)
            if written is not None:
                wrong = f"{kind} must be a name" if kind in written else f"the file has no {kind} key"
                complain(Problem(written.where_of(kind), "", wrong, f"begin it with {kind}: and a name"))
            continue
        first = names.setdefault(name.casefold(), name)  # some file systems do not tell D1 from d1
        if first is name:
            tables[str(name)] = written
        else:
            complain(Problem(name.where, kind, f"the {kind} {name} is there twice", f"the first is in {first.where}"))
        if first is not name or not is_name(name):
            unread.add(Path(file.name).stem)
    return Named(tables, frozenset(unread))

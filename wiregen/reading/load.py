"""Reads a site's folder: `site.yaml`, `doors/`, `kits/`, and data sheets in `devices/` beside the site and above it."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from pathlib import Path

from wiregen.reading.document import Table, Text, parse
from wiregen.reading.doors import door
from wiregen.reading.drafts import check_kit, door_draft, site_draft
from wiregen.reading.library import Library, spec_files
from wiregen.reading.model import Problem, Site, SpecError, Where
from wiregen.reading.places import of_places
from wiregen.reading.references import Specs, of_conductors, of_devices
from wiregen.reading.sharing import of_lists, of_ports
from wiregen.reading.sites import site

Complain = Callable[[Problem], None]


def load_site(folder: Path) -> Site:
    """The site in that folder.  Raises SpecError with every problem of every file, in order of place."""
    problems: list[Problem] = []
    complain = problems.append
    written = _site_table(folder, complain)
    kits = dict(_named(folder / "kits", "kit", complain))
    for kit in kits.values():
        check_kit(kit, complain)
    doors = {name: door_draft(name, table, kits, complain) for name, table in _named(folder / "doors", "door", complain)}
    if written is None:  # without it every reference would seem to lead nowhere
        raise SpecError(in_order(problems))
    specs = Specs(site_draft(written, complain), doors, Library((folder / "devices", folder.parent / "devices"), complain))
    for problem in _unresolved(specs):
        complain(problem)
    if problems:
        raise SpecError(in_order(problems))
    sheets = specs.library.used
    made = {name: door(draft.sound, sheets, draft.kit) for name, draft in sorted(doors.items())}
    return site(folder.resolve().name, specs.site.sound, sheets, made)


def in_order(problems: list[Problem]) -> tuple[Problem, ...]:
    """By place; said once where a kit or a bank said it for each of its users."""
    first = {(problem.where, problem.wrong): problem for problem in reversed(problems)}
    return tuple(sorted(first.values(), key=lambda problem: (problem.where, problem.path, problem.wrong)))


def _unresolved(specs: Specs) -> Iterator[Problem]:
    for draft in specs.drafts:
        yield from of_devices(specs, draft)
        yield from of_conductors(specs, draft)
    yield from of_places(specs)
    yield from of_ports(specs)
    yield from of_lists(specs)


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


def _named(folder: Path, kind: str, complain: Complain) -> Iterator[tuple[str, Table]]:
    """The tables of a folder by the name that their first key gives; a name given twice is complained of."""
    names: dict[str, Text] = {}
    for file in spec_files(folder, complain):
        written = parse(file.raw, file.name, complain)
        if written is None:
            continue
        name = written.get(kind)
        if not isinstance(name, Text):
            wrong = f"the file is no {kind}: it has no {kind} key" if name is None else f"{kind} must be a name"
            complain(Problem(written.where, "", wrong, f"begin it with {kind}: and a name"))
            continue
        first = names.setdefault(name.casefold(), name)  # some file systems do not tell D1 from d1
        if first is not name:
            complain(Problem(name.where, kind, f"the {kind} {name} is there twice", f"the first is in {first.where}"))
            continue
        yield str(name), written

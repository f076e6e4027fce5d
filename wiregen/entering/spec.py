"""The text of a new door's spec, commented for who fills in the rest; each line knows the cell that it came from."""

from __future__ import annotations

import json
import os
import re
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from wiregen.entering.cells import Cell
from wiregen.entering.entry import Entry
from wiregen.reading import schema
from wiregen.reading.document import Items, Table
from wiregen.reading.model import Device, Door, House, Relation
from wiregen.review.paste import chained

PLAIN = re.compile(r"[^\W_](?:[\w ().+/±-]*[\w).+])?")  # what YAML reads as the same text, in a block and in {...}
ABOUT = {"metric": "about 20 m", "imperial": "about 60 ft"}  # the run of a door that nobody has measured
RELATIONS = ("from", "through", "obeys")


@dataclass(frozen=True)
class Spec:
    """A spec file: its path, and each line with the cell that it came from."""

    path: Path
    lines: tuple[tuple[str, Cell], ...]

    @property
    def text(self) -> str:
        return "".join(f"{line}\n" for line, _ in self.lines)

    def cell(self, line: int) -> Cell:
        """That of a line counted from 1."""
        return self.lines[min(line, len(self.lines)) - 1][1]


@dataclass(frozen=True)
class Layout:
    """How the door's runs hang on the site: `roots`, the places of the kit that hang on `closet`, a place of the site."""

    closet: str
    roots: tuple[str, ...]


@dataclass(frozen=True)
class Filled:
    """A door as its kit leaves it, and with its open ends filled; with each feed that it has, or with none."""

    bare: Door
    filled: Door


def write(
    entry: Entry, kit: Table, path: Path, house: House, at: Layout, feed: Cell | None, filled: Sequence[Filled] = ()
) -> Spec:
    """The spec of a door like `kit`; `feed` is the one of the kit's that is built, where it is not the kit's own choice."""
    head = (
        f"# The kit {entry.kit.text} says the rest: what the lock shall do, which devices hang where. A key that is written",
        "# here goes before the kit's; `B1: none` among the devices takes B1 out. `wiregen check` says what is wrong.",
    )
    lines = [
        (f"# yaml-language-server: $schema={schema_path(path.parent)}", entry.door),
        *((line, entry.kit) for line in head),
        (f"door: {plain(entry.door.text)}", entry.door),
        *_name(entry, kit),
        (f"like: {plain(entry.kit.text)}", entry.kit),
        *([(f"feed: {plain(feed.text)}", feed)] if feed else ()),
        *((f"# {key}: {schema.flow(kit[key])}   as in the kit", entry.kit) for key in ("leave-by", "want") if key in kit),
        *_fire_rating(entry, kit),
        *_about(entry),
        *_runs(entry, kit, house, at),
        *_notes(entry, kit),
        *_outlets(entry, filled),
    ]  # fmt: skip
    return Spec(path, tuple(lines))


def schema_path(folder: Path) -> str:
    """The door's schema as an editor finds it from `folder`: in `schemas/` above it, else that of the installed program."""
    above = folder.resolve()
    beside = (each / "schemas" / "door.json" for each in above.parents)
    found = next((path for path in beside if path.is_file()), schema.folder().resolve() / "door.json")
    return Path(os.path.relpath(found, above)).as_posix()


def plain(text: str) -> str:
    """A text as YAML: as it is, or in quotes where YAML would read something else."""
    return text if PLAIN.fullmatch(text) else json.dumps(text, ensure_ascii=False)


Lines = Iterator[tuple[str, Cell]]


def _name(entry: Entry, kit: Table) -> Lines:
    if entry.name:
        yield f"name: {plain(' '.join(entry.name.text.split()))}", entry.name
    else:
        yield f"name: {plain(str(kit.get('name', entry.door.text)))}   # say what people call it", entry.door


def _fire_rating(entry: Entry, kit: Table) -> Lines:
    if entry.fire_rating:
        yield f"fire-rating: {plain(entry.fire_rating.text)}", entry.fire_rating
    elif "fire-rating" not in kit:
        yield "# fire-rating: EI 30   where it has one", entry.door


def _about(entry: Entry) -> Lines:
    if entry.about:
        yield "about:", entry.door
    for heading, cell in entry.about.items():
        yield f"  {plain(' '.join(heading.split()))}: {plain(' '.join(cell.text.split()))}", cell


def _runs(entry: Entry, kit: Table, house: House, at: Layout) -> Lines:
    runs = kit.get("runs", Table.at(kit.mark))
    yield "runs:   # measure what is written `about`: until then it prints as ASSUMED", entry.door
    for root in at.roots:
        known = _written(runs.get(root)) or ABOUT[house.units]
        length = entry.length.text if entry.length else known
        yield f"  {root}: {_run(runs.get(root), at.closet, length)}", entry.length or entry.closet or entry.door
    for place, run in runs.items():
        if place in at.roots:
            continue
        if place in entry.lengths:
            yield f"  {place}: {_run(run, '', entry.lengths[place].text)}", entry.lengths[place]
        else:
            yield f"  # {place}: {schema.flow(run)}   as in the kit", entry.door


def _written(run: Any) -> str:
    """The length of a run as its kit has it; empty where there is none."""
    return str(run[1]) if isinstance(run, Items) else str(run.get("length", "")) if isinstance(run, Table) else ""


def _run(run: Any, closet: str, length: str) -> str:
    """A run of the kit with another length, and hung on another place where `closet` names one."""
    if isinstance(run, Table):  # merges with the kit's, key by key
        hung = f"to: {closet}, " if closet else ""
        return f"{{{hung}length: {plain(length)}}}"
    parts = [closet or str(run[0]), plain(length), *(map(str, run[2:]) if run else ())]
    return f"[{', '.join(parts)}]"


def _notes(entry: Entry, kit: Table) -> Lines:
    """Those of the list after those of the kit, which a list of its own would replace."""
    if entry.notes is None:
        yield "# notes: [printed on the door's sheets]", entry.door
        return
    yield "notes:", entry.notes
    for note in kit.get("notes", ()):
        yield f"  - {plain(str(note))}", entry.kit
    for words in filter(None, map(str.split, entry.notes.text.splitlines())):
        yield f"  - {plain(' '.join(words))}", entry.notes


def _outlets(entry: Entry, filled: Sequence[Filled]) -> Lines:
    """What the open ends of the kit hang on: under its devices, or under each of its feeds."""
    cell = entry.feed or entry.door
    changed = [(one, _changed(one)) for one in filled]
    if any(refs for _, refs in changed):
        yield "# On what the site had free; another outlet of that kind does as well.", cell
        yield ("feeds:" if any(one.filled.feed for one in filled) else "devices:"), cell
    for one, refs in changed:
        indent = "  "
        if one.filled.feed and refs:
            yield f"  {one.filled.feed}:", cell
            indent = "    "
        for ref, words in refs.items():
            yield f"{indent}{ref}: {{{words}}}", cell


def _changed(one: Filled) -> dict[str, str]:
    """What to write of each device that was filled."""
    words = {ref: _changes(one.bare.devices[ref], device) for ref, device in one.filled.devices.items()}
    return {ref: each for ref, each in words.items() if each}


def _changes(bare: Device, filled: Device) -> str:
    kinds = [kind for kind in RELATIONS if _of(bare, kind) != _of(filled, kind)]
    return ", ".join(f"{kind}: {_relations(_of(filled, kind), kind)}" for kind in kinds)


def _of(device: Device, kind: str) -> tuple[Relation, ...]:
    return tuple(r for r in device.relations if r.kind == kind)


def _relations(relations: Sequence[Relation], kind: str) -> str:
    owns = list(dict.fromkeys(r.own for r in relations))
    if owns == [None]:
        return _related(relations, kind)
    return "{" + ", ".join(f"{own}: {_related([r for r in relations if r.own == own], kind)}" for own in owns) + "}"


def _related(relations: Iterable[Relation], kind: str) -> str:
    return chained(relations) if kind == "through" else ", ".join(str(r.target) for r in relations)

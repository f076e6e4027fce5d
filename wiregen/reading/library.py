"""The data sheets of a site: found by type, read when something uses them, laid over the sheet that they are like."""

from __future__ import annotations

import re
from collections.abc import Callable, Iterable, Iterator, Mapping
from dataclasses import replace
from functools import lru_cache
from pathlib import Path
from typing import NamedTuple

from wiregen.reading import schema
from wiregen.reading.banks import spread
from wiregen.reading.document import Table, Text
from wiregen.reading.model import DataSheet, Problem, Sheet, Where
from wiregen.reading.overlay import lay_over
from wiregen.reading.parsing import parse
from wiregen.reading.sheet_marks import contradictions
from wiregen.reading.sheets import sheet

Complain = Callable[[Problem], None]

TYPE_LINE = re.compile(rb"^type:[ ]*[\"']?([^\s\"'#]+)", re.MULTILINE)

# Keys of a group whose texts are dealt out where the group is a bank: marks, names and conditions, never quantities.
DEALT = frozenset(
    {
        *("plus", "minus", "poles", "between", "jacks", "common", "make", "break", "in", "out", "ref", "screen", "mark"),
        *("a", "b", "d0", "d1", "tx", "rx", "sense", "does", "out-of", "closed-when", "moves-when", "gives-when"),
    }
)


class SpecFile(NamedTuple):
    """A file's name as given on the command line, and its bytes."""

    name: str
    raw: bytes


def spec_files(folder: Path, complain: Complain) -> Iterator[SpecFile]:
    """The YAML files of a folder in order of name; one that cannot be read is complained of."""
    for path in sorted((*folder.glob("*.yaml"), *folder.glob("*.yml"))):
        try:
            yield SpecFile(str(path), path.read_bytes())
        except OSError as error:
            complain(Problem(Where(str(path), 1, 1), "", f"the file cannot be read: {error.strerror}"))


class Library:
    """Sheets by type.  Those in the site's own folder are all checked; of those shared by sites, the ones that are asked for.

    Complaints go to `complain`, once each.
    """

    def __init__(self, files: Mapping[str, SpecFile], complain: Complain) -> None:
        """`files` are by type."""
        self._complain = complain
        self._files = dict(files)
        self._tables: dict[str, Table | None] = {}
        self._sheets: dict[str, Sheet | None] = {}

    @classmethod
    def within(cls, own: Path, shared: Path, complain: Complain) -> Library:
        library = cls({}, complain)
        for file in spec_files(own, complain):
            library._index(file)
        local = list(library._files)
        for file in spec_files(shared, complain):
            library._index(file)
        for name in local:
            library.get(name)
        return library

    def _index(self, file: SpecFile) -> None:
        """Files the type under its name; the cheap look at one line spares parsing sheets that nothing uses."""
        line = TYPE_LINE.search(file.raw)
        if line is None:
            written = parse(file.raw, file.name, self._complain)
            named = None if written is None else written.get("type")
            if written is not None and not isinstance(named, Text):
                self._complain(Problem(written.where, "", "type is missing: the file is no data sheet", "type: strike-12"))
            name = str(named) if isinstance(named, Text) else None
        else:
            name = line[1].decode("utf-8", "replace")
        if name is None:
            return
        if name in self._files:
            row = 1 if line is None else file.raw[: line.start()].count(b"\n") + 1
            self._complain(
                Problem(
                    Where(file.name, row, 1), "type", f"{name} is described twice", f"the first is in {self._files[name].name}"
                )
            )
        self._files.setdefault(name, file)

    def __contains__(self, name: str) -> bool:
        return name in self._files

    @property
    def types(self) -> Iterable[str]:
        return self._files.keys()

    def get(self, name: str) -> Sheet | None:
        """The sheet of that type; None if there is none or if it is unusable, which was then complained of."""
        if name not in self._sheets:
            self._sheets[name] = self._known(name) or self._make(name)
        return self._sheets[name]

    @property
    def used(self) -> Mapping[str, Sheet]:
        """Every usable sheet that was asked for, by type."""
        return {name: made for name, made in sorted(self._sheets.items()) if made is not None}

    def _known(self, name: str) -> Sheet | None:
        """The sheet of that type if nothing is wrong with it; what is wrong is told by `_make` alone."""
        chain: list[str] = []
        like: str | None = name
        while like is not None:
            if like in chain or like not in self._files:
                return None
            chain.append(like)
            like = _like(self._files[like].raw)
        made = _sound(tuple(SpecFile(each, self._files[each].raw) for each in chain))
        return None if made is None else _in_files(made, {each: self._files[each].name for each in chain})

    def _make(self, name: str) -> Sheet | None:
        written = self._merged(name, ())
        if written is None:
            return None
        groups = written.get("groups")
        if isinstance(groups, Table):
            written = written.but("groups", spread(groups, DEALT.__contains__, self._complain, "groups"))
        faults = schema.faults("data-sheet", written)
        for fault in faults:
            self._complain(fault.problem)
        if faults:
            return None
        made = sheet(written)
        wrong = tuple(contradictions(made, written))
        for problem in wrong:
            self._complain(problem)
        return None if wrong else made

    def _merged(self, name: str, chain: tuple[str, ...]) -> Table | None:
        """The table of that sheet, laid over those that it is like."""
        if name not in self._tables:
            file = self._files.get(name)
            self._tables[name] = parse(file.raw, file.name, self._complain) if file else None
        written = self._tables[name]
        if written is None or "like" not in written:
            return written
        like = written["like"]
        if not isinstance(like, Text):
            return written
        if like in chain or like == name:
            self._complain(Problem(like.where, "like", f"{name} and {like} are each like the other", "one must stand alone"))
            return None
        if like not in self:
            wrong = f"there is no data sheet {like}"
            self._complain(Problem(like.where, "like", wrong, schema.suggestion(like, self.types)))
            return None
        base = self._merged(like, (*chain, name))
        return None if base is None else lay_over(base, written.without("like"))


# ---- sheets that are the same in every site: of the same bytes, wherever their files lie --------------------------------

KEPT = 512  # sheets


@lru_cache(maxsize=KEPT)
def _like(raw: bytes) -> str | None:
    """The type of the sheet over which this one is laid."""
    written = parse(raw, "", lambda _: None)
    like = None if written is None else written.get("like")
    return str(like) if isinstance(like, Text) else None


@lru_cache(maxsize=KEPT)
def _sound(files: tuple[SpecFile, ...]) -> Sheet | None:
    """The sheet of the first file, laid over those of the others, if nothing is wrong with it.

    Files go by their types, and so do the places in what it gives.
    """
    problems: list[Problem] = []
    made = Library({file.name: file for file in files}, problems.append)._make(files[0].name)
    return None if problems else made


def _in_files(made: Sheet, names: Mapping[str, str]) -> Sheet:
    """A sheet of `_sound` with its places in the files of those names."""

    def placed(where: Where) -> Where:
        return replace(where, file=names[where.file])

    if not isinstance(made, DataSheet):
        return replace(made, where=placed(made.where))
    groups = {name: replace(group, where=placed(group.where)) for name, group in made.groups.items()}
    return replace(made, where=placed(made.where), groups=groups)

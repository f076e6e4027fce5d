"""YAML to a document.

No YAML dialect turns a terminal `NO` into false or `12:30` into a number: libyaml's events are read, never a loader's
types.  A file is refused, with line and column, when it is not UTF-8, larger than 1 MB, deeper than 30 levels, gives a key
twice or no value, shares a part by an alias, carries a tag, or holds a character that cannot be printed.
"""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Callable
from dataclasses import dataclass
from typing import Any

import yaml

from wiregen.reading.document import Items, Mark, Table, Text, Value
from wiregen.reading.glyphs import unprintable
from wiregen.reading.model import Problem, Where

LARGEST_FILE = 1_000_000  # bytes
DEEPEST = 30  # levels
LONGEST_TEXT = 500  # characters of one scalar
MOST_PROBLEMS = 50  # of one file; a person mends those first

CONTROL = re.compile("[\x00-\x08\x0b\x0c\x0e-\x1f\x7f-\x84\x86-\x9f\ufffe\uffff]")  # what YAML 1.2 has no place for

# libyaml where the wheel carries it: ten times faster, the same events
Loader: Any = getattr(yaml, "CSafeLoader", yaml.SafeLoader)

Complain = Callable[[Problem], None]


class _Unusable(Exception):
    def __init__(self, problem: Problem) -> None:
        super().__init__(str(problem))
        self.problem = problem


def parse(raw: bytes, file: str, complain: Complain) -> Table | None:
    """The file's top mapping, or None after complaining.  Never raises, whatever the bytes."""
    try:
        return _Builder(file, complain).build(_decode(raw, file))
    except _Unusable as stop:
        complain(stop.problem)
        return None


def _decode(raw: bytes, file: str) -> str:
    if len(raw) > LARGEST_FILE:
        raise _Unusable(Problem(Where(file, 1, 1), "", "the file is larger than 1 MB", "split it"))
    try:
        string = raw.decode("utf-8-sig")
    except UnicodeDecodeError as error:
        before = raw[: error.start].decode("utf-8-sig", "replace")
        raise _Unusable(Problem(_place(file, before), "", "the file is not UTF-8 text", "save it as UTF-8")) from None
    odd = CONTROL.search(string)
    if odd:
        where = _place(file, string[: odd.start()])
        raise _Unusable(Problem(where, "", f"the control character U+{ord(odd[0]):04X} stands in the file", "take it out"))
    return string


def _place(file: str, before: str) -> Where:
    lines = before.split("\n")
    return Where(file, len(lines), len(lines[-1]) + 1)


@dataclass
class _Level:
    """A table or list that is being filled: the words that lead to it, and the key that waits for its value."""

    holder: Table | Items
    path: tuple[str, ...]
    key: Text | None = None

    def inner(self) -> tuple[str, ...]:
        """The words that lead to what comes next."""
        if isinstance(self.holder, Items):
            return (*self.path, str(len(self.holder) + 1))
        return (*self.path, self.key) if self.key is not None else self.path


class _Builder:
    """Builds tables from events on a stack of its own, so that depth and aliases are met before anything is built."""

    def __init__(self, file: str, complain: Complain) -> None:
        self.file = file
        self.stack: list[_Level] = []
        self.root: Value | None = None
        self._tell = complain
        self._told = 0

    def build(self, string: str) -> Table:
        top = Where(self.file, 1, 1)
        try:
            for event in yaml.parse(string, Loader=Loader):
                self._take(event)
        except yaml.MarkedYAMLError as error:
            raise _Unusable(_syntax(error, self.file, string)) from None
        except yaml.YAMLError as error:
            raise _Unusable(Problem(top, "", f"this is not YAML: {error}".splitlines()[0])) from None
        if self.root is None:
            raise _Unusable(Problem(top, "", "the file is empty", "its first key says what it is: site, door, kit or type"))
        if not isinstance(self.root, Table):
            wrong = "a spec file is a mapping (key: value)"
            raise _Unusable(Problem(self.root.where, "", wrong, "start with site, door, kit or type"))
        return self.root

    def _take(self, event: Any) -> None:
        match event:
            case yaml.ScalarEvent():
                self._put(self._scalar(event))
            case yaml.MappingStartEvent():
                self._open(event, Table.at(self._mark(event)))
            case yaml.SequenceStartEvent():
                self._open(event, Items.at(self._mark(event)))
            case yaml.MappingEndEvent() | yaml.SequenceEndEvent():
                self.stack.pop()
            case yaml.AliasEvent():
                wrong = f"the alias *{event.anchor} repeats another part of the file"
                raise self._refusal(event, wrong, "write it out, or put what doors share into a kit")
            case yaml.DocumentStartEvent() if self.root is not None:
                raise self._refusal(event, "a second document begins", "one file, one document")

    def _open(self, event: Any, holder: Table | Items) -> None:
        self._untagged(event)
        if len(self.stack) == DEEPEST:
            raise self._refusal(event, f"more than {DEEPEST} levels deep", "specs need six or so")
        path = self.stack[-1].inner() if self.stack else ()
        self._put(holder)
        self.stack.append(_Level(holder, path))

    def _put(self, value: Value) -> None:
        """Where the value belongs: under the key that waits, into the list, or as a key."""
        if not self.stack:
            self.root = value
            return
        level = self.stack[-1]
        if isinstance(level.holder, Items):
            level.holder.append(value)
        elif level.key is not None:
            level.holder.setdefault(level.key, value)
            level.key = None
        elif isinstance(value, Text):
            if value in level.holder:
                first = level.holder.where_of(value).line
                self._complain(value.mark, level.path, f"the key {value} is given twice (first in line {first})", "keep one")
            level.key = value
        else:
            raise _Unusable(
                Problem(value.where, ", ".join(level.path), "a key must be a word", "quote it if it begins with { or [")
            )

    def _scalar(self, event: Any) -> Text:
        self._untagged(event)
        string: str = event.value
        mark = self._mark(event)
        if event.style in ("|", ">"):
            string = string.rstrip("\n")
        if not string.isascii():
            string = unicodedata.normalize("NFC", string)
        if not string and not event.style:
            raise _Unusable(_empty(Where(*mark), self.stack[-1] if self.stack else None))
        odd = unprintable(string)
        if len(string) > LONGEST_TEXT:
            wrong = f"a text of {len(string)} characters"
            self._complain(mark, self.stack[-1].inner() if self.stack else (), wrong, f"at most {LONGEST_TEXT} fit on a sheet")
        elif odd:
            path = self.stack[-1].inner() if self.stack else ()
            self._complain(mark, path, odd, "the sheets cannot print it: take it out")
        return Text.at(string, mark)

    def _complain(self, mark: Mark, path: tuple[str, ...], wrong: str, instead: str) -> None:
        if self._told == MOST_PROBLEMS:
            raise _Unusable(Problem(Where(*mark), "", f"more than {MOST_PROBLEMS} problems in one file", "mend those first"))
        self._told += 1
        self._tell(Problem(Where(*mark), ", ".join(path), wrong, instead))

    def _mark(self, event: Any) -> Mark:
        return (self.file, event.start_mark.line + 1, event.start_mark.column + 1)

    def _refusal(self, event: Any, wrong: str, instead: str) -> _Unusable:
        return _Unusable(Problem(Where(*self._mark(event)), "", wrong, instead))

    def _untagged(self, event: Any) -> None:
        if event.tag is not None and event.tag != "!":
            raise self._refusal(event, f"the tag {event.tag}", "tags are not used: leave it out")


def _empty(where: Where, level: _Level | None) -> Problem:
    """A value that is not there: forgotten, or cut off by a comma inside {...} that should have been quoted."""
    key = level.key if level is not None else None
    path = ", ".join(level.path) if level is not None else ""
    if level is None or key is None:
        return Problem(where, path, "an empty entry", "fill it or take it out")
    if level.holder and where == Where(key.mark[0], key.mark[1], key.mark[2] + len(key)):
        before = list(level.holder)[-1]
        wrong = f"{key} has no value: a comma inside a value of {{...}} ends it"
        return Problem(key.where, path, wrong, f'quote it: {before}: "..., {key}"')
    return Problem(key.where, path, f"{key} has no value", "write one, or take the key out")


def _syntax(error: yaml.MarkedYAMLError, file: str, string: str) -> Problem:
    mark = error.problem_mark or error.context_mark
    where = Where(file, mark.line + 1, mark.column + 1) if mark else Where(file, 1, 1)
    lines = string.splitlines()
    line = lines[where.line - 1] if where.line <= len(lines) else ""
    tab = line[: where.column].find("\t")
    if tab >= 0:
        return Problem(Where(file, where.line, tab + 1), "", "a tab stands where YAML wants blanks", "indent with blanks")
    wrong = (error.problem or "unreadable").strip()
    context = f" ({error.context.strip()})" if error.context else ""
    return Problem(where, "", f"this is not YAML: {wrong}{context}", "look for a missing quote, bracket or colon just before")

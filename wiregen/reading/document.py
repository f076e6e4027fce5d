"""A spec file as text, tables and lists that remember where they stand.

Every scalar is text: no YAML dialect turns a terminal `NO` into false or `12:30` into a number.  A file is refused, with
line and column, when it is not UTF-8, larger than 1 MB, deeper than 30 levels, gives a key twice or an empty value,
shares a part by an alias, carries a tag, or holds a character that cannot be printed.
"""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Callable, Iterable, Iterator
from typing import Any

import yaml

from wiregen.reading.glyphs import unprintable
from wiregen.reading.model import Problem, Where

LARGEST_FILE = 1_000_000  # bytes
DEEPEST = 30  # levels
LONGEST_TEXT = 500  # characters of one scalar

try:  # libyaml where the wheel carries it: ten times faster, same events
    Loader: Any = yaml.CSafeLoader
except AttributeError:  # pragma: no cover
    Loader = yaml.SafeLoader

Mark = tuple[str, int, int]


class Text(str):
    """A scalar, and where it stands."""

    __slots__ = ("mark",)
    mark: Mark

    @classmethod
    def at(cls, string: str, mark: Mark) -> Text:
        made = cls(string)
        made.mark = mark
        return made

    @property
    def where(self) -> Where:
        return Where(*self.mark)


class Table(dict[Any, Any]):
    """A mapping of texts to texts, tables and lists.  Its keys are `Text` too."""

    __slots__ = ("mark",)
    mark: Mark

    @classmethod
    def at(cls, mark: Mark, entries: Iterable[tuple[Text, Any]] = ()) -> Table:
        made = cls(entries)
        made.mark = mark
        return made

    @property
    def where(self) -> Where:
        return Where(*self.mark)

    def where_of(self, key: str) -> Where:
        """Where that key stands; where the table begins if it has no such key."""
        return next((k.where for k in self if k == key), self.where)

    def but(self, key: str, value: Any) -> Table:
        """A copy in which one entry has another value."""
        return Table.at(self.mark, ((k, value if k == key else v) for k, v in self.items()))

    def without(self, *keys: str) -> Table:
        """A copy without these entries."""
        return Table.at(self.mark, ((k, v) for k, v in self.items() if k not in keys))


class Items(list[Any]):
    """A sequence of texts, tables and lists."""

    __slots__ = ("mark",)
    mark: Mark

    @classmethod
    def at(cls, mark: Mark, entries: Iterable[Any] = ()) -> Items:
        made = cls(entries)
        made.mark = mark
        return made

    @property
    def where(self) -> Where:
        return Where(*self.mark)


Value = Text | Table | Items


class _Unusable(Exception):
    def __init__(self, problem: Problem) -> None:
        super().__init__(str(problem))
        self.problem = problem


def parse(raw: bytes, file: str, complain: Callable[[Problem], None]) -> Table | None:
    """The file's top mapping, or None after complaining.  Never raises, whatever the bytes."""
    try:
        return _Builder(file, complain).build(_decode(raw, file))
    except _Unusable as stop:
        complain(stop.problem)
        return None


def _decode(raw: bytes, file: str) -> str:
    if len(raw) > LARGEST_FILE:
        raise _Unusable(Problem(Where(file, 1, 1), "", f"the file is larger than {LARGEST_FILE // 1_000_000} MB", "split it"))
    try:
        string = raw.decode("utf-8-sig")
    except UnicodeDecodeError as error:
        before = raw[: error.start].decode("utf-8-sig", "replace")
        raise _Unusable(Problem(_place(file, before), "", "the file is not UTF-8 text", "save it as UTF-8")) from None
    odd = re.search(r"[^\t\n\r\x20-\x7e\x85\xa0-\ud7ff\ue000-\ufffd\U00010000-\U0010ffff]", string)
    if odd:
        where = _place(file, string[: odd.start()])
        raise _Unusable(Problem(where, "", f"the control character U+{ord(odd[0]):04X} stands in the file", "take it out"))
    return string


def _place(file: str, before: str) -> Where:
    lines = before.split("\n")
    return Where(file, len(lines), len(lines[-1]) + 1)


class _Builder:
    """Builds the tables from libyaml's events, so that depth and aliases are met before anything is built."""

    def __init__(self, file: str, complain: Callable[[Problem], None]) -> None:
        self.file = file
        self.complain = complain

    def build(self, string: str) -> Table:
        top = Where(self.file, 1, 1)
        try:
            value = self._consume(yaml.parse(string, Loader=Loader))
        except yaml.MarkedYAMLError as error:
            raise _Unusable(_syntax(error, self.file, string)) from None
        except yaml.YAMLError as error:
            raise _Unusable(Problem(top, "", f"this is not YAML: {error}".splitlines()[0])) from None
        if value is None:
            raise _Unusable(Problem(top, "", "the file is empty", "its first key says what it is: site, door, kit or type"))
        if not isinstance(value, Table):
            raise _Unusable(
                Problem(value.where, "", "a spec file is a mapping (key: value)", "start with site, door, kit or type")
            )
        return value

    def _consume(self, events: Iterator[Any]) -> Value | None:
        """One pass over the events with an explicit stack; `keys` holds the key that waits for its value, by level."""
        root: Value | None = None
        stack: list[Table | Items] = []
        keys: list[Text | None] = []
        for event in events:
            match event:
                case yaml.ScalarEvent():
                    value: Value = self._scalar(event, stack, keys)
                case yaml.MappingStartEvent() | yaml.SequenceStartEvent():
                    mark = self._mark(event)
                    self._plain(event, "a mapping" if isinstance(event, yaml.MappingStartEvent) else "a list")
                    if len(stack) == DEEPEST:
                        raise _Unusable(Problem(Where(*mark), "", f"more than {DEEPEST} levels deep", "specs need six or so"))
                    value = Table.at(mark) if isinstance(event, yaml.MappingStartEvent) else Items.at(mark)
                case yaml.MappingEndEvent() | yaml.SequenceEndEvent():
                    stack.pop()
                    keys.pop()
                    continue
                case yaml.AliasEvent():
                    raise _Unusable(
                        Problem(
                            Where(*self._mark(event)),
                            "",
                            f"the alias *{event.anchor} repeats another part of the file",
                            "write it out, or put what doors share into a kit",
                        )
                    )
                case yaml.DocumentStartEvent() if root is not None:
                    raise _Unusable(
                        Problem(Where(*self._mark(event)), "", "a second document begins", "one file, one document")
                    )
                case _:
                    continue
            if not stack:
                root = value
            elif isinstance(stack[-1], Items):
                stack[-1].append(value)
            elif (key := keys[-1]) is None:
                keys[-1] = self._key(value, stack[-1])
            else:
                stack[-1].setdefault(key, value)
                keys[-1] = None
            if isinstance(value, (Table, Items)):
                stack.append(value)
                keys.append(None)
        return root

    def _mark(self, event: Any) -> Mark:
        return (self.file, event.start_mark.line + 1, event.start_mark.column + 1)

    def _plain(self, event: Any, what: str) -> None:
        if event.tag is not None and event.tag != "!":
            where = Where(*self._mark(event))
            raise _Unusable(Problem(where, "", f"{what} carries the tag {event.tag}", "tags are not used: leave it out"))

    def _scalar(self, event: Any, stack: list[Table | Items], keys: list[Text | None]) -> Text:
        self._plain(event, "a value")
        string: str = event.value
        mark = self._mark(event)
        if event.style in ("|", ">"):
            string = string.rstrip("\n")
        if not string.isascii():
            string = unicodedata.normalize("NFC", string)
        if not string and event.style is None:
            raise _Unusable(_empty(Where(*mark), stack, keys, _path(stack, keys)))
        if len(string) > LONGEST_TEXT:
            self.complain(
                Problem(
                    Where(*mark),
                    _path(stack, keys),
                    f"a text of {len(string)} characters",
                    f"at most {LONGEST_TEXT} fit on a sheet",
                )
            )
        elif odd := unprintable(string):
            self.complain(Problem(Where(*mark), _path(stack, keys), odd, "the sheets cannot print it: take it out"))
        return Text.at(string, mark)

    def _key(self, value: Value, holder: Table | Items) -> Text:
        if not isinstance(value, Text):
            raise _Unusable(Problem(value.where, "", "a key must be a word", "quote it if it begins with { or ["))
        if isinstance(holder, Table) and value in holder:
            first = holder.where_of(value)
            self.complain(
                Problem(value.where, "", f"the key {value} is given twice (first in line {first.line})", "keep one of them")
            )
        return value


def _path(stack: list[Table | Items], keys: list[Text | None]) -> str:
    words = [str(len(level) + 1) if isinstance(level, Items) else key for level, key in zip(stack, keys, strict=True)]
    return ", ".join(word for word in words if word)


def _empty(where: Where, stack: list[Table | Items], keys: list[Text | None], path: str) -> Problem:
    key = keys[-1] if keys else None
    if key is None:
        return Problem(where, path, "an empty entry", "fill it or take it out")
    if stack and len(stack[-1]) and where == _after(key):
        before = list(stack[-1])[-1]
        wrong = f"{key} has no value: a comma inside a value of {{...}} ends it"
        return Problem(key.where, path, wrong, f'quote it: {before}: "..., {key}"')
    return Problem(key.where, path, f"{key} has no value", "write one, or take the key out")


def _after(key: Text) -> Where:
    return Where(key.mark[0], key.mark[1], key.mark[2] + len(key))


def _syntax(error: yaml.MarkedYAMLError, file: str, string: str) -> Problem:
    mark = error.problem_mark or error.context_mark
    where = Where(file, mark.line + 1, mark.column + 1) if mark else Where(file, 1, 1)
    lines = string.splitlines()
    line = lines[where.line - 1] if where.line <= len(lines) else ""
    if "\t" in line[: where.column] or (error.problem and "\\t" in error.problem):
        return Problem(
            Where(file, where.line, line.find("\t") + 1 or 1), "", "a tab stands where YAML wants blanks", "indent with blanks"
        )
    wrong = (error.problem or "unreadable").strip()
    context = f" ({error.context.strip()})" if error.context else ""
    return Problem(where, "", f"this is not YAML: {wrong}{context}", "look for a missing quote, bracket or colon just before")

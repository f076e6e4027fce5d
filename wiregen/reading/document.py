"""A spec file as text, tables and lists that remember where they stand.  Every scalar is text."""

from __future__ import annotations

from collections.abc import Iterable
from typing import Any

from wiregen.reading.model import Where

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

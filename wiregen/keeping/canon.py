"""Values in one canonical form, whatever place in a file they were read from, and SHA-256 over it."""

from __future__ import annotations

import hashlib
import json
from collections.abc import Iterator, Mapping, Sequence, Set
from dataclasses import fields, is_dataclass
from functools import cache
from typing import Any

from wiregen.reading.model import SHEETS, Device, Site, Where

COMMON = (*SHEETS, Device)  # long, and the same for many doors
OF_DOORS = ("doors", "sheets")  # what the views of a site do not have in common

Memo = dict[int, tuple[object, str, tuple[Where, ...]]]  # by id of what is common: itself, its digest, its places in order


class Canon:
    """The canonical form of a value, as its `digest` (SHA-256 in hexadecimal) and the places that it names.

    A dataclass or a named tuple becomes its class name and its fields, a mapping keeps its order, a set is sorted.  A place
    becomes its number in `places`, in the order of first mention: two values with one digest differ in nothing but where they
    were written, and the places of the one stand for those of the other.  Data sheets are long and common to many doors, as is
    what a site has for all of them: with one `memo` they are gone through once.
    """

    def __init__(self, value: Any, memo: Memo | None = None) -> None:
        self.places: dict[Where, int] = {}
        self._memo = {} if memo is None else memo
        self.digest = _digest(self._plain(value))

    def _plain(self, value: Any) -> Any:
        kind: Any = type(value)
        if kind is str or value is None or kind is bool or kind is int or kind is float:
            return value
        if kind is Where:
            return self._place(value)
        if kind in COMMON:
            return self._known(value)
        if kind is Site:
            return [self._plain(of) if name in OF_DOORS else self._known(of) for name, of in _fields(value)]
        if is_dataclass(value) or hasattr(kind, "_fields"):
            return [kind.__name__, *[self._plain(of) for _, of in _fields(value)]]
        if isinstance(value, Mapping):
            return [[self._plain(k), self._plain(v)] for k, v in value.items()]
        if isinstance(value, Set):
            return sorted(map(self._plain, value), key=repr)
        if isinstance(value, Sequence):
            return [*map(self._plain, value)]
        raise TypeError(f"no canonical form for {kind.__name__}")

    def _place(self, place: Where) -> list[int]:
        return [self.places.setdefault(place, len(self.places))]

    def _known(self, value: Any) -> Any:
        known = self._memo.get(id(value))
        if known is None:
            inner = [of for _, of in _fields(value)] if type(value) in COMMON else value
            alone = type(self)(inner, self._memo)
            known = self._memo[id(value)] = (value, alone.digest, tuple(alone.places))
        return [known[1], [self._place(place) for place in known[2]]]


class _Unplaced(Canon):
    """The same of values that say nothing of where they were written."""

    def _place(self, place: Where) -> list[int]:
        return []


def content_hash(*values: Any) -> str:
    """SHA-256, in hexadecimal, over what values say; not where they were written."""
    return _Unplaced(values).digest


def _digest(plain: Any) -> str:
    return hashlib.sha256(json.dumps(plain, ensure_ascii=True, separators=(",", ":")).encode("ascii")).hexdigest()


def _fields(value: Any) -> Iterator[tuple[str, Any]]:
    kind: Any = type(value)
    return ((name, getattr(value, name)) for name in _names(kind))


@cache
def _names(kind: type) -> tuple[str, ...]:
    return getattr(kind, "_fields", None) or tuple(field.name for field in fields(kind))

"""Banks: `Y1..8` stands for Y1, Y2 ... Y8, and what stands beside it with as many numbers is dealt out one by one."""

from __future__ import annotations

import re
from collections.abc import Callable
from typing import Any

from wiregen.reading.document import Items, Table, Text
from wiregen.reading.model import Problem

RANGE = re.compile(r"(?P<head>.*?)(?P<first>\d+)\.\.(?P<last>\d+)(?P<tail>.*)", re.DOTALL)
LARGEST = 200  # members of a bank
MOST = 1000  # entries of a table whose banks are spelt out

Complain = Callable[[Problem], None]


def spell(word: str) -> list[str]:
    """`F1..3+` as F1+, F2+, F3+; a word without a range as itself.  ValueError with the reason if the range is unusable."""
    found = RANGE.fullmatch(word)
    if found is None:
        return [word]
    first, last = int(found["first"][:9]), int(found["last"][:9])
    if ".." in found["tail"]:
        raise ValueError(f"{word} has two ranges")
    if first >= last:
        raise ValueError(f"{word} does not count upwards")
    if last - first >= LARGEST:
        raise ValueError(f"{word} counts more than {LARGEST}")
    return [f"{found['head']}{number}{found['tail']}" for number in range(first, last + 1)]


def deal(value: Any, number: int, count: int, complain: Complain, path: str) -> Any:
    """What member `number` of a bank of `count` gets of `value`: ranges are dealt out, all else is shared."""
    if isinstance(value, Text):
        return _deal_text(value, number, count, complain, path)
    if isinstance(value, Items):
        return Items.at(value.mark, (deal(entry, number, count, complain, path) for entry in value))
    if isinstance(value, Table):
        return Table.at(value.mark, ((key, deal(entry, number, count, complain, path)) for key, entry in value.items()))
    return value


def _deal_text(value: Text, number: int, count: int, complain: Complain, path: str) -> Text:
    try:
        words = spell(value)
    except ValueError as error:
        complain(Problem(value.where, path, str(error), "write first..last, such as 1..8"))
        return value
    if len(words) == 1:
        return value
    if len(words) != count:
        complain(Problem(value.where, path, f"{value} counts {len(words)}, its bank counts {count}", "both must count alike"))
    return Text.at(words[min(number, len(words) - 1)], value.mark)


def spread(entries: Table, dealt: Callable[[str], bool], complain: Complain, path: str) -> Table:
    """A table with each bank among its keys spelt out; inside an entry, the keys for which `dealt` holds are dealt out."""
    if not any(".." in key for key in entries):
        return entries
    made = Table.at(entries.mark)
    for key, value in entries.items():
        try:
            words = spell(key)
        except ValueError as error:
            complain(Problem(key.where, path, str(error), "write first..last, such as Y1..8"))
            continue
        if len(made) + len(words) > MOST:
            complain(Problem(key.where, path, f"more than {MOST} entries with this bank", "cut it in two"))
            break
        for number, word in enumerate(words):
            one = _member(value, number, len(words), dealt, complain, f"{path}, {key}") if len(words) > 1 else value
            if word in made:
                complain(Problem(key.where, path, f"{word} is given twice", f"first in line {made.where_of(word).line}"))
            made.setdefault(Text.at(word, key.mark), one)
    return made


def _member(value: Any, number: int, count: int, dealt: Callable[[str], bool], complain: Complain, path: str) -> Any:
    if not isinstance(value, Table):
        return deal(value, number, count, complain, path)
    entries = (
        (key, deal(entry, number, count, complain, f"{path}, {key}") if dealt(key) else entry) for key, entry in value.items()
    )
    return Table.at(value.mark, entries)

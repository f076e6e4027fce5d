"""Wire numbers: each potential after its origin terminal, each of its conductors with a letter.

The number is the origin's designation and the two-digit place of its terminal in the data sheet ("A106"); where several
terminals of the origin are tied inside it, the first of them counts, whichever is landed.  So what is appended to a spec
changes no number that was there before.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping, Sequence

from wiregen.reading.model import DataSheet, Drive, Gives, Group, Input
from wiregen.wiring.joins import Join
from wiregen.wiring.model import End

MOST_TERMINALS = 99
ALPHABET = "abcdefghijkmnpqrstuvwxyz"  # without l and o, which are read as 1 and 0 beside a number: drawing practice, no source


def letters(number: int) -> str:
    """a, b ... z, aa, ab ... for 0, 1 ..., of ALPHABET."""
    word = ""
    number += 1
    while number:
        number, rest = divmod(number - 1, len(ALPHABET))
        word = ALPHABET[rest] + word
    return word


def origins(joins: Sequence[Join], potential: Callable[[End], End], sheets: Mapping[str, DataSheet]) -> dict[End, End]:
    """The origin terminal of each potential: what gives power before inputs and drives, those before the rest.

    Of several the one highest upstream: a controller's 0 V yields to that of the supply that feeds it.
    """
    written: dict[End, list[Join]] = {}
    for join in sorted(joins, key=lambda j: j.order):
        written.setdefault(potential(join.a), []).append(join)
    found = {}
    for root, own in written.items():
        rank = {end: _rank(sheets[end.device], end.terminal) for join in own for end in (join.a, join.b)}
        best = min(rank, key=lambda end: rank[end])
        seen = {best.device}
        while (above := _above(own, rank, best, seen)) is not None:
            best = above
            seen.add(best.device)
        found[root] = _first_tied(sheets, best)
    return found


def _above(joins: list[Join], rank: Mapping[End, int], end: End, seen: set[str]) -> End | None:
    for join in joins:
        if join.b.device == end.device and join.a.device not in seen and rank[join.a] <= rank[end]:
            return join.a
    return None


def _rank(sheet: DataSheet, mark: str) -> int:
    tied = {mark}.union(*(t for t in sheet.tied if mark in t))
    groups = sheet.groups.values()
    if _plays(groups, tied, lambda g: isinstance(g, Gives)):
        return 0
    roles = (g.in_ if isinstance(g, Input) else g.out if isinstance(g, Drive) else None for g in groups)
    return 1 if any(role in tied for role in roles) else 2


def _plays(groups: Iterable[Group], marks: set[str], test: Callable[[Group], bool]) -> bool:
    return any(test(group) and marks & set(group.marks) for group in groups)


def _first_tied(sheets: Mapping[str, DataSheet], end: End) -> End:
    sheet = sheets[end.device]
    tied = {end.terminal}.union(*(t for t in sheet.tied if end.terminal in t))
    return End(end.device, min(tied, key=lambda mark: sheet.terminal(mark).ordinal))


def number(origin: End, sheets: Mapping[str, DataSheet]) -> str:
    """ "A106" for the sixth terminal of A1; "D117A106" for that of another door's A1."""
    ordinal = sheets[origin.device].terminal(origin.terminal).ordinal
    return f"{origin.device.replace('/', '')}{ordinal:02d}"

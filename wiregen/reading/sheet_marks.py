"""What a JSON Schema cannot see in a data sheet: marks, groups and settings that are named but not there."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator
from typing import Any

from wiregen.reading.banks import spell
from wiregen.reading.document import Items, Table, Text
from wiregen.reading.model import CableSheet, Changeover, Contact, DataSheet, Gives, Group, Jack, Pass, Problem, Sheet, Takes
from wiregen.reading.schema import offered, suggestion

CONDITIONS = frozenset(
    {
        *("powered", "mains", "grant", "call", "pressed", "motion", "vehicle", "shut", "latched", "bonded", "thrown"),
        *("open", "fire", "tampered", "alarm", "passed", "chosen"),
    }
)
POLES = {"dc": "plus", "ac": "poles", "mains": "live"}  # the key that each kind of current needs
MOST_TERMINALS = 99  # two digits of a wire number


def contradictions(sheet: Sheet, written: Table) -> Iterator[Problem]:
    """`written` is the merged table that `sheet` was made from: it says where things stand."""
    if isinstance(sheet, CableSheet):
        yield from _cores(sheet, written)
    if isinstance(sheet, DataSheet):
        yield from _terminals(sheet, written)
        yield from _marks(sheet, written)
        yield from _names(sheet, written)


def _cores(sheet: CableSheet, written: Table) -> Iterator[Problem]:
    for core, times in Counter(sheet.cores).items():
        if times > 1:
            where = written.where_of("cores")
            yield Problem(where, "cores", f"the core {core} is there {times} times", "tell them apart by a number: BK1, BK2")
    for pair in written.get("pairs", ()):
        for core in pair:
            if core not in sheet.cores:
                yield Problem(core.where, "pairs", f"there is no core {core}", offered(sheet.cores, "its cores: "))


def _terminals(sheet: DataSheet, written: Table) -> Iterator[Problem]:
    where = written.where_of("terminals")
    for mark, times in Counter(terminal.mark for terminal in sheet.terminals).items():
        if times > 1:
            yield Problem(
                where, "terminals", f"the mark {mark} is there {times} times", "each terminal needs a mark of its own"
            )
    if len(sheet.terminals) > MOST_TERMINALS:
        yield Problem(
            where, "terminals", f"{len(sheet.terminals)} terminals", f"a sheet has at most {MOST_TERMINALS}: cut it in two"
        )


def _marks(sheet: DataSheet, written: Table) -> Iterator[Problem]:
    """Every mark that a group, a tie, a part or `pulled-off` names stands among the terminals."""
    marks = {terminal.mark for terminal in sheet.terminals}
    for name, group in sheet.groups.items():
        body = written["groups"][name]
        if isinstance(group, Takes | Gives) and not group.marks:
            yield Problem(
                group.where, f"groups, {name}", "it has no terminals", "say plus and minus, or poles, or live and neutral"
            )
        elif isinstance(group, Takes | Gives) and POLES[group.current] not in body:
            wrong = f"{group.current} current without {POLES[group.current]}"
            yield Problem(
                body["current"].where, f"groups, {name}", wrong, "dc: plus and minus; ac: poles; mains: live and neutral"
            )
        if isinstance(group, Pass) and (group.between is None) == (group.jacks is None):
            yield Problem(group.where, f"groups, {name}", "a pass is between two terminals or two jacks", "say one of them")
        if group.kind == "line" and not group.marks[: len(group.marks)]:
            yield Problem(group.where, f"groups, {name}", "the line has no terminals", "say a and b, d0 and d1, or tx and rx")
        if isinstance(group, Jack):
            continue
        for key, mark in _named(body):
            if mark not in marks and not (isinstance(group, Pass) and key == "jacks"):
                yield _no_mark(mark, f"groups, {name}, {key}", marks)
    for n, part in enumerate(written.get("inside", ()), 1):
        if not any(isinstance(value, Items) for value in part.values()):
            wrong, instead = "the part does not say what it is", "such as coil: [1, 2], with its terminals"
            yield Problem(part.where, f"inside, {n}", wrong, instead)
    for key, words in (("tied", _flat(written.get("tied"))), ("inside", _ends(written)), ("pulled-off", _pulled(written))):
        for word in words:
            for each in spell(word):
                if each not in marks:
                    yield _no_mark(Text.at(each, word.mark), key, marks)


ROLES = ("plus", "minus", "poles", "live", "neutral", "earth", "between", "common", "make", "break", "in", "ref", "out")
LINE_ROLES = ("a", "b", "d0", "d1", "tx", "rx", "screen", "mark", "jacks")


def _named(body: Table) -> Iterator[tuple[str, Text]]:
    for key, value in body.items():
        if key in ROLES or key in LINE_ROLES:
            for mark in [value] if isinstance(value, Text) else value:
                yield str(key), mark


def _no_mark(mark: Text, path: str, marks: set[str]) -> Problem:
    return Problem(
        mark.where, path, f"there is no terminal {mark}", suggestion(mark, marks) or offered(sorted(marks), "its terminals: ")
    )


def _flat(value: Any) -> Iterator[Text]:
    if isinstance(value, Text):
        yield value
    elif isinstance(value, Items):
        for each in value:
            yield from _flat(each)


def _ends(written: Table) -> Iterator[Text]:
    for part in written.get("inside", ()):
        yield from _flat(next((value for value in part.values() if isinstance(value, Items)), None))


def _pulled(written: Table) -> Iterator[Text]:
    value = written.get("pulled-off")
    if isinstance(value, Items):
        yield from _flat(value)


def _names(sheet: DataSheet, written: Table) -> Iterator[Problem]:
    """Groups, settings and conditions that a group names."""
    for name, group in sheet.groups.items():
        body = written["groups"][name]
        for key in ("closed-when", "moves-when", "gives-when"):
            for word in body.get(key, ()):
                for bare in word.removeprefix("not ").split(" or "):
                    if bare not in CONDITIONS and bare not in sheet.groups:
                        known = {*CONDITIONS, *sheet.groups}
                        help_ = suggestion(bare, known) or offered(sorted(CONDITIONS)) + ", or a group of this sheet"
                        yield Problem(word.where, f"groups, {name}, {key}", f"{bare} is no condition", help_)
        yield from _group_names(group, body, sheet)
    for key in written.get("at-once", ()):
        for each in spell(key):
            if each not in sheet.groups:
                yield _no_group(Text.at(each, key.mark), "at-once", sheet)


def _group_names(group: Group, body: Table, sheet: DataSheet) -> Iterator[Problem]:
    path = f"groups, {group.name}"
    if isinstance(group, Gives):
        for source in _flat(body.get("out-of")):
            if source not in sheet.groups:
                yield _no_group(source, f"{path}, out-of", sheet)
        if group.volts_as is not None and group.volts_as not in sheet.groups:
            yield _no_group(Text.at(group.volts_as, body["volts"].mark), f"{path}, volts", sheet)
    if isinstance(group, Changeover) and group.sense is not None and group.sense not in sheet.settings:
        help_ = (
            suggestion(group.sense, sheet.settings) or f"add it to settings: {group.sense}: [moves on grant, rests on grant]"
        )
        yield Problem(body["sense"].where, f"{path}, sense", f"there is no setting {group.sense}", help_)
    if isinstance(group, Contact) and group.between[0] == group.between[1]:
        yield Problem(group.where, f"{path}, between", "both ends are one terminal", "name the other one")


def _no_group(name: Text, path: str, sheet: DataSheet) -> Problem:
    help_ = suggestion(name, sheet.groups) or offered(sheet.groups, "its groups: ")
    return Problem(name.where, path, f"there is no group {name}", help_)

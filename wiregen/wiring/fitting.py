"""Which groups a relation means: the table relation × kinds, and the one pair of groups that fits it.

The rows T1 to T16 are the termination table of the spec language.  A bare name means its only fitting group; where none or
several fit, the message names them and gives the YAML to write.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from typing import NamedTuple

from wiregen.reading.model import (
    Changeover,
    Contact,
    Device,
    Drive,
    Earth,
    Gives,
    Group,
    Input,
    Jack,
    Line,
    Pass,
    Problem,
    Relation,
    Takes,
    Target,
)
from wiregen.wiring.cast import Cast


@dataclass(frozen=True)
class Row:
    """One row of the termination table.  `better` ranks rows where a bare name could mean either: lower wins."""

    name: str
    own: type[Group]
    target: type[Group]
    test: Callable[[Group, Group], bool] = lambda own, target: True
    better: int = 0


def _fed(own: Group, source: Group) -> bool:
    return isinstance(own, Takes) and own.current != "mains" and own.first is not None


def _looped(own: Group, on: Group) -> bool:
    return _fed(own, on) and isinstance(on, Takes) and on.first is not None


def _powers(own: Group, port: Group) -> bool:
    return isinstance(own, Jack) and isinstance(port, Jack) and own.poe == "in" and port.poe == "out"


def _same_protocol(own: Group, other: Group) -> bool:
    return isinstance(own, Line) and isinstance(other, Line) and own.protocol == other.protocol


def _sinks(own: Group, drive: Group) -> bool:
    return _fed(own, drive) and isinstance(drive, Drive) and drive.sinks is not None


def _level(own: Group, drive: Group) -> bool:
    return _fed(own, drive) and isinstance(drive, Drive) and drive.level is not None


TABLE: dict[str, tuple[Row, ...]] = {
    "from": (
        Row("T1", Takes, Gives, _fed),
        Row("T4", Jack, Jack, _powers),
        Row("T2", Takes, Takes, _looped, better=1),
    ),
    "tells": (
        Row("T6", Contact, Input),
        Row("T7", Changeover, Input),
        Row("T16", Drive, Input, better=1),
        Row("T10", Contact, Contact, better=1),
        Row("T10", Contact, Changeover, better=2),
        Row("T10", Changeover, Contact, better=2),
        Row("T10", Changeover, Changeover, better=2),
    ),
    "speaks": (Row("T13", Line, Line, _same_protocol), Row("T14", Jack, Jack)),
    "obeys": (
        Row("T8", Input, Contact),
        Row("T8", Input, Changeover),
        Row("T9", Input, Drive),
        Row("T13", Line, Line, _same_protocol),
        Row("T11", Takes, Drive, _sinks),
        Row("T12", Takes, Drive, _level),
    ),
    "earths": (Row("T15", Earth, Earth),),
}

SERIES = (Contact, Changeover, Pass)


class At(NamedTuple):
    """A group of a device, the device by its key."""

    device: str
    group: str

    def __str__(self) -> str:
        return f"{self.device}.{self.group}"


@dataclass(frozen=True)
class Fit:
    """A relation with its groups found.  `row` is None for the mains.  `index` is its place in the device's relations."""

    relation: Relation
    row: str
    own: At
    target: At
    order: tuple[int, int]


@dataclass(frozen=True)
class Step:
    """One contact or pass that stands in a circuit; `side` where the author wrote one."""

    at: At
    side: str | None


@dataclass(frozen=True)
class Through:
    """What stands in a circuit by pole, in order; side by side where a place in the order has several."""

    own: At
    pole: str | None
    steps: tuple[Step, ...]
    relation: Relation
    order: tuple[int, int]


class Unfit(Exception):
    """A relation that does not resolve."""

    def __init__(self, problem: Problem) -> None:
        super().__init__(str(problem))
        self.problem = problem


def fits(cast: Cast, key: str, index: int) -> tuple[list[Fit], list[Through], list[Problem]]:
    """The relations of one device with their groups found."""
    device = cast.device(key)
    found: list[Fit] = []
    through: list[Through] = []
    problems: list[Problem] = []
    for number, relation in enumerate(device.relations):
        order = (index, number)
        try:
            if relation.kind != "through" and relation.target.word != "none":
                found.append(_fit(cast, key, relation, order))
        except Unfit as unfit:
            problems.append(unfit.problem)
    for number, relation in enumerate(device.relations):
        if relation.kind == "through" and relation.target.word != "none":
            try:
                through.append(_through(cast, key, relation, (index, number), found))
            except Unfit as unfit:
                problems.append(unfit.problem)
    return found, through, problems


def _fit(cast: Cast, key: str, relation: Relation, order: tuple[int, int]) -> Fit:
    device = cast.device(key)
    own_groups = _own(device, relation)
    if relation.target.word == "mains":
        mains = [g for g in own_groups if isinstance(g, Takes) and g.current == "mains"]
        if len(mains) != 1:
            raise Unfit(_none(device, relation, f"{device.ref} ({device.sheet.type}) has no one group that takes mains"))
        return Fit(relation, "T3", At(key, mains[0].name), At("", "mains"), order)
    target_key = cast.key(relation.target, key)
    target = cast.device(target_key)
    target_groups = _named(target, relation.target)
    pairs = [
        (row.better + _mismatch(own, other), row, own, other)
        for row in TABLE[relation.kind]
        for own in own_groups
        if isinstance(own, row.own)
        for other in target_groups
        if isinstance(other, row.target) and row.test(own, other)
    ]
    if target_key == key:
        pairs = [p for p in pairs if p[2] is not p[3]]
    if not pairs:
        raise Unfit(_none(device, relation, _why_none(device, target, relation)))
    best = min(p[0] for p in pairs)
    best_pairs = [p for p in pairs if p[0] == best]
    if len(best_pairs) > 1:
        raise Unfit(_several(device, relation, [(own, other) for _, _, own, other in best_pairs]))
    _, row, own, other = best_pairs[0]
    return Fit(relation, row.name, At(key, own.name), At(target_key, other.name), order)


def _mismatch(own: Group, other: Group) -> int:
    """Direct or alternating current that does not match is no reason to refuse what was named, but a match is meant first."""
    if isinstance(own, Takes) and isinstance(other, (Gives, Takes)):
        return 0 if own.current == other.current else 4
    return 0


def _own(device: Device, relation: Relation) -> list[Group]:
    if relation.own is None:
        taken = {r.own for r in device.relations if r.kind == relation.kind and r.own is not None}
        return [group for group in device.sheet.groups.values() if group.name not in taken]
    group = device.sheet.groups.get(relation.own)
    if group is None:
        raise Unfit(_none(device, relation, f"{device.ref} ({device.sheet.type}) has no group {relation.own}"))
    return [group]


def _named(device: Device, target: Target) -> list[Group]:
    groups = device.sheet.groups
    if target.terminal is not None:
        return [group for group in groups.values() if group.marks and group.marks[0] == target.terminal]
    if target.group is None:
        return list(groups.values())
    return [groups[target.group]] if target.group in groups else []


def _through(cast: Cast, key: str, relation: Relation, order: tuple[int, int], found: list[Fit]) -> Through:
    device = cast.device(key)
    feeds = [fit for fit in found if fit.relation.kind == "from" and relation.own in (None, fit.own.group)]
    if len(feeds) != 1:
        what = "its `from` is missing or wrong" if not feeds else f"it has {len(feeds)} feeds: write `through` by own group"
        raise Unfit(_none(device, relation, f"nothing can be put into the circuit of {device.ref}: {what}"))
    steps = []
    for target in relation.targets:
        target_key = cast.key(target, key)
        other = cast.device(target_key)
        jacks = feeds[0].row == "T4"
        groups = [
            group
            for group in _named(other, target)
            if isinstance(group, SERIES) and (isinstance(group, Pass) and group.jacks is not None) == jacks
        ]
        if not groups:
            what = "patch port" if jacks else "contact, changeover or pass"
            raise Unfit(_none(device, relation, f"{target} is no {what} that could stand in this circuit"))
        if len(groups) > 1:
            names = ", ".join(f"{target}.{group.name}" for group in groups)
            raise Unfit(
                Problem(
                    relation.where,
                    _path(device, relation),
                    f"{len(groups)} contacts of {target} would fit: {names}",
                    f"write the one meant: {device.ref}: {{through: [{target}.{groups[0].name}]}}",
                )
            )
        steps.append(Step(At(target_key, groups[0].name), target.side))
    return Through(feeds[0].own, relation.pole, tuple(steps), relation, order)


def _path(device: Device, relation: Relation) -> str:
    return f"devices, {device.ref}, {relation.kind}" + (f", {relation.own}" if relation.own else "")


def _none(device: Device, relation: Relation, wrong: str) -> Problem:
    ends = " or ".join(
        f"{row.own.__name__.lower()} to {row.target.__name__.lower()}" for row in TABLE.get(relation.kind, ()) if row.name
    )
    instead = f"`{relation.kind}` joins " + ends if ends else ""
    return Problem(relation.where, _path(device, relation), wrong, instead)


def _why_none(device: Device, target: Device, relation: Relation) -> str:
    def listed(one: Device, side: int) -> str:
        kinds = {row.own if side == 0 else row.target for row in TABLE[relation.kind]}
        groups = [f"{g.name} ({g.kind})" for g in one.sheet.groups.values() if type(g) in kinds]
        return f"{one.ref} ({one.sheet.type}) offers " + (", ".join(groups) if groups else "nothing of the kind")

    named = str(relation.target)
    return f"no group of {device.ref} fits {named} by `{relation.kind}`: {listed(device, 0)}; {listed(target, 1)}"


def _several(device: Device, relation: Relation, pairs: list[tuple[Group, Group]]) -> Problem:
    owns = list(dict.fromkeys(own.name for own, _ in pairs))
    others = list(dict.fromkeys(other.name for _, other in pairs))
    target = relation.target
    head = f"{target.door}/{target.device}" if target.door else target.device
    told = []
    if len(owns) > 1:
        told.append(f"{len(owns)} groups of {device.ref} would fit: {', '.join(owns)}")
    if len(others) > 1:
        told.append(f"{len(others)} groups of {head} would fit: {', '.join(others)}")
    value = f"{head}.{others[0]}"
    body = f"{{{owns[0]}: {value}}}" if len(owns) > 1 else value
    return Problem(
        relation.where,
        _path(device, relation),
        "; ".join(told),
        f"write the one meant, such as {device.ref}: {{{relation.kind}: {body}}}",
    )

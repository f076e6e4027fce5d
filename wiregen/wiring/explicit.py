"""Conductors that the author adds or drops one by one."""

from __future__ import annotations

from collections.abc import Iterable

from wiregen.reading.model import Door, Problem, Target, Where
from wiregen.wiring.cast import Cast
from wiregen.wiring.joins import Join
from wiregen.wiring.model import End

AFTER_RELATIONS = 1000  # an added conductor stands after the relations of the later of its two devices


def apply(cast: Cast, door: Door, joins: Iterable[Join]) -> tuple[list[Join], list[Problem]]:
    """The joins without those dropped and with those added."""
    left = list(joins)
    problems: list[Problem] = []
    where = door.keys.get("conductors", door.where)
    for one, other in door.drop:
        a, b = _end(cast, one, where, problems), _end(cast, other, where, problems)
        if a is None or b is None:
            continue
        kept = [join for join in left if {join.a, join.b} != {a, b}]
        if len(kept) == len(left):
            near = [f"[{j.a}, {j.b}]" for j in left if {j.a, j.b} & {a, b}]
            problems.append(
                Problem(
                    where,
                    "conductors, drop",
                    f"nothing leads from {a} to {b}",
                    f"there are: {', '.join(near)}" if near else "name two terminals that a relation joins",
                )
            )
        left = kept
    rank = {key: n for n, key in enumerate(cast.own)}
    for number, item in enumerate(door.add):
        a, b = _end(cast, item.from_, item.where, problems), _end(cast, item.to, item.where, problems)
        if a is not None and b is not None:
            function = "added" if len(item.why) > 40 else item.why
            order = (max(rank.get(a.device, 0), rank.get(b.device, 0)), AFTER_RELATIONS + number)
            left.append(Join(a, b, f"added: {item.why}", "input", function, order, item.where, colour=item.colour))
    return left, problems


def _end(cast: Cast, target: Target, where: Where, problems: list[Problem]) -> End | None:
    try:
        key = f"{target.door}/{target.device}" if target.door and cast.door and target.door != cast.door.id else target.device
        sheet = cast.device(key).sheet
        return End(key, sheet.terminal(target.terminal or target.group or "").mark)
    except KeyError:
        problems.append(
            Problem(where, "conductors", f"there is no terminal {target}", "name a device and a terminal mark, such as A1:3")
        )
        return None

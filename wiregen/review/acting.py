"""What the door does in every state, worked out on its network, against what people need of it."""

from __future__ import annotations

from collections.abc import Iterator

from wiregen.review.rule import Case, Found, door_rule


@door_rule("leave-barred", "stop", "one can leave in every state: dead, hung, on fire, in a mains failure", approvable=False)
def leave_barred(case: Case) -> Iterator[Found]:
    states = case.study.states
    if states is None or "none" in case.door.leave_by:
        return
    barred = [row for row in states.rows if row.leave != "free"]
    if barred:
        locks = sorted({lock for row in barred for lock, told in row.locks.items() if told.does != "free"})
        which = ", ".join(row.state for row in barred)
        yield Found(
            case.key("leave-by"),
            f"one cannot be sure to leave by {', '.join(case.door.leave_by)} in: {which}",
            f"a contact worked by hand in `through` of {' and '.join(locks)}, enough volts for it to tell held from free, or a "
            "mechanical way out in leave-by",
        )


@door_rule("not-settled", "stop", "the door comes to rest in every state", approvable=False)
def not_settled(case: Case) -> Iterator[Found]:
    for row in case.study.states.rows if case.study.states else ():
        if row.swings:
            yield Found(
                case.door.where,
                f"in {row.state} {' and '.join(row.swings)} swings to and fro and never comes to rest",
                "no contact that takes away the power or the signal by which it is held itself",
            )


RULES = (leave_barred, not_settled)

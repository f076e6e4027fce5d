"""What each lock does in every state, worked out on the network, against what the spec wants (make or break, and fail mode)."""

from __future__ import annotations

from collections.abc import Iterator

from wiregen.review.rule import Case, Found, door_rule


@door_rule("want-not-given", "stop", "each lock does in every state what the spec wants", approvable=False)
def want_not_given(case: Case) -> Iterator[Found]:
    """Free on fire has rules of its own, which know more of a cure."""
    for behaviour in case.wiring.behaviours:
        wrong = [
            f"{state}: {does}, wanted {wanted}"
            for state, wanted in behaviour.wanted.items()
            for does in _does(case, behaviour.lock, state)
            if does != wanted and (state, wanted) != ("fire", "free")
        ]
        if wrong:
            unpowered = case.wiring.devices[behaviour.lock].sheet.unpowered
            yield Found(
                case.key("want"),
                f"{behaviour.lock} does not do what is wanted ({'; '.join(dict.fromkeys(wrong))})",
                f"other contacts in `through` of {behaviour.lock}, a lock not {unpowered} without power, or other `want`",
            )


def _does(case: Case, lock: str, state: str) -> Iterator[str]:
    """What the lock does in a state that can occur at the door; in each electrical way to leave for "exit"."""
    for row in case.study.states.rows if case.study.states else ():
        if row.state == state or (state == "exit" and row.state.startswith("exit-")):
            yield row.locks[lock].does


RULES = (want_not_given,)

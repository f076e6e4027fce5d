"""What the circuits give against what the spec wants (trade list: make or break against fail mode)."""

from __future__ import annotations

from collections.abc import Iterator

from wiregen.review.rule import Case, Found, door_rule


@door_rule("want-not-given", "stop", "each lock does in every state what the spec wants", approvable=False)
def want_not_given(case: Case) -> Iterator[Found]:
    """Free on fire has rules of its own, which know more of a cure."""
    for behaviour in case.wiring.behaviours:
        wrong = [
            f"{state}: {behaviour.gives[state]}, wanted {wanted}"
            for state, wanted in behaviour.wanted.items()
            if behaviour.gives.get(state, wanted) != wanted and (state, wanted) != ("fire", "free")
        ]
        if wrong:
            unpowered = case.wiring.devices[behaviour.lock].sheet.unpowered
            yield Found(
                case.key("want"),
                f"{behaviour.lock} does not do what is wanted ({'; '.join(wrong)})",
                f"other contacts in `through` of {behaviour.lock}, a lock not {unpowered} without power, or other `want`",
            )


RULES = (want_not_given,)

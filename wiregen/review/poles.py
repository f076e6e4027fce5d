"""Which pole a release breaks: a fault to the frame must not hold a lock (trade list: frame fault beats 0 V switching)."""

from __future__ import annotations

from collections.abc import Iterator

from wiregen.reading.model import Where
from wiregen.review.leaving import barring, left_electrically
from wiregen.review.rule import Case, Found, door_rule


@door_rule("minus-only", "stop", "what releases a lock breaks its plus, or both poles, never the minus alone",
           approvable=False)  # fmt: skip
def minus_only(case: Case) -> Iterator[Found]:
    if not left_electrically(case):
        return
    for behaviour in barring(case):
        sheet = case.wiring.devices[behaviour.lock].sheet
        for chain in case.chains(behaviour.lock):
            plus = {link.device for link in chain.links if link.pole == "plus"}
            alone = sorted({link.device for link in chain.links if link.pole == "minus"} - plus)
            if alone and sheet.unpowered == "free":
                yield Found(
                    _where(case, behaviour.lock),
                    f"only the minus of {behaviour.lock} is broken by {', '.join(alone)}: where its minus lead touches the "
                    "earthed frame, the lock stays held after release",
                    f"{behaviour.lock}: {{through: {{plus: [{', '.join(alone)}]}}}}, or a second pole of the same in the plus",
                )


def _where(case: Case, lock: str) -> Where:
    device = case.door.devices[lock]
    return next((r.where for r in device.relations if r.kind == "through" and r.pole == "minus"), case.at(lock, "through"))


RULES = (minus_only,)

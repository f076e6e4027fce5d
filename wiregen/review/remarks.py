"""What wiring had to decide, told as notes."""

from __future__ import annotations

from collections.abc import Iterator

from wiregen.review.rule import Case, Found, door_rule


@door_rule("wiring", "note", "what the wiring had to choose is said")
def wiring_remarks(case: Case) -> Iterator[Found]:
    for remark in case.wiring.remarks:
        yield Found(remark.where or case.door.where, remark.text, "")


RULES = (wiring_remarks,)

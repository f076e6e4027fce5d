"""What shares a jacket or a box, by the class of its source: a question that a licensed electrician answers."""

from __future__ import annotations

from collections.abc import Iterator

from wiregen.review.rule import Case, Found, door_rule
from wiregen.study.source_class import CLASS_2, mixed


@door_rule(
    "class-mixed", "note", "circuits of class 2 and others do not share a jacket or a box unless an electrician agrees",
    source="NEC 725.136, from memory; other codes ask alike in words of their own",
)  # fmt: skip
def class_mixed(case: Case) -> Iterator[Found]:
    shared = mixed(case.wiring, case.loads, case.copper)
    for load in case.loads:
        if not shared or load.output.circuit in (None, CLASS_2) or load.device not in case.door.devices:
            continue
        where = ", ".join(sorted(each.about for each in shared))
        yield Found(
            case.at(load.device, "from"),
            f"{load.device} hangs on {load.source}.{load.output.name}, which is {load.output.circuit}, and circuits of class 2 "
            f"lie with it: {where}",
            "a jacket and a box of its own, a class 2 source, or all wired as the higher class: ask a licensed electrician",
        )


RULES = (class_mixed,)

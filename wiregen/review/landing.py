"""Whether a terminal takes what is landed on it."""

from __future__ import annotations

from collections.abc import Iterator

from wiregen.review.rule import Case, Found, door_rule
from wiregen.wiring.model import Conductor

SLACK = 1.001  # two ways of writing one size are not two sizes


@door_rule("screw-small", "warn", "each screw takes the wires that are landed on it, by number and size")
def screw_small(case: Case) -> Iterator[Found]:
    landed: dict[tuple[str, str], list[Conductor]] = {}
    for conductor in case.wiring.conductors:
        for end in (conductor.a, conductor.b):
            landed.setdefault((end.device, end.terminal), []).append(conductor)
    for (ref, mark), conductors in landed.items():
        device = case.wiring.devices.get(ref)
        screw = device.sheet.screw if device else None
        most = max(c.area for c in conductors)
        if screw and not any(len(conductors) <= count and most <= area * SLACK for count, area in screw.wires):
            sizes = ", ".join(sorted({c.size or c.colour for c in conductors}))
            yield Found(
                case.at(ref),
                f"{ref}:{mark} takes {screw.text}, and {len(conductors)} x {sizes} would be landed on it",
                "another cable in `stock` or `cables`, or a box with a strip beside it",
            )


RULES = (screw_small,)

"""What a sensor tells an input, and what the input makes of it (trade list: exit sensor fooled or over-reaching)."""

from __future__ import annotations

from collections.abc import Iterator

from wiregen.reading.conditions import mentions
from wiregen.reading.model import Contact, Door, Group, Input, Relation
from wiregen.review.leaving import left_electrically
from wiregen.review.rule import Case, Found, door_rule

UNLOCK, MASK = "unlock", "mask only"  # what an exit input can be set to


def unlocks(input_: Input, settings: dict[str, tuple[str, ...]], chosen: dict[str, str]) -> str:
    """What an input is set to where it can be set to unlock: the choice, or "" where none was written; MASK for others."""
    return chosen.get(input_.name, "") if UNLOCK in settings.get(input_.name, ()) else MASK


@door_rule("exit-masks", "warn", "where a handle frees the door a motion sensor only masks the contact, it does not unlock")
def exit_masks(case: Case) -> Iterator[Found]:
    if left_electrically(case) or "none" in case.door.leave_by:
        return
    for ref, relation, group in told(case.door):
        if not mentions(group, "motion"):
            continue
        target = case.wiring.devices.get(relation.target.device)
        input_ = target.sheet.groups.get(relation.target.group or "") if target else None
        if target is None or not isinstance(input_, Input):
            continue
        chosen = unlocks(input_, dict(target.sheet.settings), dict(target.settings))
        if chosen != MASK:
            said = f"is set to {chosen}" if chosen else "is not set"
            yield Found(
                case.at(target.ref) if target.origin == "door" else relation.where,
                f"{ref} tells {target.ref}.{input_.name}, which {said}: whatever moves before the sensor would free a door "
                f"that people leave by {', '.join(case.door.leave_by)}",
                f"{target.ref}: {{set: {{{input_.name}: {MASK}}}}}, and aim the sensor down the leaf",
            )


def told(door: Door) -> Iterator[tuple[str, Relation, Group]]:
    """Every `tells` of the door with the group that it was meant for."""
    for ref, device in door.devices.items():
        for relation in device.relations:
            if relation.kind == "tells":
                contacts = [g for g in device.sheet.groups.values() if isinstance(g, Contact)]
                own = device.sheet.groups.get(relation.own) if relation.own else contacts[0] if len(contacts) == 1 else None
                if own is not None:
                    yield ref, relation, own


RULES = (exit_masks,)

"""What contacts and sensors tell an input, and what the input makes of it (trade list: exit sensor, contacts side by side)."""

from __future__ import annotations

from collections.abc import Iterator

from wiregen.reading.model import Contact, Group, Input, Relation
from wiregen.review.contacts import closed_at_rest, mentions
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
    for ref, relation, group in _told(case):
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


@door_rule("side-by-side", "warn", "contacts that open to tell are in series on an input, never side by side")
def side_by_side(case: Case) -> Iterator[Found]:
    told: dict[str, list[tuple[str, Relation]]] = {}
    for ref, relation, group in _told(case):
        if isinstance(group, Contact) and closed_at_rest(group) and "powered" not in _words(group):
            told.setdefault(str(relation.target), []).append((ref, relation))
    for target, tellers in told.items():
        (first, _), *others = tellers
        for ref, relation in others:
            yield Found(
                relation.where,
                f"{ref} and {first} are side by side on {target}: while one is closed, the other is not seen to open",
                f"{ref}: {{tells: {first}}} puts the two in series",
            )


def _words(group: Contact) -> set[str]:
    return {word for condition in group.closed_when for word in condition.any_of}


def _told(case: Case) -> Iterator[tuple[str, Relation, Group]]:
    """Every `tells` of the door with the group that it was meant for."""
    for ref, device in case.door.devices.items():
        for relation in device.relations:
            if relation.kind == "tells":
                contacts = [g for g in device.sheet.groups.values() if isinstance(g, Contact)]
                own = device.sheet.groups.get(relation.own) if relation.own else contacts[0] if len(contacts) == 1 else None
                if own is not None:
                    yield ref, relation, own


RULES = (exit_masks, side_by_side)

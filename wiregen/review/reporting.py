"""What contacts tell of the door: shut or open, by a contact that knows, read the right way round, with exits kept quiet."""

from __future__ import annotations

import re
from collections.abc import Iterator

from wiregen.reading.conditions import conditions, mentions
from wiregen.reading.model import Contact, Door, Relation, Where
from wiregen.review.paste import free_ref
from wiregen.review.rule import Case, Found, door_rule
from wiregen.review.sensing import MASK, told
from wiregen.wiring.model import Wiring

MECHANICAL = {"handle", "bar"}  # ways of `leave-by` that need no circuit
SHUT = "shut"
OF_THE_LOCK = ("bonded", "latched", "thrown")  # what a lock knows of itself
SENSE = re.compile(r"(closed|open) is (\w+)")  # a choice that says what an input takes a contact to mean


@door_rule("exit-unseen", "warn", "at a watched door with a free handle the controller is told of who leaves")
def exit_unseen(case: Case) -> Iterator[Found]:
    for ref, relation, mask in unseen(case.door, case.wiring):
        sensor, to = free_ref(case.site, case.door, "S"), f"{relation.target.device}.{mask}"
        yield Found(
            relation.where,
            f"{ref} tells {relation.target} that the door opens, and nothing tells {relation.target.device} that somebody "
            f"leaves: each way out by {' or '.join(case.door.leave_by)} is told as forced",
            f"a motion sensor, or the lock's own handle contact: {sensor}: {{type: motion sensor, at: inside, tells: {to}}}, "
            f"and {relation.target.device}: {{set: {{{mask}: {MASK}}}}}",
        )


def unseen(door: Door, wiring: Wiring) -> Iterator[tuple[str, Relation, str]]:
    """Contacts that tell a controller that a door with a free handle opens, where no input that could mask them is told of it.

    With the `tells` of each, and the first input of the controller that could mask it.
    """
    if not MECHANICAL & set(door.leave_by):
        return
    landed = {(r.target.device, r.target.group) for d in door.devices.values() for r in d.relations if r.kind == "tells"}
    for ref, relation, own in told(door):
        controller = wiring.devices.get(relation.target.device) if relation.target.door is None else None
        masks = [name for name, choices in controller.sheet.settings.items() if MASK in choices] if controller else []
        if mentions(own, SHUT) and masks and not any((relation.target.device, name) in landed for name in masks):
            yield ref, relation, masks[0]


@door_rule("bond-as-contact", "warn", "that a lock holds is not taken for a door that is shut")
def bond_as_contact(case: Case) -> Iterator[Found]:
    reports = list(told(case.door))
    if any(mentions(own, SHUT) for _, _, own in reports):
        return
    for ref, relation, own in reports:
        word = next((word for word in OF_THE_LOCK if mentions(own, word)), None)
        if word:
            contact = free_ref(case.site, case.door, "B")
            yield Found(
                relation.where,
                f"{ref} tells {relation.target} that it is {word}, and no contact tells whether the door is shut: the lock's "
                "state would be taken for the door's",
                f"{contact}: {{type: door contact, at: frame, tells: {relation.target}}}, and another input for "
                f"{ref}.{own.name}",
            )


@door_rule("contact-sense", "warn", "an input takes a contact the way the contact tells")
def contact_sense(case: Case) -> Iterator[Found]:
    for ref, relation, own in told(case.door):
        target, name = case.wiring.devices.get(relation.target.device), relation.target.group or ""
        choices = target.sheet.settings.get(name, ()) if target else ()
        if target is None or not choices or not isinstance(own, Contact):
            continue
        sense = SENSE.fullmatch(target.settings.get(name, choices[0]))  # the first choice is as delivered
        closes = next((not c.negated for c in conditions(own) if sense and sense[2] in c.any_of), None)
        if sense and closes is not None and closes != (sense[1] == "closed"):
            right = f"{'closed' if closes else 'open'} is {sense[2]}"
            yield Found(
                _set_at(case, relation),
                f"{ref} is {'closed' if closes else 'open'} while the door is {sense[2]}, and {relation.target} takes "
                f"\"{sense[0]}\": the door is told the wrong way round",
                f"{target.ref}: {{set: {{{name}: {right}}}}}",
            )


def _set_at(case: Case, relation: Relation) -> Where:
    """The device whose setting it is, where it is the door's own."""
    device = case.door.devices.get(relation.target.device)
    return device.where if device else relation.where


RULES = (exit_unseen, bond_as_contact, contact_sense)

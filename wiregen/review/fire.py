"""Fire: what frees a lock on fire is wire, not a program; and a fire door stays latched (trade list: fire release)."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from wiregen.reading.conditions import conditions, mentions
from wiregen.reading.model import DataSheet, Group, Input, Target
from wiregen.review.leaving import barring, left_electrically
from wiregen.review.paste import through
from wiregen.review.rule import Case, Found, door_rule
from wiregen.states.struck import Strike, Struck
from wiregen.wiring.fitting import At
from wiregen.wiring.logic import Case as State
from wiregen.wiring.logic import drops, frees
from wiregen.wiring.model import Behaviour

FIRE = State("fire")


@dataclass(frozen=True)
class FirePath:
    """A fire contact that acts on a lock by wire; `stays`: it or what it acts on stays so until somebody resets it."""

    contact: str
    stays: bool


def fire_paths(case: Case, lock: str) -> Iterator[FirePath]:
    """Every fire contact in the lock's own circuit, at an input of its own, or on what feeds or switches it."""
    yield from _acting_on(case, lock, None, set())


def _acting_on(case: Case, ref: str, output: str | None, seen: set[tuple[str, str | None]]) -> Iterator[FirePath]:
    """Fire contacts that act on a device, or on that output of it."""
    device = case.device(ref)
    if device is None or (ref, output) in seen:
        return
    seen.add((ref, output))
    for relation in device.relations:
        for target in relation.targets:
            if relation.kind == "through":
                yield from _contact(case, target)
                if _moved_by_power(case, target):
                    yield from _acting_on(case, target.device, None, seen)
            elif relation.kind == "obeys":
                inputs = [g for g in device.sheet.groups.values() if isinstance(g, Input) and relation.own in (None, g.name)]
                for into in (g for g in inputs if (drops(g, output) if output else frees(g))):
                    yield from (FirePath(path.contact, path.stays or bool(into.stays)) for path in _contact(case, target))
            elif relation.kind == "from" and not target.word:
                yield from _acting_on(case, target.device, target.group, seen)


def _contact(case: Case, target: Target) -> Iterator[FirePath]:
    device = case.device(target.device)
    for group in device.sheet.groups.values() if device else ():
        if target.group in (None, group.name) and mentions(group, "fire"):
            yield FirePath(f"{target.device}.{group.name}", bool(getattr(group, "stays", None)))


def _moved_by_power(case: Case, target: Target) -> bool:
    """A relay's contact: what breaks the relay's coil circuit breaks this."""
    device = case.device(target.device)
    group = device.sheet.groups.get(target.group or "") if device else None
    return group is not None and mentions(group, "powered")


@door_rule("fire-free", "stop", "a door that is left electrically is free on fire", approvable=False)
def fire_free(case: Case) -> Iterator[Found]:
    if left_electrically(case) and case.door.want.get("fire") != "free" and any(barring(case)):
        yield Found(
            case.key("want"),
            "the door is left electrically, and the spec does not want it free on fire",
            "want: {fire: free}",
        )


@door_rule("fire-by-wire", "stop", "a lock that is to be free on fire is freed by a contact of the fire system, by wire")
def fire_by_wire(case: Case) -> Iterator[Found]:
    for behaviour in _to_be_free(case):
        without_programs = Struck(case.logic, Strike(hung="rest"))
        if without_programs.lock_is(FIRE, At(behaviour.lock, behaviour.group)) != "free":
            yield Found(
                case.at(behaviour.lock, "through"),
                f"{behaviour.lock} is to be free on fire, and no contact of the fire system breaks its power: a program or a "
                "network is no fire release",
                _fire_cure(case, behaviour.lock),
                approvable=not left_electrically(case),
            )


@door_rule("fire-reset", "warn", "after a fire alarm a lock holds again only when somebody has reset it")
def fire_reset(case: Case) -> Iterator[Found]:
    for behaviour in _to_be_free(case):
        paths = list(fire_paths(case, behaviour.lock))
        if paths and not any(path.stays for path in paths):
            yield Found(
                case.at(behaviour.lock, "through"),
                f"{behaviour.lock} may hold again as soon as the alarm is silenced: nothing says that {paths[0].contact} stays",
                "a contact with `stays: until reset` in its data sheet; have the fire-alarm contractor confirm it",
            )


def _to_be_free(case: Case) -> Iterator[Behaviour]:
    return (b for b in barring(case) if b.wanted.get("fire") == "free")


def _fire_cure(case: Case, lock: str) -> str:
    """A fire contact of the site that no circuit uses yet, or else the interface that the site lacks."""
    for ref, device in sorted(case.site.shared.items()):
        for name, group in device.sheet.groups.items():
            if _interface(group) and (ref, name) not in case.site.taken:
                return through(case.door.devices[lock], f"{ref}.{name}")
    sheets = (s for s in case.site.sheets.values() if isinstance(s, DataSheet))
    kind = min((s.type for s in sheets if any(map(_interface, s.groups.values()))), default="data sheet of such a contact")
    return f"in site.yaml, shared: {{FA1: {{type: {kind}, at: place, by: fire-alarm contractor}}}}; its contact in `through`"


def _interface(group: Group) -> bool:
    return any("fire" in condition.any_of and condition.negated for condition in conditions(group))


@door_rule("fire-door-latched", "stop", "a fire-rated door stays latched on fire: its strike holds without power")
def fire_door_latched(case: Case) -> Iterator[Found]:
    if not case.door.fire_rating:
        return
    for lock in case.locks:
        if lock.sheet.frees != "keeper":
            continue
        given = [b.gives for b in case.wiring.behaviours if b.lock == lock.ref]
        if any("free" in (gives.get("fire"), gives.get("power-dead")) for gives in given):
            yield Found(
                case.at(lock.ref),
                f"fire-rated {case.door.fire_rating}, and {lock.ref} lets the latch out of its keeper on fire or without "
                "power: the door is then shut but not latched",
                f"{lock.ref}: a strike that holds without power (want: {{power-dead: held, fire: held}}), or a lock or trim "
                "that frees the handle and keeps the latch; people leave by handle or bar",
            )


RULES = (fire_free, fire_by_wire, fire_reset, fire_door_latched)

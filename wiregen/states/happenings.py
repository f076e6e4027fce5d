"""The states of a door by name: what happens in each, and what somebody can then do at it."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace

from wiregen.reading.conditions import conditions
from wiregen.reading.model import Changeover, Contact, Door, Gives, Group
from wiregen.states.struck import Strike, Struck
from wiregen.wiring.fitting import At
from wiregen.wiring.logic import IDLE, Case, Logic

BY_HAND = ("button", "call-point", "bar-switch")  # ways of `leave-by` that work a contact by hand
UNTIL_RESET = "until reset"
TAMPER = "tamper"  # a key of how a device is mounted
PRESSED = Case("exit", pressed=True)
STILL = Strike(pressed=frozenset())  # nothing is worked by hand


@dataclass(frozen=True)
class Happening:
    """A named state; `way`: it is somebody leaving in an electrical way."""

    name: str
    case: Case = IDLE
    strike: Strike = STILL
    way: bool = False


def ways(door: Door, logic: Logic, locks: Sequence[At]) -> tuple[Happening, ...]:
    """One for each electrical way to leave, used alone: each sensor's motion, each thing that is worked by hand inside.

    What is worked by hand for another purpose, and frees no lock, is none, unless nothing frees one.
    """
    found = []
    if "sensor" in door.leave_by:
        found.append(Happening("exit-sensor", Case("exit", motion=True), way=True))
    by_hand = [way for way in BY_HAND if way in door.leave_by]
    inside = _pressed_inside(door, logic)
    pressed = [ref for ref in inside if _frees(logic, locks, ref)] or inside
    kinds = {ref: by_hand[0] if len(by_hand) == 1 else _kind(door, ref, by_hand) for ref in pressed if by_hand}
    for ref, kind in kinds.items():
        name = f"exit-{kind}" + (f" {ref}" if [*kinds.values()].count(kind) > 1 else "")
        found.append(Happening(name, PRESSED, Strike(pressed=frozenset({ref})), way=True))
    return tuple(found)


def _let_in(door: Door, logic: Logic, locks: Sequence[At]) -> frozenset[str]:
    """What somebody inside works by hand to let in, at a door that is not left so."""
    if set(BY_HAND) & set(door.leave_by):
        return frozenset()
    return frozenset(ref for ref in _pressed_inside(door, logic) if _frees(logic, locks, ref))


def _pressed_inside(door: Door, logic: Logic) -> list[str]:
    cast = logic.cast
    return [ref for ref in door.devices if "pressed" in _words(logic, ref) and not cast.exposed(cast.place(ref))]


def _frees(logic: Logic, locks: Sequence[At], ref: str) -> bool:
    worked = Struck(logic, Strike(pressed=frozenset({ref})))
    return any(worked.lock_is(PRESSED, lock) == "free" != logic.lock_is(IDLE, lock) for lock in locks)


def _kind(door: Door, ref: str, by_hand: list[str]) -> str:
    """Which of the ways a thing worked by hand is: what stays worked until it is reset is a call point."""
    groups = door.devices[ref].sheet.groups.values()
    stays = any(isinstance(g, Contact | Changeover) and g.stays == UNTIL_RESET for g in groups)
    return "call-point" if stays and "call-point" in by_hand else by_hand[0]


def happenings(door: Door, logic: Logic, of_ways: Sequence[Happening], locks: Sequence[At]) -> tuple[Happening, ...]:
    """The states that can occur at a door."""
    shut = frozenset(ref for ref in door.devices if "shut" in _words(logic, ref))
    waits, lets = _waits(door, logic), _let_in(door, logic, locks)
    own = {word for ref in door.devices for word in _words(logic, ref)}
    words = own.union(*(_words(logic, ref) for ref in logic.cast.shared()))
    ports = frozenset(at for at, feed in logic.circuits.feeds.items() if feed.row == "T4" and at.device in door.devices)
    return (
        Happening("idle"),
        Happening("grant", Case("grant")),
        *([Happening("call", Case("call", pressed=bool(lets)), Strike(pressed=lets))] if "call" in words or lets else []),
        *of_ways,
        *([Happening("forced", strike=replace(STILL, opened=shut))] if shut else []),
        *([Happening("other-open", strike=replace(STILL, active=waits))] if waits else []),
        Happening("fire", Case("fire")),
        *([Happening("tamper", Case("tamper"))] if any(_feels(door, logic, ref) for ref in door.devices) else []),
        Happening("mains-lost", strike=replace(STILL, mains=False)),
        Happening("power-dead", Case("power-dead")),
        *([Happening("port-dead", strike=replace(STILL, unfed=ports))] if ports else []),
        Happening("controller-dead", Case("controller-dead")),
        Happening("hung-rest", strike=replace(STILL, hung="rest")),
        Happening("hung-moved", strike=replace(STILL, hung="moved")),
    )


def _feels(door: Door, logic: Logic, ref: str) -> bool:
    """Whether a device outside feels that it is pulled off, by a contact of its own or by what is mounted with it."""
    device = door.devices[ref]
    outside = logic.cast.exposed(logic.cast.place(ref))
    return outside and ("tampered" in _words(logic, ref) or TAMPER in device.sheet.mounting or TAMPER in device.mount)


def _waits(door: Door, logic: Logic) -> frozenset[At]:
    """Inputs of the door by which it waits for another one, told from over there."""
    told = {
        At(relation.target.device, relation.target.group or "")
        for other in logic.cast.site.doors.values()
        if other.id != door.id
        for device in other.devices.values()
        for relation in device.relations
        if relation.kind == "tells" and relation.target.door == door.id
    }
    return frozenset(at for at in told if at.device in door.devices and door.devices[at.device].set.get(at.group) == "wait")


def leaving(state: Happening, way: Happening) -> Happening:
    """Somebody leaves in that way while the door is in that state."""
    case = state.case._replace(pressed=state.case.pressed or way.case.pressed, motion=state.case.motion or way.case.motion)
    pressed = (state.strike.pressed or frozenset()) | (way.strike.pressed or frozenset())
    return Happening(f"{state.name}, {way.name}", case, replace(state.strike, pressed=pressed), way=True)


def worked(door: Door, logic: Logic, way: Happening) -> tuple[str, ...]:
    """What somebody works by hand, or walks up to, who leaves in that way."""
    if way.strike.pressed:
        return tuple(ref for ref in door.devices if ref in way.strike.pressed)
    inside = (ref for ref in door.devices if not logic.cast.exposed(logic.cast.place(ref)))
    return tuple(ref for ref in inside if way.case.motion and "motion" in _words(logic, ref))


def entering(state: Happening) -> Happening:
    """Somebody shows a valid credential while the door is in that state."""
    return replace(state, name=f"{state.name}, credential", strike=replace(state.strike, granted=True))


def _words(logic: Logic, ref: str) -> Iterator[str]:
    for group in logic.cast.device(ref).sheet.groups.values():
        for words in moved_by(group):
            yield from words


def moved_by(group: Group) -> Iterator[tuple[str, ...]]:
    """The words, any of which moves a contact or has an output give, condition by condition."""
    given = group.gives_when if isinstance(group, Gives) else conditions(group)
    yield from (condition.any_of for condition in given)

"""Which side of each changeover, and which relay sense, give the behaviour wanted; and what each lock then does.

All contacts of a lock's circuit are chosen together, coils of relays between included.  Of several choices that give what
is wanted, those come first that give it when the controller dies by the controller's own contact (and not only because
a sensor went dark with it), then the one with the fewest relays moved in idle.

What no choice could give in some state, once idle and grant are right, is no matter of choice: it is left to the review, which
holds what the lock gives against what is wanted.  What each of two choices could give, but none gives together, is a message.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from itertools import product

from wiregen.reading.model import Changeover, Door, Problem, Takes
from wiregen.wiring.cast import Cast
from wiregen.wiring.circuits import Circuits
from wiregen.wiring.fitting import At
from wiregen.wiring.logic import IDLE, STATES, Case, Logic, cases, frees
from wiregen.wiring.model import Behaviour, Remark

SIDES = ("make", "break")
MOST_UNKNOWN = 12  # more than 4096 choices are worked through one lock at a time


@dataclass(frozen=True)
class Choice:
    """What was chosen, by the group of the changeover; and the logic of the door with that."""

    sides: Mapping[At, str]
    senses: Mapping[At, str]
    behaviours: tuple[Behaviour, ...]
    remarks: tuple[Remark, ...]
    problems: tuple[Problem, ...]
    logic: Logic


def locks(cast: Cast, circuits: Circuits) -> tuple[At, ...]:
    """The load of each lock that counts for `want`: locks; where a door has none, machines that an input can free."""
    found = []
    for kind in ("lock", "machine"):
        for key, device in cast.own.items():
            if device.sheet.is_ != kind:
                continue
            inputs = [g for g in device.sheet.groups.values() if getattr(g, "does", None)]
            loads = [g for g in device.sheet.groups.values() if isinstance(g, Takes)]
            if loads and (kind == "lock" or any(frees(g) for g in inputs)):  # type: ignore[arg-type]
                found.append(At(key, loads[0].name))
        if found:
            break
    return tuple(found)


def wanted(door: Door, lock: At) -> dict[str, str]:
    """What the lock should do by state: the door's `want`, then the lock's own; an electrical way to leave frees it."""
    want = {**door.want, **door.devices[lock.device].want}
    if {"sensor", "button", "call-point", "bar-switch"} & set(door.leave_by):
        want.setdefault("exit", "free")
    return {state: want[state] for state in STATES if state in want}


def choose(door: Door, cast: Cast, circuits: Circuits) -> Choice:
    sides: dict[At, str] = {}
    senses: dict[At, str] = {}
    remarks: list[Remark] = []
    problems: list[Problem] = []
    goals = {lock: wanted(door, lock) for lock in locks(cast, circuits)}
    unknown = {lock: _unknown(circuits, lock) for lock in goals}
    for together in _together(unknown):
        some = {lock: goals[lock] for lock in together}
        found = dict.fromkeys(one for lock in together for one in unknown[lock])
        open_ = [(what, at) for what, at in found if at not in (sides if what == "side" else senses)]
        _solve(door, circuits, some, open_, sides, senses, remarks, problems)
    logic = Logic(circuits, sides, senses)
    behaviours = tuple(
        Behaviour(
            lock.device,
            lock.group,
            powered={state: all(logic.on(case, lock) for case in cases(state, door.leave_by)) for state in STATES},
            gives=gives(logic, lock, door, STATES),
            wanted=goal,
        )
        for lock, goal in goals.items()
    )
    return Choice(sides, senses, behaviours, tuple(remarks), tuple(problems), logic)


def gives(logic: Logic, lock: At, door: Door, states: tuple[str, ...]) -> dict[str, str]:
    """held or free by state; a lock that stays as it was does what it does in idle.  Exit is free only if each way frees."""
    idle = logic.lock_is(IDLE, lock)
    found = {}
    for state in states:
        each = [logic.lock_is(case, lock) for case in cases(state, door.leave_by)]
        each = [idle if one == "stays" else one for one in each]
        found[state] = "free" if all(one == "free" for one in each) else "held"
    return found


def _unknown(circuits: Circuits, lock: At) -> list[tuple[str, At]]:
    """What has to be chosen for a lock: ("side", changeover) and ("sense", changeover).

    Which contacts count does not depend on the state, so one state shows all.
    """
    logic = Logic(circuits, {}, {})
    logic.lock_is(IDLE, lock)
    return list(logic.asked)


def _together(unknown: Mapping[At, list[tuple[str, At]]]) -> list[list[At]]:
    """Locks that share an unknown are solved together."""
    groups: list[tuple[set[tuple[str, At]], list[At]]] = []
    for lock, own in unknown.items():
        shared = [g for g in groups if g[0] & set(own)]
        merged = (set(own).union(*(g[0] for g in shared)), [*(one for g in shared for one in g[1]), lock])
        groups = [g for g in groups if g not in shared] + [merged]
    found: list[list[At]] = []
    for all_unknown, members in groups:
        found += [members] if len(all_unknown) <= MOST_UNKNOWN else [[one] for one in members]
    return found


def _solve(
    door: Door,
    circuits: Circuits,
    goals: Mapping[At, Mapping[str, str]],
    unknown: list[tuple[str, At]],
    sides: dict[At, str],
    senses: dict[At, str],
    remarks: list[Remark],
    problems: list[Problem],
) -> None:
    if not unknown:
        return
    tried = []
    for values in product(*(SIDES if what == "side" else _senses(circuits, at) for what, at in unknown)):
        chosen = list(zip(unknown, values, strict=True))
        new_sides = {at: value for (what, at), value in chosen if what == "side"}
        new_senses = {at: value for (what, at), value in chosen if what == "sense"}
        logic = Logic(circuits, {**sides, **new_sides}, {**senses, **new_senses})
        done = {lock: gives(logic, lock, door, tuple(goal)) for lock, goal in goals.items()}
        right = frozenset((lock, state) for lock, goal in goals.items() for state in goal if done[lock][state] == goal[state])
        moved = sum(logic.moved(IDLE, at) for at in {at for _, at in unknown})
        turned = sum(sense.startswith("rests") for sense in new_senses.values())
        alone = sum(_dead_alone(logic, lock) != goal.get("controller-dead") for lock, goal in goals.items())
        tried.append((right, (alone, moved, turned), new_sides, new_senses, done))
    first = frozenset((lock, state) for lock, goal in goals.items() for state in goal if state in ("idle", "grant"))
    sound = [one for one in tried if first <= one[0]] or tried
    reachable = frozenset().union(*(one[0] for one in sound))
    fitting = [one for one in sound if one[0] == reachable]
    if not fitting:
        problems.append(_none_fits(door, goals, max(tried, key=lambda one: len(one[0]))[4], unknown))
        fitting = tried
    best = min(fitting, key=lambda one: one[1])
    sides.update(best[2])
    senses.update(best[3])
    alike = [one for one in fitting if one[1][0] == best[1][0]]
    open_ = {at: side for at, side in best[2].items() if any(one[2][at] != side for one in alike)}
    if open_ and len(alike) < len(tried):
        remarks.append(_several_fit(door, goals, open_))


def _dead_alone(logic: Logic, lock: At) -> str:
    """What the lock does when the controller is dead and what it powers beside the lock runs on."""
    done = logic.lock_is(Case("controller-dead", rail=True), lock)
    return logic.lock_is(IDLE, lock) if done == "stays" else done


def _senses(circuits: Circuits, at: At) -> tuple[str, ...]:
    """The two words of a sense setting, the one that rests on grant last."""
    sense = circuits.of(at, Changeover).sense
    choices = circuits.cast.device(at.device).sheet.settings.get(sense or "", ())
    plain = [c for c in choices if not c.startswith("rests")]
    turned = [c for c in choices if c.startswith("rests")]
    return (plain[0] if plain else "moves on grant", turned[0] if turned else "rests on grant")


def _several_fit(door: Door, goals: Mapping[At, Mapping[str, str]], sides: Mapping[At, str]) -> Remark:
    names = ", ".join(f"{at}.{side}" for at, side in sides.items())
    which = ", ".join(lock.device for lock in goals)
    return Remark(
        f"more than one contact gives what {which} should do; taken is the one at rest in idle: {names}",
        door.keys.get("want", door.where),
        "contact-at-rest",
    )


def _none_fits(
    door: Door, goals: Mapping[At, Mapping[str, str]], done: Mapping[At, Mapping[str, str]], unknown: list[tuple[str, At]]
) -> Problem:
    rows = "; ".join(
        f"{lock.device}: "
        + ", ".join(
            f"{state} {goal[state]}" + ("" if done[lock][state] == goal[state] else f" (the nearest gives {done[lock][state]})")
            for state in goal
        )
        for lock, goal in goals.items()
    )
    contacts = ", ".join(dict.fromkeys(str(at) for what, at in unknown if what == "side"))
    return Problem(
        door.keys.get("want", door.where),
        "want",
        f"no choice of make or break contact at {contacts} gives all that is wanted. {rows}",
        "change `want`, feed the lock from another output, or write the side, such as "
        + next((f"{at}.break" for what, at in unknown if what == "side"), "A1.relay.break"),
    )

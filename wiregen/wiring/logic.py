"""What the contacts of a door do in each state: a small boolean model over the circuits.

Condition words come from data sheets; the words of `does` that matter here are a closed list:

- `frees ...`, `opens ...`, `lets ...`, `drops the arm`: while this input is active, the lock or machine is free;
- `drops out`, `drops bar-1 and bar-2`: while active, those outputs are dead.

An input whose setting says `with trigger-1` and on which nothing is landed acts as that other input does.  An input whose
setting says `unlock` makes the device grant while it is active; one that says `wait` keeps it from granting.  A relay whose
sense setting begins with `rests` is turned round.  Every other verb (closes, holds, reverses, stops, shows, sounds, tells,
gives, moves, chooses, light) is text.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Mapping
from functools import lru_cache
from typing import NamedTuple

from wiregen.reading.model import Changeover, Condition, Contact, Door, Drive, Gives, Input, Jack, Line, Site, Takes
from wiregen.reading.shared import SITE
from wiregen.wiring.cast import Cast
from wiregen.wiring.circuits import Circuits, InputCircuit
from wiregen.wiring.fitting import At, Step
from wiregen.wiring.model import Wiring

FREES = ("frees", "opens", "lets", "drops the arm")


class Case(NamedTuple):
    """A state, and which of the ways to leave is used in it.

    `leaf`: only the handle or bar of a leaf is worked by hand.  `rail`: the controller is dead, but what it powers beside the
    lock runs on, so that no contact opens only because its own device went dark with it.
    """

    state: str
    pressed: bool = False
    motion: bool = False
    rail: bool = False
    leaf: bool = False


IDLE = Case("idle")
STATES = ("idle", "grant", "call", "exit", "controller-dead", "power-dead", "fire", "tamper")


def cases(state: str, leave_by: tuple[str, ...]) -> tuple[Case, ...]:
    """The cases of a state.  Exit has one for each electrical way to leave, as each must do alone; without one, who leaves
    works the handle or bar and is seen, but turns no switch beside the door."""
    if state != "exit":
        return (Case(state),)
    ways = []
    if "sensor" in leave_by:
        ways.append(Case("exit", motion=True))
    if {"button", "call-point", "bar-switch"} & set(leave_by):
        ways.append(Case("exit", pressed=True))
    return tuple(ways) or (Case("exit", motion=True, leaf=True),)


class Logic:
    """Evaluates the model for one case under one choice of sides and senses.

    `sides` gives make or break for a changeover by its group, `senses` "rests ..." or "moves ..." likewise.  What was asked
    for and not found is noted in `asked` (changeovers without a side, senses without a setting).
    """

    def __init__(self, circuits: Circuits, sides: Mapping[At, str], senses: Mapping[At, str]) -> None:
        self.circuits = circuits
        self.cast = circuits.cast
        self.sides = sides
        self.senses = senses
        self.asked: dict[tuple[str, At], None] = {}
        self.at_rest: Logic = self  # what `rest` is measured against, where something else is done to this one
        self._known: dict[tuple[Case, str, At], bool] = {}

    # ---- what is powered

    def alive(self, case: Case, key: str) -> bool:
        return self._once(case, "alive", At(key, ""), self._alive)

    def _alive(self, case: Case, at: At) -> bool:
        sheet = self.cast.device(at.device).sheet
        if case.state == "controller-dead" and sheet.is_ == "controller":
            return False
        powered = self.circuits.inlets(at.device)
        if not powered:
            return case.state != "power-dead"
        return _some([self.on(case, inlet) for inlet in powered])

    def on(self, case: Case, load: At) -> bool:
        """True if a load has power."""
        return self._once(case, "on", load, self._on)

    def _on(self, case: Case, load: At) -> bool:
        feed = self.circuits.feeds.get(load)
        if case.state == "power-dead" or feed is None:
            return False
        if feed.row == "T3":
            return True
        if feed.row == "T4":
            return self.alive(case, feed.source.device)
        if feed.row == "T12":
            return self.driven(case, feed.source)
        source = self.circuits.group(feed.source)
        seen = Case(case.state) if case.rail and self.cast.device(load.device).sheet.is_ == "lock" else case
        live = self.live(seen, feed.source) if isinstance(source, Gives) else self.on(seen, feed.source)
        closed = [_some([self.closed(case, step) for step in place]) for place in (*feed.plus, *feed.minus)]
        sunk = feed.sink is None or self.driven(case, feed.sink.target)
        return live and all(closed) and sunk

    def live(self, case: Case, output: At) -> bool:
        """True if an output gives power."""
        return self._once(case, "live", output, self._live)

    def _live(self, case: Case, output: At) -> bool:
        device = self.cast.device(output.device)
        group = self.circuits.of(output, Gives)
        if case.state == "power-dead" or (
            case.state == "controller-dead" and not case.rail and device.sheet.is_ == "controller"
        ):
            return False
        inputs = self.circuits.sensing(output.device)
        if _some([self.active(case, at) and drops(into, output.group) for at, into in inputs]):
            return False
        groups = device.sheet.groups
        from_ = [self.truth(case, At(output.device, name)) for name in group.out_of if name in groups]
        return (any(from_) or not from_) and _every([self.holds(case, output.device, c) for c in group.gives_when])

    # ---- contacts, inputs, drives

    def closed(self, case: Case, step: Step) -> bool:
        group = self.circuits.group(step.at)
        if isinstance(group, Contact):
            return _every([self.holds(case, step.at.device, c) for c in group.closed_when])
        if isinstance(group, Changeover):
            side = step.side or self.sides.get(step.at)
            if side is None:
                self.asked.setdefault(("side", step.at))
            return self.moved(case, step.at) == (side != "break")
        return True

    def moved(self, case: Case, at: At) -> bool:
        return self._once(case, "moved", at, self._moved)

    def _moved(self, case: Case, at: At) -> bool:
        group = self.circuits.of(at, Changeover)
        powered = _every([self.holds(case, at.device, c) for c in group.moves_when if c.any_of == ("powered",)])
        rest = [self.holds(case, at.device, c) for c in group.moves_when if c.any_of != ("powered",)]
        if group.sense is None:
            return powered and all(rest)
        sense = self.cast.device(at.device).set.get(group.sense) or self.senses.get(at)
        if sense is None:
            self.asked.setdefault(("sense", at))
        return powered and all(rest) != (sense is not None and sense.startswith("rests"))

    def active(self, case: Case, at: At) -> bool:
        """True if an input is active.  One on which nothing is landed is taken to be bridged or left so that it is not."""
        return self._once(case, "active", at, self._active)

    def _active(self, case: Case, at: At) -> bool:
        group = self.circuits.group(at)
        ways = self.circuits.inputs.get(at)
        if not ways or not isinstance(group, Input):
            setting = self.cast.device(at.device).set.get(at.group, "")
            joined = setting.removeprefix("with ")
            return joined != setting and self.active(case, At(at.device, joined))
        closed = _some([self.way_closed(case, way, group) for way in ways])
        if group.active == "open":
            return not closed
        if group.active is None:
            return closed != _some([self.at_rest.way_closed(IDLE, way, group) for way in ways])
        return closed

    def way_closed(self, case: Case, way: InputCircuit, group: Input) -> bool:
        if way.drive is not None:
            return self.driven(case, way.drive)
        return _every([self.closed(case, self.input_step(step, group)) for step, _ in way.steps])

    def input_step(self, step: Step, group: Input) -> Step:
        """A changeover at an input: the side that leaves the input inactive in idle; make where the input does not say."""
        if step.side is not None or not isinstance(self.circuits.group(step.at), Changeover):
            return step
        if group.active not in ("open", "closed"):
            return Step(step.at, "make")
        return Step(step.at, "make" if self.at_rest.moved(IDLE, step.at) == (group.active == "open") else "break")

    def driven(self, case: Case, at: At) -> bool:
        """A drive line is taken to be active with a grant, and only while its device is powered."""
        return self.alive(case, at.device) and self.granted(case, at.device)

    def granted(self, case: Case, key: str) -> bool:
        """The controller has been told to open: by a credential, or by its exit input where that is set to unlock.

        While an input that is set to wait is active (another leaf stands open), it opens for nobody.
        """
        if self.any_set(case, key, "wait"):
            return False
        return case.state == "grant" or self.any_set(case, key, "unlock")

    def any_set(self, case: Case, key: str, word: str) -> bool:
        """Whether an input that is set to that is active; the first choice of a setting is as delivered."""
        device = self.cast.device(key)
        for at, group in self.circuits.sensing(key):
            choices = device.sheet.settings.get(group.name, ())
            chosen = device.set.get(group.name, choices[0] if choices else "")
            if chosen == word and self.active(case, at):
                return True
        return False

    # ---- condition words

    def holds(self, case: Case, key: str, condition: Condition) -> bool:
        return _some([self._word(case, key, word) for word in condition.any_of]) != condition.negated

    def _word(self, case: Case, key: str, word: str) -> bool:
        device = self.cast.device(key)
        named = device.sheet.groups.get(word)
        if named is not None and not isinstance(named, (Contact, Changeover)):
            return self.truth(case, At(key, word))
        match word:
            case "powered":
                return self.alive(case, key)
            case "mains":
                return case.state != "power-dead"
            case "grant":
                return self.granted(case, key)
            case "chosen":
                return _some([self.active(case, at) for at, _ in self.circuits.sensing(key)])
            case "pressed":
                place = self.cast.place(key)
                return (case.pressed or (case.leaf and self.cast.on_leaf(place))) and not self.cast.exposed(place)
            case "motion":
                return case.motion
            case "call" | "fire":
                return case.state == word
            case "tampered":
                return case.state == "tamper"
        return word in ("shut", "latched", "bonded", "thrown")

    def truth(self, case: Case, at: At) -> bool:
        """What the name of a group means as a condition."""
        group = self.circuits.group(at)
        match group:
            case Takes():
                return self.on(case, at)
            case Jack():
                return self.on(case, at) if group.poe == "in" else self.alive(case, at.device)
            case Gives():
                return self.live(case, at)
            case Input():
                return self.active(case, at)
            case Drive():
                return self.driven(case, at)
            case Line():
                return self._commanded(case, at)
        return self.closed(case, Step(at, "make"))

    def _commanded(self, case: Case, at: At) -> bool:
        """A line carries the command of the device that this one obeys or speaks to."""
        masters = [fit.target.device for fit in self.circuits.fits if fit.row == "T13" and fit.own == at]
        masters = masters or [fit.own.device for fit in self.circuits.fits if fit.row == "T13" and fit.target == at]
        return _some([self.alive(case, key) and self.granted(case, key) for key in masters])

    def _once(self, case: Case, what: str, at: At, work: Callable[[Case, At], bool]) -> bool:
        """Worked out once a case; what leads back to itself is taken to be at rest."""
        known, key = self._known, (case, what, at)
        found = known.get(key)
        if found is None:
            known[key] = False
            found = known[key] = work(case, at)
        return found

    # ---- the lock

    def lock_is(self, case: Case, load: At) -> str:
        """held, free or stays: what the lock or machine with that load does."""
        device = self.cast.device(load.device)
        powered = self.on(case, load)
        unpowered = device.sheet.unpowered
        freeing = [at for at, group in self.circuits.sensing(load.device) if frees(group)]
        if not powered:
            return unpowered or "stays"
        if freeing:
            return "free" if _some([self.active(case, at) for at in freeing]) else "held"
        return "held" if unpowered == "free" else "free"


def logic_of(site: Site, door: Door, wiring: Wiring) -> Logic:
    """The model of a door as it was wired: with the sides and senses that wiring chose."""
    cast = Cast(site, None if door.id == SITE else door)
    circuits = Circuits(cast, [*cast.own, *cast.shared()], site.house)
    sides = {At(k.device, k.group): k.side for chain in wiring.chains for k in chain.links if k.side}
    senses = {
        At(ref, group.name): device.settings[group.sense]
        for ref, device in wiring.devices.items()
        for group in device.sheet.groups.values()
        if isinstance(group, Changeover) and group.sense and group.sense in device.settings
    }
    return Logic(circuits, sides, senses)


def _every(found: list[bool]) -> bool:
    """`all`, over a list: everything is worked out, so that everything that is not yet chosen is asked for."""
    return all(found)


def _some(found: list[bool]) -> bool:
    return any(found)


def frees(group: Input) -> bool:
    return group.does is not None and group.does.startswith(FREES)


def drops(group: Input, output: str) -> bool:
    """Whether an input, while it is active, takes the power from that output of its device."""
    return group.does is not None and group.does.startswith("drops ") and output in _dropped(group.does)


@lru_cache(maxsize=256)
def _dropped(does: str) -> frozenset[str]:
    return frozenset(re.split(r",\s*|\s+and\s+", does.removeprefix("drops ")))


def spares(group: Input, output: str | None) -> bool:
    """Whether an input takes the power from other outputs of its device, and so does nothing to what hangs on this one."""
    return output is not None and (group.does or "").startswith("drops ") and not drops(group, output)

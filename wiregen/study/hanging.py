"""What hangs on the outputs of a site: its doors as loads, and what adds up on each output, through boards and supplies.

Each door is to the site a load of constant current on every output that it takes from, under the name "D104/FB1.f-2".
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from functools import cached_property
from typing import Literal

from wiregen.reading.model import Band, DataSheet, Door, Gives, Joint, Site, Takes, Terminal
from wiregen.reading.shared import SITE, as_door
from wiregen.study.copper import Copper, Loads, Supplied, supplied
from wiregen.study.load import draws
from wiregen.study.model import Draw, Study
from wiregen.wiring.fitting import At
from wiregen.wiring.logic import IDLE, STATES, Case, Logic, cases, logic_of
from wiregen.wiring.model import Conductor, End, WiredDevice, Wiring

Kind = Literal["idle", "fire", "worst"]
KINDS: tuple[Kind, ...] = ("idle", "fire", "worst")
NOTHING = Band(0.0, 0.0, 0.0, "A", "")


@dataclass(frozen=True)
class Part:
    """What one door, or one load of the site's own, takes from an output, in A."""

    name: str
    door: str | None
    idle: Band
    fire: Band
    worst: Band
    peak: float


class Hanging:
    """`wiring` is that of the site with its doors landed on it as loads; `own` are the loads that the site has itself."""

    def __init__(self, site: Site, shared: Wiring, wirings: Mapping[str, Wiring], studies: Iterable[Study]) -> None:
        self.site, self.shared = site, shared
        self.door: Door = as_door(site)
        self.draws: Mapping[At, tuple[str, Draw]] = {
            At(f"{study.door}/{plain(draw.device)}", draw.output): (study.door, draw)
            for study in studies
            for draw in study.draws
            if plain(draw.device) in shared.devices
        }
        self.wiring = _landed(shared, wirings, self.draws)
        self.copper = Copper(self.wiring)
        self.all = supplied(site, self.wiring, self.copper)
        self._known: dict[At, tuple[Part, ...]] = {}
        self.own = Loads(at for at in self.all if At(at.device, at.load.name) not in self.draws)

    @cached_property
    def logic(self) -> Logic:
        return logic_of(self.site, self.door, self.shared)

    @cached_property
    def loads(self) -> Mapping[Kind, Loads]:
        """All loads, the doors with what they take in each kind of state."""
        return {kind: Loads(self._in(at, kind) for at in self.all) for kind in KINDS}

    def _in(self, at: Supplied, kind: Kind) -> Supplied:
        found = self.draws.get(At(at.device, at.load.name))
        return replace(at, load=replace(at.load, load=getattr(found[1], kind))) if found else at

    def _on(self, load: At, kind: Kind) -> bool:
        of_kind: Mapping[Kind, Sequence[Case]] = {"idle": (IDLE,), "fire": cases("fire", ())}
        anything = [case for state in STATES for case in cases(state, ())]
        return any(self.logic.on(case, load) for case in of_kind.get(kind, anything))

    @cached_property
    def outputs(self) -> Mapping[At, Gives]:
        """Every direct-current output of the site that something hangs on, in the order of its devices."""
        taken = {At(at.source, at.output.name) for at in self.all}
        return {
            At(ref, group.name): group
            for ref, device in self.shared.devices.items()
            for group in device.sheet.groups.values()
            if isinstance(group, Gives) and At(ref, group.name) in taken
        }

    def parts(self, output: At) -> tuple[Part, ...]:
        """All that hangs on an output, through what passes on: fuse boards, and supplies that live on their battery."""
        if output not in self._known:
            self._known[output] = tuple(self._parts(output, frozenset()))
        return self._known[output]

    def _parts(self, output: At, above: frozenset[At]) -> Iterator[Part]:
        for at in self.all.on(*output) if output not in above else ():
            if found := self.draws.get(At(at.device, at.load.name)):
                door, draw = found
                yield Part(f"{at.device}.{at.load.name}", door, draw.idle, draw.fire, draw.worst, draw.peak)
            elif passes := self.passed_on(at):
                for each in passes:
                    yield from self._parts(At(at.device, each.name), above | {output})
                if at.load.load and at.load.load.unit == "A":
                    yield self._own(at)
            else:
                yield self._own(at)

    def passed_on(self, at: Supplied) -> tuple[Gives, ...]:
        """The outputs of a load that have the same current as it takes; none where any of them is made from another voltage."""
        groups = self.wiring.devices[at.device].sheet.groups.values()
        outputs = tuple(g for g in groups if isinstance(g, Gives) and at.load.name in g.out_of)
        return outputs if all(g.volts_as == at.load.name or at.load.charge for g in outputs) else ()

    def _own(self, at: Supplied) -> Part:
        name = At(at.device, at.load.name)
        idle, fire, worst = (self._amps(at, name, kind) for kind in KINDS)
        rush = at.load.inrush.amps if at.load.inrush else 0.0
        return Part(str(name), None, idle, fire, worst, max(rush, worst.most))

    def _amps(self, at: Supplied, name: At, kind: Kind) -> Band:
        if at.load.charge and at.load.load:
            return at.load.load
        told = draws(self.door, self.wiring, self.loads[kind], at) if self._on(name, kind) else None
        return Band(told.value, told.least, told.most, "A", "") if told else NOTHING


def plain(ref: str) -> str:
    """A device of the site under its own name, where a door knows it under another."""
    return ref.removeprefix(f"{SITE}/")


def doors_of(parts: Iterable[Part]) -> tuple[str, ...]:
    return tuple(dict.fromkeys(part.door for part in parts if part.door is not None))


def at_once(parts: Sequence[Part], joints: Sequence[Joint]) -> tuple[dict[str, Band], str]:
    """What the parts take in their worst states as far as these can coincide, by name; and how that was limited, in words.

    Of doors of which only so many may be open at once, the others are counted idle.
    """
    on = {part.name: part.worst for part in parts}
    doors = {part.door for part in parts}
    said = []
    for joint in joints:
        if doors.isdisjoint(joint.doors):
            continue
        more: dict[str, float] = {}
        for part in parts:
            if part.door in joint.doors:
                more[part.door or ""] = more.get(part.door or "", 0.0) + part.worst.most - part.idle.most
        if joint.at_once is None or len(more) <= joint.at_once:
            continue
        shut = sorted(more, key=lambda door: (-more[door], door))[joint.at_once :]
        on |= {part.name: part.idle for part in parts if part.door in shut}
        said.append(f"{joint.name}: {joint.at_once} of {', '.join(sorted(more))} at once, the others idle")
    return on, "; ".join(said)


def _landed(shared: Wiring, wirings: Mapping[str, Wiring], draws: Mapping[At, tuple[str, Draw]]) -> Wiring:
    """The wiring of the site with a load for each draw, on short leads; what doors use of its devices is marked as used."""
    devices = dict(shared.devices)
    for wiring in wirings.values():
        for ref, device in wiring.devices.items():
            if device.origin == "site" and plain(ref) in devices:
                known = devices[plain(ref)]
                devices[plain(ref)] = replace(known, used=known.used | device.used)
    leads: list[Conductor] = []
    taken: dict[str, list[Takes]] = {}
    for at, (_, draw) in draws.items():
        source = plain(draw.device)
        output = shared.devices[source].sheet.groups[draw.output]
        assert isinstance(output, Gives)
        first, second = f"{at.group} +", f"{at.group} -"
        poles = {"poles": (first, second)} if output.poles else {"plus": first, "minus": second}
        load = Takes(name=at.group, current=output.current, load=draw.worst, where=output.where, **poles)
        taken.setdefault(at.device, []).append(load)
        for mark, end in ((first, output.first), (second, output.second)):
            leads.append(_lead(End(source, end or ""), End(at.device, mark)))
    for ref, loads in taken.items():
        devices[ref] = _as_device(ref, loads)
    return replace(shared, devices=devices, conductors=(*shared.conductors, *leads))


def _as_device(ref: str, loads: Sequence[Takes]) -> WiredDevice:
    marks = [mark for load in loads for mark in load.marks]
    sheet = DataSheet(
        type=ref, is_="door", name=ref, where=loads[0].where, groups={load.name: load for load in loads},
        terminals=tuple(Terminal(mark, n) for n, mark in enumerate(marks, 1)),
    )  # fmt: skip
    return WiredDevice(ref=ref, sheet=sheet, place="", exposed=False, origin="other door", used=frozenset(marks))


def _lead(a: End, b: End) -> Conductor:
    return Conductor(
        wire=f"to {b}", potential="", a=a, b=b, colour="", kind="lead", function="", circuit="power", place=None
    )  # fmt: skip

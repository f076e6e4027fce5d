"""The circuits that the relations make: what feeds a load, through which contacts, and what stands on an input.

Circuits are what the logic of the door is worked out over and what conductors are then drawn for.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, field
from typing import TypeVar

from wiregen.reading.model import Group, House, Input, Jack, Problem, Takes
from wiregen.wiring.cast import Cast
from wiregen.wiring.fitting import At, Fit, Step, Through, fits

Kind = TypeVar("Kind", bound=Group)


@dataclass(frozen=True)
class Feed:
    """How a load (a `takes` group, or a jack that takes power) is powered.

    `plus` and `minus` are the places of the circuit in order from the source (plus) and from the load (minus); a place
    holds several steps where they are side by side.  `sink` is the drive that switches its minus (T11).
    """

    load: At
    row: str
    source: At
    plus: tuple[tuple[Step, ...], ...] = ()
    minus: tuple[tuple[Step, ...], ...] = ()
    sink: Fit | None = None
    fit: Fit | None = None


@dataclass
class InputCircuit:
    """One way in which an input is closed: contacts in series as they were written, or one drive."""

    input: At
    fit: Fit
    steps: list[tuple[Step, Fit]] = field(default_factory=list)
    drive: At | None = None


class Circuits:
    """All circuits that concern the devices named, seen from one door."""

    def __init__(self, cast: Cast, keys: Iterable[str], house: House) -> None:
        self.cast = cast
        self.fits: list[Fit] = []
        self.through: list[Through] = []
        self.problems: list[Problem] = []
        for index, key in enumerate(keys):
            found, through, problems = fits(cast, key, index)
            self.fits += found
            self.through += through
            self.problems += problems if cast.is_own(key) else []
        self.feeds = self._feeds(house)
        self.inputs: dict[At, list[InputCircuit]] = {}
        self._input_circuits()
        self._inlets: dict[str, tuple[At, ...]] = {}
        self._sensing: dict[str, tuple[tuple[At, Input], ...]] = {}

    def inlets(self, key: str) -> tuple[At, ...]:
        """The groups of a device that take power."""
        if key not in self._inlets:
            groups = self.cast.device(key).sheet.groups.values()
            taking = [g for g in groups if isinstance(g, Takes) or (isinstance(g, Jack) and g.poe == "in")]
            self._inlets[key] = tuple(At(key, group.name) for group in taking)
        return self._inlets[key]

    def sensing(self, key: str) -> tuple[tuple[At, Input], ...]:
        """The inputs of a device."""
        if key not in self._sensing:
            groups = self.cast.device(key).sheet.groups.values()
            self._sensing[key] = tuple((At(key, g.name), g) for g in groups if isinstance(g, Input))
        return self._sensing[key]

    def group(self, at: At) -> Group:
        return self.cast.device(at.device).sheet.groups[at.group]

    def of(self, at: At, kind: type[Kind]) -> Kind:
        """The group, known to be of that kind."""
        group = self.group(at)
        if not isinstance(group, kind):
            raise TypeError(f"{at} is a {group.kind}")
        return group

    def _feeds(self, house: House) -> dict[At, Feed]:
        steps: dict[tuple[At, str], list[tuple[Step, ...]]] = {}
        for item in self.through:
            pole = item.pole or house.break_
            steps.setdefault((item.own, pole), []).append(item.steps)
        sinks = {fit.own: fit for fit in self.fits if fit.row == "T11"}
        feeds = {}
        for fit in self.fits:
            if fit.relation.kind == "from":
                feeds[fit.own] = Feed(
                    load=fit.own,
                    row=fit.row,
                    source=fit.target,
                    plus=tuple(steps.get((fit.own, "plus"), ())),
                    minus=tuple(steps.get((fit.own, "minus"), ())),
                    sink=sinks.get(fit.own),
                    fit=fit,
                )
            elif fit.row == "T12":
                feeds[fit.own] = Feed(load=fit.own, row="T12", source=fit.target, fit=fit)
        for own, fit in sinks.items():
            if own not in feeds:
                device = self.cast.device(own.device)
                self.problems.append(
                    Problem(
                        fit.relation.where,
                        f"devices, {device.ref}, obeys",
                        f"{fit.target} only sinks current: {device.ref} needs a plus of its own",
                        f"write where it is powered from: {device.ref}: {{from: {fit.target.device}.OUTPUT}}",
                    )
                )
        return feeds

    def _input_circuits(self) -> None:
        """T6 to T10 and T16: every contact or drive at an input; a contact told by another stands before it in series."""
        holder: dict[At, InputCircuit] = {}
        later = []
        for fit in self.fits:
            if fit.row in ("T6", "T7"):
                self._open(InputCircuit(fit.target, fit, [(Step(fit.own, None), fit)]), holder)
            elif fit.row == "T8":
                self._open(InputCircuit(fit.own, fit, [(Step(fit.target, fit.relation.target.side), fit)]), holder)
            elif fit.row == "T9":
                self._open(InputCircuit(fit.own, fit, drive=fit.target), holder)
            elif fit.row == "T16":
                self._open(InputCircuit(fit.target, fit, drive=fit.own), holder)
            elif fit.row == "T10":
                later.append(fit)
        while later:
            placed = [fit for fit in later if fit.target in holder]
            if not placed:
                self.problems += [self._no_circuit(fit) for fit in later if self.cast.is_own(fit.own.device)]
                break
            for fit in placed:
                circuit = holder[fit.target]
                at = next(i for i, (step, _) in enumerate(circuit.steps) if step.at == fit.target)
                while at + 1 < len(circuit.steps) and circuit.steps[at + 1][1].row == "T10":
                    at += 1
                circuit.steps.insert(at + 1, (Step(fit.own, None), fit))
                holder.setdefault(fit.own, circuit)
                later.remove(fit)

    def _open(self, circuit: InputCircuit, holder: dict[At, InputCircuit]) -> None:
        self.inputs.setdefault(circuit.input, []).append(circuit)
        for step, _ in circuit.steps:
            holder.setdefault(step.at, circuit)

    def _no_circuit(self, fit: Fit) -> Problem:
        own, target = self.cast.device(fit.own.device), fit.target
        return Problem(
            fit.relation.where,
            f"devices, {own.ref}, tells",
            f"{own.ref} stands in series with {target}, but {target} tells nothing itself",
            f"write what {target.device} tells: {target.device}: {{tells: {{{target.group}: A1.INPUT}}}}, "
            f"or put {own.ref} into a circuit with `through`",
        )

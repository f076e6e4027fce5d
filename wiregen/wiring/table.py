"""The termination table: relations to joins, each join one terminal that copper leads to another (rows T1 to T16).

Joins come in the order in which L3 looks at them (from, earths, speaks, obeys, tells); each keeps its place in the spec, as
letters of conductors follow that.
"""

from __future__ import annotations

from collections.abc import Iterator

from wiregen.reading.conditions import conditions
from wiregen.reading.model import Changeover, Drive, Earth, Gives, Input, Line, Takes
from wiregen.wiring.calmers import Pick
from wiregen.wiring.cast import Cast
from wiregen.wiring.chains import Chains
from wiregen.wiring.circuits import Circuits, InputCircuit
from wiregen.wiring.fitting import At, Fit
from wiregen.wiring.joins import Added, Join, between
from wiregen.wiring.line_ends import LineEnds
from wiregen.wiring.logic import Logic
from wiregen.wiring.model import End
from wiregen.wiring.names import Names

PHASES = ("from", "earths", "speaks", "obeys", "tells")
LIGHT_LINES = ("coded", "intercom", "loop")  # lines that need no screened pair


class Table:
    """Works the table out for the relations of the cast's own devices."""

    def __init__(
        self,
        cast: Cast,
        circuits: Circuits,
        logic: Logic,
        picks: list[Pick],
        names: Names,
        heavy_contacts: frozenset[At] = frozenset(),
    ) -> None:
        self.cast = cast
        self.circuits = circuits
        self.logic = logic
        self.added: list[Added] = [Added(one.ref, one.sheet, cast.place(one.load.device), one.load.device) for one in picks]
        self.heavy_contacts = heavy_contacts  # contacts in lock circuits, from elsewhere to begin with
        limiters = {one.load: one for one in picks if one.in_series}
        self._chains = Chains(circuits, logic, limiters, self._heavy_loads())
        self._line_ends = LineEnds(cast, circuits, names)
        self.joins = self._all()
        self.chains = tuple(self._chains.found)
        self.line_ends = tuple(self._line_ends.found)
        self.problems = tuple(self._line_ends.problems)

    def _heavy_loads(self) -> frozenset[At]:
        """Loads of lock circuits: locks, what passes its power on to them as it comes in, a battery at its supply, and relays
        that only follow their coil and whose contacts stand in such a circuit."""
        feeds = self.circuits.feeds
        heavy = {at for at in feeds if self.cast.device(at.device).sheet.is_ == "lock" or self._passes_on(at)}
        while True:
            self.heavy_contacts |= {s.at for at in heavy for place in (*feeds[at].plus, *feeds[at].minus) for s in place}
            followers = {at.device for at in self.heavy_contacts if self._follows_coil(at)}
            more = {at for at in feeds if at.device in followers} - heavy
            if not more:
                return frozenset(heavy)
            heavy |= more

    def _passes_on(self, at: At) -> bool:
        load, groups = self.circuits.group(at), self.cast.device(at.device).sheet.groups.values()
        if isinstance(load, Takes) and load.charge is not None:
            return True
        return any(isinstance(g, Gives) and g.volts_as == at.group for g in groups)

    def _follows_coil(self, at: At) -> bool:
        group = self.circuits.group(at)
        return [c.any_of for c in conditions(group)] == [("powered",)]

    def _all(self) -> tuple[Join, ...]:
        by_phase: dict[str, list[Join]] = {phase: [] for phase in PHASES}
        for at, feed in self.circuits.feeds.items():
            if feed.fit is not None and self.cast.is_own(at.device):
                by_phase["from" if feed.row != "T12" else "obeys"] += self._chains.joins(feed)
        for fit in self.circuits.fits:
            if self.cast.is_own(fit.own.device):
                if fit.row == "T15":
                    by_phase["earths"] += self._earth(fit)
                elif fit.row == "T13":
                    by_phase[fit.relation.kind] += self._line(fit)
                elif fit.row == "T11":
                    by_phase["obeys"] += self._chains.sink_reference(fit)
        for ways in self.circuits.inputs.values():
            for way in ways:
                if self.cast.is_own(way.fit.own.device):
                    by_phase[way.fit.relation.kind] += self._input(way)
        joins = [join for phase in PHASES for join in sorted(by_phase[phase], key=lambda j: j.order)]
        self.between_shared = tuple(join for join in joins if not self._landed_here(join))
        return tuple(join for join in joins if self._landed_here(join))

    def _landed_here(self, join: Join) -> bool:
        """L9: a conductor with both ends shared belongs to the site."""
        return self.cast.door is None or any(
            self.cast.is_own(end.device) or end.device in {one.ref for one in self.added} for end in (join.a, join.b)
        )

    # ---- earths, speaks, obeys, tells

    def _earth(self, fit: Fit) -> Iterator[Join]:
        own, target = self.circuits.of(fit.own, Earth), self.circuits.of(fit.target, Earth)
        a, b = End(fit.target.device, target.mark), End(fit.own.device, own.mark)
        yield Join(a, b, "T15", "earth", "earth", fit.order, fit.relation.where, pole="earth")

    def _line(self, fit: Fit) -> Iterator[Join]:
        own, target = self.circuits.of(fit.own, Line), self.circuits.of(fit.target, Line)
        crossed = {"tx": "rx", "rx": "tx"}
        light = own.protocol in LIGHT_LINES
        for role, mark in own.roles.items():
            yield Join(
                End(fit.target.device, target.roles[crossed.get(role, role)]),
                End(fit.own.device, mark),
                "T13",
                "data",
                f"data {crossed.get(role, role).upper()}",
                fit.order,
                fit.relation.where,
                line=not light,
            )
        if own.ref and target.ref:
            a, b = End(fit.target.device, target.ref), End(fit.own.device, own.ref)
            yield Join(a, b, "T13", "data", "0 V", fit.order, fit.relation.where, line=not light, ref=True, pole="minus")

    def _input(self, way: InputCircuit) -> Iterator[Join]:
        group = self.circuits.of(way.input, Input)
        fit = way.fit
        key = way.input.device
        words = group.name.replace("-", " ")

        def join(a: End, b: End, row: str, function: str, order: tuple[int, ...], ref: bool = False) -> Join:
            pole = "minus" if ref and zero else ""
            return Join(a, b, row, circuit, function, order, fit.relation.where, ref=ref, pole=pole)

        in_, ref = End(key, group.in_), End(key, group.ref)
        zero = self._is_zero_volt(ref)
        if way.drive is not None:
            circuit = "drive"
            drive = self.circuits.of(way.drive, Drive)
            yield join(End(way.drive.device, drive.out), in_, fit.row, f"drive {words}", fit.order)
            yield join(End(way.drive.device, drive.ref), ref, fit.row, "0 V", fit.order, ref=True)
            return
        circuit = "fire" if any(self._is_fire(step.at) for step, _ in way.steps) else "input"
        last, order, row = in_, fit.order, fit.row
        pack = self._line_ends.pack(way, group)
        if pack is not None:
            self.added.append(pack)
            yield join(in_, End(pack.ref, "1"), "L8", words, fit.order)
            last = End(pack.ref, "3")
        for step, at_fit in way.steps:
            order, row = at_fit.order, at_fit.row
            step = self.logic.input_step(step, group)
            contact = self.circuits.group(step.at)
            if isinstance(contact, Changeover):
                enter, leave = contact.break_ if step.side == "break" else contact.make, contact.common
            else:
                enter, leave = between(contact)
            yield join(last, End(step.at.device, enter), row, words, order)
            last = End(step.at.device, leave)
        if pack is not None:
            yield join(End(pack.ref, "4"), last, "L8", "0 V" if zero else f"{words} return", order, ref=True)
            last = End(pack.ref, "2")
        yield join(ref, last, row, "0 V" if zero else f"{words} return", order, ref=True)

    def _is_fire(self, at: At) -> bool:
        group = self.circuits.group(at)
        conditions = (*getattr(group, "moves_when", ()), *getattr(group, "closed_when", ()))
        return any("fire" in c.any_of for c in conditions)

    def _is_zero_volt(self, end: End) -> bool:
        """True if an input's reference is the minus of what its device gives or takes."""
        sheet = self.cast.device(end.device).sheet
        tied = next((set(t) for t in sheet.tied if end.terminal in t), {end.terminal})
        return any(isinstance(g, (Gives, Takes)) and g.second in tied for g in sheet.groups.values())

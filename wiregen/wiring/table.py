"""The termination table: relations to joins, each join one terminal that copper leads to another (rows T1 to T16).

Joins come in the order in which L3 looks at them (from, earths, speaks, obeys, tells); each keeps its place in the spec, as
letters of conductors follow that.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from wiregen.reading.model import (
    Changeover,
    Contact,
    DataSheet,
    Drive,
    Earth,
    Gives,
    Group,
    Input,
    Line,
    LineEndSheet,
    Part,
    Problem,
    Takes,
    Terminal,
    Where,
)
from wiregen.wiring.calmers import Pick
from wiregen.wiring.cast import Cast
from wiregen.wiring.circuits import Circuits, Feed, InputCircuit
from wiregen.wiring.fitting import At, Fit, Step
from wiregen.wiring.logic import Logic
from wiregen.wiring.model import Chain, ChainLink, End, LineEnd, Remark
from wiregen.wiring.names import Names

PHASES = ("from", "earths", "speaks", "obeys", "tells")
LIGHT_LINES = ("coded", "intercom", "loop")  # lines that need no screened pair


@dataclass(frozen=True)
class Join:
    """Two terminals to be joined, `a` the upstream one.

    `heavy` marks a lock circuit (stock.power), `line` a data line that wants a screened pair (stock.line).  `ref` joins are
    left out where both ends are one potential already.
    """

    a: End
    b: End
    row: str
    circuit: str
    function: str
    order: tuple[int, ...]
    where: Where | None
    heavy: bool = False
    line: bool = False
    ref: bool = False
    pole: str = ""  # plus, minus or earth, where it is one
    colour: str | None = None


@dataclass(frozen=True)
class Added:
    """A device added from stock beside another one."""

    ref: str
    sheet: DataSheet
    place: str
    beside: str


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
        self.limiters = {one.load: one for one in picks if one.in_series}
        self.names = names
        self.chains: list[Chain] = []
        self.line_ends: list[LineEnd] = []
        self.added: list[Added] = [Added(one.ref, one.sheet, cast.place(one.load.device), one.load.device) for one in picks]
        self.remarks: list[Remark] = []
        self.problems: list[Problem] = []
        self.heavy_contacts = heavy_contacts  # contacts in lock circuits, from elsewhere to begin with
        self.heavy = self._heavy_loads()
        self.joins = self._all()

    def _heavy_loads(self) -> frozenset[At]:
        """Loads of lock circuits: locks, and relays that only follow their coil and whose contacts stand in such a circuit."""
        feeds = self.circuits.feeds
        heavy = {at for at in feeds if self.cast.device(at.device).sheet.is_ == "lock"}
        while True:
            self.heavy_contacts |= {s.at for at in heavy for place in (*feeds[at].plus, *feeds[at].minus) for s in place}
            followers = {at.device for at in self.heavy_contacts if self._follows_coil(at)}
            more = {at for at in feeds if at.device in followers} - heavy
            if not more:
                return frozenset(heavy)
            heavy |= more

    def _follows_coil(self, at: At) -> bool:
        group = self.circuits.group(at)
        conditions = (
            group.moves_when if isinstance(group, Changeover) else group.closed_when if isinstance(group, Contact) else ()
        )
        return [c.any_of for c in conditions] == [("powered",)]

    def _all(self) -> tuple[Join, ...]:
        by_phase: dict[str, list[Join]] = {phase: [] for phase in PHASES}
        for at, feed in self.circuits.feeds.items():
            if feed.fit is not None and self.cast.is_own(at.device):
                by_phase["from" if feed.row != "T12" else "obeys"] += self._feed(feed)
        for fit in self.circuits.fits:
            if self.cast.is_own(fit.own.device):
                if fit.row == "T15":
                    by_phase["earths"] += self._earth(fit)
                elif fit.row == "T13":
                    by_phase[fit.relation.kind] += self._line(fit)
                elif fit.row == "T11":
                    by_phase["obeys"] += self._sink_ref(fit)
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

    # ---- from, through

    def _feed(self, feed: Feed) -> Iterator[Join]:
        if feed.row in ("T3", "T4") or feed.fit is None:
            return
        load = self.circuits.of(feed.load, Takes)
        first, second = poles(load)
        fit, heavy = feed.fit, feed.load in self.heavy
        is_lock = self.cast.device(feed.load.device).sheet.is_ == "lock"
        circuit = "lock power" if heavy else "power"
        plus, minus = ("lock +", "lock -") if is_lock else ("supply +", "0 V")

        def join(a: End, b: End, row: str, function: str, pole: str, ref: bool = False) -> Join:
            pole = pole if load.current == "dc" else ""
            return Join(a, b, row, circuit, function, fit.order, fit.relation.where, heavy=heavy, ref=ref, pole=pole)

        if feed.row == "T12":
            drive = self.circuits.of(feed.source, Drive)
            yield join(End(feed.source.device, drive.out), End(feed.load.device, first), "T12", "driven +", "plus")
            yield join(End(feed.source.device, drive.ref), End(feed.load.device, second), "T12", "0 V", "minus", ref=True)
            return
        source_first, source_second = poles(self.circuits.group(feed.source))
        links: list[ChainLink] = []
        ends = [End(feed.source.device, source_first)]
        for number, place in enumerate(feed.plus):
            steps = [self._enter_leave(step, links, "plus", n) for n, step in enumerate(place)]
            for enter, _ in steps:
                for end in ends:
                    yield join(end, enter, "T1", f"{plus}, chain" if number else plus, "plus")
            ends = [leave for _, leave in steps]
        limiter = self.limiters.get(feed.load)
        if limiter is not None:
            towards, away = limiter.ends
            for end in ends:
                yield join(end, End(limiter.ref, towards), "L8", plus, "plus")
            ends = [End(limiter.ref, away)]
        for end in ends:
            yield join(end, End(feed.load.device, first), feed.row, plus, "plus")
        ends = [End(feed.load.device, second)]
        for place in feed.minus:
            steps = [self._enter_leave(step, links, "minus", n) for n, step in enumerate(place)]
            for enter, _ in steps:
                for end in ends:
                    yield join(enter, end, "T1", minus, "minus")
            ends = [leave for _, leave in steps]
        for end in ends:
            if feed.sink is not None:
                drive = self.circuits.of(feed.sink.target, Drive)
                yield join(End(feed.sink.target.device, drive.out), end, "T11", "driven -", "minus")
            else:
                yield join(End(feed.source.device, source_second), end, feed.row, minus, "minus")
        self.chains.append(Chain(feed.load.device, feed.load.group, feed.source.device, feed.source.group, tuple(links)))

    def _enter_leave(self, step: Step, links: list[ChainLink], pole: str, beside: int) -> tuple[End, End]:
        """T5: in at first or common, out at second, make or break.  Counted from the source on the plus side, from the load
        on the minus side."""
        group = self.circuits.group(step.at)
        side = None
        if isinstance(group, Changeover):
            side = step.side or self.logic.sides.get(step.at, "make")
            enter, leave = group.common, group.break_ if side == "break" else group.make
        else:
            enter, leave = between(group)
        ends = End(step.at.device, enter), End(step.at.device, leave)
        links.append(
            ChainLink(
                step.at.device,
                step.at.group,
                *ends,
                side="break" if side == "break" else "make" if side else None,
                pole="minus" if pole == "minus" else "plus",
                beside=beside,
            )
        )
        return ends

    def _sink_ref(self, fit: Fit) -> Iterator[Join]:
        feed = self.circuits.feeds.get(fit.own)
        drive = self.circuits.group(fit.target)
        source = self.circuits.group(feed.source) if feed else None
        if feed is None or not isinstance(source, (Gives, Takes)) or source.second is None:
            return
        assert isinstance(drive, Drive)
        yield Join(
            End(feed.source.device, poles(self.circuits.group(feed.source))[1]),
            End(fit.target.device, drive.ref),
            "T11",
            "drive",
            "0 V",
            fit.order,
            fit.relation.where,
            ref=True,
            pole="minus",
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
        pack = self._line_end(way, group)
        if pack is not None:
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

    def _line_end(self, way: InputCircuit, group: Input) -> Added | None:
        """The resistors of a supervised input, at the sensor, unless they are cast into it."""
        device = self.cast.device(way.input.device)
        if device.set.get(group.name) != "supervised":
            return None
        sensor = way.steps[0][0].at
        for step, _ in way.steps:
            contact = self.circuits.group(step.at)
            if isinstance(contact, Contact) and contact.line_end is not None:
                self.line_ends.append(LineEnd(step.at.device, step.at.group, str(way.input), None, contact.line_end))
                return None
        sheet = self.cast.site.stock.line_end
        if sheet is None:
            self.problems.append(
                Problem(
                    way.fit.relation.where,
                    f"devices, {device.ref}, set, {group.name}",
                    f"{way.input} is supervised and {sensor.device} has no end-of-line resistors",
                    "name them in the site's stock: {line-end: TYPE}, or use a contact that has them inside",
                )
            )
            return None
        added = Added(self.names.next("resistor"), _pack(sheet), self.cast.place(sensor.device), sensor.device)
        self.added.append(added)
        self.line_ends.append(LineEnd(sensor.device, sensor.group, str(way.input), added.ref, sheet.values))
        return added


def poles(group: Group) -> tuple[str, str]:
    """The terminals at plus and minus, or the two poles, of what takes or gives direct or alternating current."""
    if not isinstance(group, (Gives, Takes)) or group.first is None or group.second is None:
        raise TypeError(f"{group.name} has no two poles")
    return group.first, group.second


def between(group: Group) -> tuple[str, str]:
    """The two terminals of a contact or pass."""
    pair: tuple[str, str] | None = getattr(group, "between", None)
    if pair is None:
        raise TypeError(f"{group.name} has no two terminals")
    return pair


def _pack(sheet: LineEndSheet) -> DataSheet:
    """End-of-line resistors as a device with four bare leads: 1 and 2 to the input, 3 and 4 to the contact."""
    return DataSheet(
        type=sheet.type,
        is_=sheet.is_,
        name=sheet.name,
        terminals=tuple(Terminal(str(n), n, "bare") for n in (1, 2, 3, 4)),
        groups={},
        where=sheet.where,
        tied=(("2", "4"),),
        inside=(
            Part(kind="resistor", between=("1", "3"), resistance=sheet.values.series),
            Part(kind="resistor", between=("3", "4"), resistance=sheet.values.across),
        ),
    )

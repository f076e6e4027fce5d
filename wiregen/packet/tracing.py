"""Traces the release chains of a door: over `Wiring.chains`, the relations and the data sheets, never by the type of a door."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, replace
from typing import Literal

from wiregen.drafting.parts import items_of, short
from wiregen.packet.opening import opening
from wiregen.packet.release_chain import Branch, Look, Release, Run, Stage, Thing, together
from wiregen.packet.ways import Ways, Wire
from wiregen.packet.wording import done_by
from wiregen.reading.conditions import conditions
from wiregen.reading.model import Changeover, Contact, Door, Drive, Gives, Group, Input, Jack, Pass, Site, Takes
from wiregen.states.happenings import UNTIL_RESET
from wiregen.wiring.circuits import InputCircuit
from wiregen.wiring.fitting import At, Step
from wiregen.wiring.logic import Case, drops, frees, logic_of
from wiregen.wiring.model import Chain, ChainLink, End, Wiring
from wiregen.wiring.numbers import letters

FIRE = Case("fire")
BANK = 3  # so many locks that differ in numbers alone stand together, as designations do
WITHOUT = {"held": "stays locked without power", "free": "lets go without power", "stays": "stays as it was without power"}

# A thing about to be put on a line, with the terminals through which the line runs.
Placed = tuple[Thing, End, End]


@dataclass
class _Way:
    """A line as far as it is traced, and where its last things are left."""

    stages: list[Stage]
    ends: list[End]


def release(site: Site, door: Door, wiring: Wiring, shared: Wiring | None = None) -> Release:
    """Without chains where the door has no lock that power holds or frees.

    `shared` is the wiring among shared devices; without it wires between them are told as "wiring of the site".
    """
    return _Tracer(site, door, wiring, shared).traced()


class _Tracer:
    def __init__(self, site: Site, door: Door, wiring: Wiring, shared: Wiring | None) -> None:
        self.wiring = wiring
        self.logic = logic_of(site, door, wiring)
        self.cast, self.circuits = self.logic.cast, self.logic.circuits
        self.ways = Ways(wiring, shared)
        self.chains: dict[At, Chain] = {}
        for known in filter(None, (shared, wiring)):
            self.chains |= {At(c.load, c.load_group): c for c in known.chains}
        self.letters: dict[At, str] = {}
        self.beside: list[Run] = []  # feeds that come from far to a thing on a chain that has another one

    def traced(self) -> Release:
        chains: list[Run] = []
        sources: dict[At, str] = {}
        for bank in self._banks():
            runs = []
            for lock in bank:
                source = self.circuits.feeds[lock].source
                runs.append(self._to_lock(lock, sources.get(source)))
            for lock in bank:
                sources.setdefault(self.circuits.feeds[lock].source, bank[0].device)
            chains.append(together(runs))
        acting: list[Run] = []
        told = 0
        while told < len(self.letters):  # grows: what works a contact of such a line is a line too
            at = list(self.letters)[told]
            acting += self._acting(at, self.letters[at])
            told += 1
        return Release((*self.beside, *chains), tuple(acting))

    def _banks(self) -> list[list[At]]:
        """The locks that are fed, those together that differ in numbers alone."""
        alike: dict[object, list[At]] = {}
        for told in self.wiring.behaviours:
            lock = At(told.lock, told.group)
            feed = self.circuits.feeds.get(lock)
            if feed is None:
                continue
            links = self.chains[lock].links if lock in self.chains else ()
            shape = tuple((link.device, link.side, link.pole, link.beside) for link in links)
            gives = (tuple(told.gives.items()), tuple(told.wanted.items()))
            alike.setdefault((feed.source, self.cast.device(lock.device).sheet.type, shape, gives), []).append(lock)
        return [bank for all_ in alike.values() for bank in ([all_] if len(all_) >= BANK else [[lock] for lock in all_])]

    # ---- lines

    def _to_lock(self, lock: At, above: str | None) -> Run:
        """The whole line; of a second lock on the same output only from there, `above` names the first."""
        feed = self.circuits.feeds[lock]
        if feed.row == "T3":
            way = _Way([], [])
            self._append_fed(way, [self._mains(lock)], self.load(lock), End(lock.device, self.load(lock).leaves))
            return Run(lock.device, True, tuple(way.stages))
        way = self._given(feed.source, above)
        self._plus(way, lock)
        self._minus(way, lock, "load")
        return Run(lock.device, True, tuple(way.stages))

    def _given(self, source: At, above: str | None = None, feeding: tuple[At, ...] = ()) -> _Way:
        """From where power begins to an output, the device that gives it included."""
        thing = self.output(source)
        leave = End(source.device, thing.leaves)
        group = self.circuits.group(source)
        inlets = [g for g in self._groups(source.device) if isinstance(g, Takes) or _port(g)]
        if isinstance(group, Gives) and any(g.name in group.out_of for g in inlets):
            inlets = [g for g in inlets if g.name in group.out_of]
        loads = [At(source.device, g.name) for g in inlets if g is not group]
        fed = [at for at in loads if at in self.circuits.feeds and at not in feeding]
        if above is not None:
            return _Way([(Branch((), replace(thing, words=(f"fed as in the chain of {above}",))),)], [leave])
        way = _Way([], [])
        self._append_fed(way, [self._fed(at, (*feeding, at)) for at in fed], thing, leave)
        return way

    def _fed(self, load: At, feeding: tuple[At, ...]) -> tuple[_Way, End | str]:
        """From where power begins to a load, that load not included; and the terminal that it comes to."""
        feed = self.circuits.feeds[load]
        if feed.row == "T3":
            return self._mains(load)
        way = self._given(feed.source, feeding=feeding)
        self._plus(way, load)
        return way, End(load.device, _first(self.circuits.group(load)))

    def _mains(self, load: At) -> tuple[_Way, str]:
        marks = " ".join(self.circuits.group(load).marks)
        mains = Thing(ref="mains", look="mains", words=("landed by a licensed electrician",))
        return _Way([(Branch((), mains),)], [End("mains", "")]), marks

    def _plus(self, way: _Way, load: At) -> None:
        """The contacts between an output and a load, then what stands in series before the load."""
        for place in self._places(load, "plus"):
            self._append(way, place)
        to = End(load.device, _first(self.circuits.group(load)))
        for calmer in self.wiring.calmers:
            if calmer.lock == load.device and calmer.ref and calmer.sheet and self.ways.between(way.ends[0], to) is None:
                hangs, kind = self.wiring.devices[calmer.ref].place, calmer.sheet.inside[0].kind
                limiter = Thing(ref=calmer.ref, look="series", name=calmer.sheet.name, place=hangs, kind=kind)
                marks = [t.mark for t in calmer.sheet.terminals[:2]]
                for one, other in (marks, marks[::-1]):
                    ends = End(calmer.ref, one), End(calmer.ref, other)
                    if self.ways.between(way.ends[0], ends[0]) is not None and self.ways.between(ends[1], to) is not None:
                        self._append(way, [(replace(limiter, enters=(one,), leaves=other), *ends)])

    def _minus(self, way: _Way, load: At, look: Look) -> None:
        """The load, then back to the source where a contact or a drive stands in the minus."""
        feed = self.circuits.feeds[load]
        thing = self.load(load, look)
        self._append(way, [(thing, End(load.device, thing.enters[0]), End(load.device, thing.leaves))])
        places = self._places(load, "minus")
        for place in places:
            self._append(way, place)
        if feed.sink is not None:
            sink = self.output(feed.sink.target)
            end = End(feed.sink.target.device, sink.leaves)
            self._append(way, [(replace(sink, enters=(sink.leaves,), leaves=""), end, end)])
        elif places:
            end = End(feed.source.device, _second(self.circuits.group(feed.source)))
            back = Thing(ref=end.device, look="end", name="back to the minus of its source", enters=(end.terminal,))
            self._append(way, [(back, end, end)])

    def _places(self, load: At, pole: str) -> list[list[Placed]]:
        """The contacts of a feed in order, alternatives together."""
        chain = self.chains.get(load)
        if chain is not None:
            places: list[list[Placed]] = []
            for link in chain.links:
                if link.pole == pole:
                    places += [] if link.beside else [[]]
                    places[-1].append(self._link(link))
            return places
        feed = self.circuits.feeds[load]
        return [[self._step(step) for step in place] for place in (feed.plus if pole == "plus" else feed.minus)]

    def _link(self, link: ChainLink) -> Placed:
        thing = self.contact(At(link.device, link.group), link.enters.terminal, link.leaves.terminal, link.side)
        return thing, link.enters, link.leaves

    def _step(self, step: Step) -> Placed:
        group = self.circuits.group(step.at)
        side = step.side or ("make" if isinstance(group, Changeover) else None)
        enter, leave = _through(group, side)
        return self.contact(step.at, enter, leave, side), End(step.at.device, enter), End(step.at.device, leave)

    def _append(self, way: _Way, place: Sequence[Placed]) -> None:
        """Put alternatives (or one thing) at the end of a line, with the wires to them."""
        if way.stages and len(way.ends) > 1:
            meet = place[0][1]
            last = way.stages[-1]
            way.stages[-1] = tuple(
                replace(b, after=self.wires(end, meet)) for b, end in zip(last, way.ends, strict=True)
            )
        else:
            meet = way.ends[0] if way.ends else place[0][1]
        way.stages.append(tuple(Branch(self.wires(meet, enter), thing) for thing, enter, _ in place))
        way.ends = [leave for _, _, leave in place]

    def _append_fed(self, way: _Way, feeds: Sequence[tuple[_Way, End | str]], thing: Thing, leave: End) -> None:
        """Put a thing behind what feeds it: the longest line goes on, the others come to it from beside."""
        order = sorted(range(len(feeds)), key=lambda n: (-len(feeds[n][0].stages), n))
        marks: list[str] = []
        meeting: list[Branch] = []
        for n, (fed, to) in enumerate(feeds[i] for i in order):
            if n and len(fed.stages) > 1:
                end = Thing(ref=thing.ref, look="end", name=thing.name, enters=(to.terminal if isinstance(to, End) else to,))
                if isinstance(to, End):
                    self._append(fed, [(end, to, to)])
                self.beside.append(Run(f"{thing.ref}, from beside", True, tuple(fed.stages)))
                continue
            if n == 0:
                way.stages = fed.stages[:-1]
            marks.append(to.terminal if isinstance(to, End) else to)
            for branch, left in zip(fed.stages[-1], fed.ends, strict=True):
                after = self.wires(left, to) if isinstance(to, End) else ()
                meeting.append(replace(branch, after=after))
        if len(meeting) == 1:  # a plain line: the wires lead to the thing
            way.stages += [(replace(meeting[0], after=()),), (Branch(meeting[0].after, replace(thing, enters=tuple(marks))),)]
        elif meeting:
            way.stages += [tuple(meeting), (Branch((), replace(thing, enters=tuple(marks))),)]
        else:
            way.stages.append((Branch((), thing),))
        way.ends = [leave]

    def wires(self, a: End, b: End) -> tuple[Wire, ...]:
        found = self.ways.between(a, b)
        if found is not None:
            return found
        resisted = any(line_end.sensor in (a.device, b.device) for line_end in self.wiring.line_ends)
        return (Wire("", "over its line-end resistors" if resisted else "wiring of the site"),)

    # ---- what acts upon a chain

    def _acting(self, at: At, letter: str) -> Iterator[Run]:
        feed = self.circuits.feeds.get(at)
        if feed is not None:
            thing = self.output(feed.source)
            way = _Way([(Branch((), thing),)], [End(feed.source.device, thing.leaves)])
            self._plus(way, at)
            self._minus(way, at, "load")
            yield Run(f"works {at.device}", False, tuple(way.stages), letter)
        for circuit in self.circuits.inputs.get(at, ()):
            yield Run(f"works {at.device}", False, self._to_input(circuit), letter)
        for master in self._masters(at):
            ends = [End(side.device, self.circuits.group(side).marks[0]) for side in (master, at)]
            words = [" ".join(self.circuits.group(side).marks) for side in (master, at)]
            begins = self.thing(ends[0].device, "line", leaves=ends[0].terminal, word=words[0])
            works = self.thing(ends[1].device, "line", enters=(ends[1].terminal,), word=words[1])
            way = _Way([(Branch((), begins),)], ends[:1])
            self._append(way, [(works, ends[1], ends[1])])
            yield Run(f"works {at.device}", False, tuple(way.stages), letter)

    def _to_input(self, circuit: InputCircuit) -> tuple[Stage, ...]:
        """From one terminal of an input through its contacts to the other, in the order in which copper joins them."""
        group = self.circuits.of(circuit.input, Input)
        device = circuit.input.device
        if circuit.drive is not None:
            thing = self.output(circuit.drive)
            way = _Way([(Branch((), thing),)], [End(circuit.drive.device, thing.leaves)])
            self._append(way, [(self.input(circuit.input, group.in_), End(device, group.in_), End(device, group.ref))])
            return tuple(way.stages)
        placed = [self._step(self.logic.input_step(step, group)) for step, _ in circuit.steps]
        tried = []
        for order in (placed, placed[::-1]):
            for first, last in ((group.ref, group.in_), (group.in_, group.ref)):
                way = _Way([(Branch((), Thing(ref=device, look="end", leaves=first)),)], [End(device, first)])
                for thing, one, other in order:
                    if self._far(way.ends[0], other) < self._far(way.ends[0], one):
                        turned = replace(thing, enters=(other.terminal,), leaves=one.terminal)
                        self._append(way, [(turned, other, one)])
                    else:
                        self._append(way, [(thing, one, other)])
                self._append(way, [(self.input(circuit.input, last), End(device, last), End(device, last))])
                tried.append(tuple(way.stages))
        return min(tried, key=lambda stages: sum(len(b.before) + 99 * (b.before[:1] != () and not b.before[0].number)
                                                 for stage in stages for b in stage))  # fmt: skip

    def _far(self, a: End, b: End) -> float:
        found = self.ways.between(a, b)
        return float("inf") if found is None else len(found)

    def _masters(self, at: At) -> list[At]:
        """The lines that command this one."""
        fits = [fit for fit in self.circuits.fits if fit.row == "T13"]
        return [f.target for f in fits if f.own == at] or [f.own for f in fits if f.target == at]

    def _letters_of(self, ats: Iterable[At]) -> tuple[str, ...]:
        """The letters of those by which something works; a new one gets the next."""
        found = []
        for at in ats:
            setting = self.cast.device(at.device).set.get(at.group, "")
            if setting.startswith("with ") and at not in self.circuits.inputs:
                at = At(at.device, setting.removeprefix("with "))
            feed = self.circuits.feeds.get(at)
            worked = feed is not None and (feed.row == "T12" or feed.plus or feed.minus or feed.sink) and feed.row != "T4"
            if worked or at in self.circuits.inputs or (feed is None and self._masters(at)):
                found.append(self.letters.setdefault(at, letters(len(self.letters))))
        return tuple(dict.fromkeys(found))

    # ---- things

    def _groups(self, key: str) -> Iterable[Group]:
        return self.cast.device(key).sheet.groups.values()

    def _inputs(self, key: str) -> list[Input]:
        return [g for g in self._groups(key) if isinstance(g, Input)]

    def thing(self, key: str, look: Look, **more: object) -> Thing:
        made = Thing(ref=key, look=look, name=self.cast.device(key).sheet.name, place=self.cast.place(key))
        return replace(made, **more)  # type: ignore[arg-type]

    def output(self, at: At) -> Thing:
        group = self.circuits.group(at)
        if isinstance(group, Jack):
            word = f"PoE class {group.poe_class}" if group.poe_class else "PoE"
            return self.thing(at.device, "output", leaves=group.mark, word=word)
        if isinstance(group, Drive):
            return self.thing(at.device, "drive", leaves=group.out, words=("conducts on a grant",))
        if not isinstance(group, Gives):  # a load whose supply is looped on
            return self.thing(at.device, "pass", leaves=_first(group))
        volts = f"{short(group.volts)}{' AC' if group.current == 'ac' else ''}" if group.volts else ""
        acts = self._letters_of(At(at.device, g.name) for g in self._inputs(at.device) if _concerns(g, group))
        if self.cast.device(at.device).sheet.is_ == "battery":
            return self.thing(at.device, "battery", leaves=group.first or "", words=(volts,) if volts else ())
        fire = self._on_fire(at)
        if group.limit_kind == "fuse" and group.limit:
            fuse = f"fuse {group.limit.text.removesuffix(' fuse')}"
            return self.thing(at.device, "fuse", leaves=group.first or "", words=(fuse,), acts=acts)
        words = (f"{group.first} {fire} on fire alarm",) if fire else ()
        return self.thing(at.device, "output", leaves=group.first or "", word=volts, words=words, acts=acts, fire=fire)

    def _on_fire(self, at: At) -> Literal["drops", "stands", ""]:
        """What an output does on fire alarm, where an input of its device can drop one."""
        outputs = [g.name for g in self._groups(at.device) if isinstance(g, Gives)]
        if not any(drops(given, name) for given in self._inputs(at.device) for name in outputs):
            return ""
        return "stands" if self.logic.live(FIRE, at) else "drops"

    def contact(self, at: At, enters: str, leaves: str, side: str | None) -> Thing:
        group = self.circuits.group(at)
        if not isinstance(group, Contact | Changeover):
            return self.thing(at.device, "pass", enters=(enters,), leaves=leaves)
        workers = list(self._workers(at.device, group))
        item = next(i for i in items_of(self.cast.device(at.device).sheet) if i.look == group.kind and i.marks == group.marks)
        words = opening(self.logic, at.device, group, side)
        powered = tuple(self._powered(worker) for worker in workers if self._plainly_fed(worker))
        closed = item.closed != (side == "break")
        resets = self._resets(at.device) if group.stays == UNTIL_RESET else ""
        acts = self._letters_of(workers)
        return self.thing(at.device, "contact", enters=(enters,), leaves=leaves, kind=item.what, closed=closed,
                          words=(*words, *powered), acts=acts, resets=resets)  # fmt: skip

    def _resets(self, key: str) -> str:
        return self.cast.device(key).sheet.reset or "as its maker says"

    def load(self, at: At, look: Look = "load") -> Thing:
        group = self.circuits.of(at, Takes)
        sheet = self.cast.device(at.device).sheet
        ends = {group.first, group.second}
        item = next((i for i in items_of(sheet) if i.look == "part" and set(i.marks) == ends), None)
        inputs = [g for g in self._inputs(at.device) if g.does] if sheet.unpowered else []
        words = [WITHOUT[sheet.unpowered]] if sheet.unpowered else []
        return self.thing(
            at.device,
            look,
            enters=(group.first or " ".join(group.marks),),
            leaves=group.second or "",
            kind=item.what if item else "",
            words=(*words, *(f"{g.in_}: {g.does}" for g in inputs if frees(g))),
            acts=self._letters_of(At(at.device, g.name) for g in inputs),
        )

    def input(self, at: At, mark: str) -> Thing:
        group = self.circuits.of(at, Input)
        choices = self.cast.device(at.device).sheet.settings.get(at.group, ())
        chosen = self.cast.device(at.device).set.get(at.group, choices[0] if choices else "")
        sheet = self.cast.device(at.device).sheet
        does = [said for said in (done_by(sheet, group), f"set: {chosen}" if chosen else "") if said]
        # an input that is set to act with this one has no wires of its own
        alike = [g for g in self._inputs(at.device) if self.cast.device(at.device).set.get(g.name) == f"with {at.group}"]
        does += [f"{g.in_} with it: {done_by(sheet, g)}" for g in alike if At(at.device, g.name) not in self.circuits.inputs]
        stays = (f"stays {group.stays}",) if group.stays else ()
        resets = self._resets(at.device) if group.stays == UNTIL_RESET else ""
        return self.thing(at.device, "input", enters=(mark,), words=(*does, *stays), resets=resets)

    def _workers(self, key: str, group: Contact | Changeover) -> Iterator[At]:
        """The inputs, coils, lines and supplies by which a contact is worked."""
        groups = self.cast.device(key).sheet.groups
        for word in dict.fromkeys(word for condition in conditions(group) for word in condition.any_of):
            if word in groups:
                yield At(key, word)
            elif word == "powered":
                yield from (At(key, g.name) for g in groups.values() if isinstance(g, Takes) or _port(g))
            elif word == "grant":
                settings = self.cast.device(key).sheet.settings
                for each in self._inputs(key):
                    choices = settings.get(each.name, ("",))
                    if self.cast.device(key).set.get(each.name, choices[0]) in ("unlock", "wait"):
                        yield At(key, each.name)
            elif word == "chosen":
                yield from (At(key, each.name) for each in self._inputs(key))

    def _plainly_fed(self, at: At) -> bool:
        feed = self.circuits.feeds.get(at)
        return feed is not None and not (feed.row == "T12" or feed.sink or (feed.row != "T4" and (feed.plus or feed.minus)))

    def _powered(self, at: At) -> str:
        """"fed from A1 12V"."""
        feed = self.circuits.feeds[at]
        if feed.row == "T3":
            return "fed from mains"
        return f"fed from {feed.source.device} {self.output(feed.source).leaves}"


def _port(group: Group) -> bool:
    return isinstance(group, Jack) and group.poe == "in"


def _concerns(given: Input, output: Gives) -> bool:
    """Whether an input can take the power from that output."""
    named = {word for condition in output.gives_when for word in condition.any_of} | set(output.out_of)
    return given.name in named or drops(given, output.name)


def _first(group: Group) -> str:
    return (group.first if isinstance(group, Takes | Gives) else None) or group.marks[0]


def _second(group: Group) -> str:
    return (group.second if isinstance(group, Takes | Gives) else None) or group.marks[-1]


def _through(group: Group, side: str | None) -> tuple[str, str]:
    if isinstance(group, Changeover):
        return group.common, group.break_ if side == "break" else group.make
    if isinstance(group, Pass):
        return group.jacks or group.between or ("", "")
    return group.between if isinstance(group, Contact) else (_first(group), _first(group))

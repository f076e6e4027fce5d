"""Conductors from what copper and joints have settled: cables with their cores, wire numbers, colours, lengths."""

from __future__ import annotations

import re
from collections.abc import Callable, Mapping
from dataclasses import dataclass, field, replace

from wiregen.reading.model import CableSheet, DataSheet, House, Pass, Terminal
from wiregen.wiring import lines, numbers
from wiregen.wiring.cast import Cast
from wiregen.wiring.circuits import Circuits
from wiregen.wiring.colours import Wish, assign, core_colour, wire_colour
from wiregen.wiring.copper import Bundle, Piece
from wiregen.wiring.joins import Join
from wiregen.wiring.joints import Joints, Local
from wiregen.wiring.model import Cable, Conductor, End, Junction, LeadJoint
from wiregen.wiring.names import Names


@dataclass(frozen=True)
class Carries:
    """What is known of the potentials."""

    root: Callable[[End], End]
    number: Mapping[End, str]  # by root
    pole: Mapping[End, str]  # by root
    origin: Mapping[End, End]  # by root
    joins: Mapping[End, Join]  # the first join, as written, at a terminal


@dataclass
class Landed:
    conductors: list[Conductor] = field(default_factory=list)
    cables: dict[str, Cable] = field(default_factory=dict)
    lead_joints: list[LeadJoint] = field(default_factory=list)
    junctions: list[Junction] = field(default_factory=list)


@dataclass(frozen=True)
class _Copper:
    """One piece before it has its letter."""

    order: tuple[int, ...]
    rank: int  # cores first
    root: End
    a: End
    b: End
    join: Join
    local: Local | None = None
    piece: Piece | None = None

    @property
    def lies(self) -> tuple[str, ...]:
        """Where it lies: tells pieces of one order apart by what does not change when something is appended."""
        if self.piece is not None:
            return (*self.piece.bundle.along, self.piece.bundle.class_)
        return (self.local.net.place, self.local.kind) if self.local is not None else ()


class Lander:
    def __init__(
        self,
        cast: Cast,
        circuits: Circuits,
        sheets: Mapping[str, DataSheet],
        carries: Carries,
        joints: Joints,
        names: Names,
    ) -> None:
        self.cast = cast
        self.circuits = circuits
        self.sheets = sheets
        self.carries = carries
        self.joints = joints
        self.names = names
        self.house: House = cast.site.house

    def wish(self, piece: Piece) -> Wish:
        """What a core carries, for the choice of cable and core."""
        lead = None
        for net in (piece.outer, piece.inner):
            leads = [t for t in (self._terminal(e) for e in net.terminals) if t and t.colour] if net else []
            if leads and lead is None:
                lead = leads[0].colour
        outer = piece.outer
        data = outer is not None and any(j.line and not j.ref for j in self._joins(piece))
        return Wish(self.carries.pole.get(piece.potential, ""), lead, data)

    def _terminal(self, end: End) -> Terminal | None:
        return self.sheets[end.device].terminal(end.terminal) if end.device in self.sheets else None

    def _joins(self, piece: Piece) -> list[Join]:
        ends = piece.outer.stands_for if piece.outer else set()
        return sorted((self.carries.joins[e] for e in ends if e in self.carries.joins), key=lambda j: (j.order, j.a, j.b))

    def land(self, pulled: list[tuple[Bundle, CableSheet]]) -> Landed:
        done = Landed()
        pieces = [self._core(piece) for bundle, _ in pulled for piece in bundle.pieces]
        locals_ = [self._local(local) for local in self.joints.locals]
        named = self._letters([*pieces, *locals_])
        cores = self._cables(pulled, named, done)
        for item, wire in named:
            done.conductors.append(self._conductor(item, wire, cores))
        done.lead_joints = self._lead_joints(done.conductors)
        done.junctions = [
            replace(junction, potential=self.carries.number[net.potential]) for junction, net in self.joints.junctions
        ]
        return done

    def _core(self, piece: Piece) -> _Copper:
        assert piece.outer is not None
        assert piece.inner is not None
        inner, outer = self.joints.end(piece, piece.inner), self.joints.end(piece, piece.outer)
        origin = self.carries.origin[piece.potential]
        tied = {origin.terminal}.union(*(t for t in self.sheets[origin.device].tied if origin.terminal in t))
        upstream_out = any(e.device == origin.device and e.terminal in tied for e in piece.outer.stands_for)
        a, b = (outer, inner) if upstream_out else (inner, outer)
        return _Copper(piece.order, 0, piece.potential, a, b, self._joins(piece)[0], piece=piece)

    def _local(self, local: Local) -> _Copper:
        ends = [e for e in (local.a, local.b) if e in self.carries.joins]
        known = [self.carries.joins[e] for e in ends] or [
            self.carries.joins[e] for e in sorted(local.net.stands_for) if e in self.carries.joins
        ]
        join = min(known, key=lambda j: j.order)
        return _Copper(local.order, 1, local.net.potential, local.a, local.b, join, local=local)

    def _letters(self, items: list[_Copper]) -> list[tuple[_Copper, str]]:
        """Letters in the order in which the relations are written, cores before single wires."""
        counts: dict[End, int] = {}
        found = []
        for item in sorted(items, key=lambda i: (i.order, i.rank, i.lies, i.a, i.b)):
            count = counts.get(item.root, 0)
            counts[item.root] = count + 1
            found.append((item, self.carries.number[item.root] + numbers.letters(count)))
        return found

    def _cables(
        self, pulled: list[tuple[Bundle, CableSheet]], named: list[tuple[_Copper, str]], done: Landed
    ) -> dict[int, tuple[str, CableSheet, str]]:
        """Designations, cores and screens; by id of the piece its cable, sheet and core."""
        wires = {id(item.piece): wire for item, wire in named if item.piece is not None}
        cores: dict[int, tuple[str, CableSheet, str]] = {}
        given: set[str] = set()
        for bundle, sheet in sorted(pulled, key=lambda p: (not p[0].trunk, p[0].order, p[0].class_, p[0].along)):
            choice = bundle.choice
            ref = choice.ref if choice is not None and choice.ref not in given else self.names.numbered("W")
            given.add(ref)
            chosen = assign(sheet, [self.wish(piece) for piece in bundle.pieces], self.house)
            for piece, core in zip(bundle.pieces, chosen, strict=True):
                cores[id(piece)] = (ref, sheet, core)
            by_core = {core: wires[id(piece)] for piece, core in zip(bundle.pieces, chosen, strict=True)}
            runs = [run for place in bundle.along[:-1] if (run := self.cast.run(place)) is not None]
            at, why = None, ""
            if sheet.screen:
                at, why = lines.drain(
                    self.cast, self.circuits, bundle.along, {e for p in bundle.pieces if p.outer for e in p.outer.stands_for}
                )
            done.cables[ref] = Cable(
                ref=ref,
                sheet=sheet,
                along=bundle.along,
                length=sum((run.length.nominal for run in runs), 0.0),
                assumed=any(run.length.assumed for run in runs),
                serves=bundle.serves,
                cores=tuple((core, by_core.get(core)) for core in sheet.cores),
                existing=choice.existing if choice else False,
                by=next((run.by for run in runs if run.by), None),
                screen_at=at,
                screen_why=why,
                door=self.cast.door.id if self.cast.door else "site",
            )
        return cores

    def _conductor(self, item: _Copper, wire: str, cores: dict[int, tuple[str, CableSheet, str]]) -> Conductor:
        join = item.join
        base = Conductor(
            wire=wire,
            potential=self.carries.number[item.root],
            a=item.a,
            b=item.b,
            colour="",
            kind="core",
            function=join.function,
            circuit=join.circuit,
            place=None,
            why=join.row,
            where=join.where,
        )
        if item.piece is not None:
            ref, sheet, core = cores[id(item.piece)]
            runs = [run for place in item.piece.bundle.along[:-1] if (run := self.cast.run(place)) is not None]
            return replace(
                base,
                colour=core_colour(core),
                cable=ref,
                core=core,
                area=sheet.size.nominal,
                size=sheet.size.text,
                length=sum((run.length.nominal for run in runs), 0.0),
                assumed=any(run.length.assumed for run in runs),
            )
        assert item.local is not None
        local = item.local
        if local.kind == "lead":
            return self._lead(replace(base, kind="lead", place=local.net.place), local)
        stock = self.cast.site.stock.wire
        colour = join.colour or wire_colour(self.carries.pole.get(item.root, ""), self.house)
        why = "L4" if local.kind == "jumper" else base.why
        return replace(
            base,
            kind="jumper" if local.kind == "jumper" else "wire",
            colour=colour,
            place=local.net.place,
            area=stock.size.nominal,
            size=stock.size.text,
            why=why,
        )

    def _lead(self, base: Conductor, local: Local) -> Conductor:
        """A device's own lead.  A lead of a power transfer is as long as the run that it crosses."""
        sheet = self.sheets[local.a.device]
        colour = sheet.terminal(local.a.terminal).colour or ""
        passes = [
            g
            for end in (local.a, local.b)
            if end.device in self.sheets
            for g in self.sheets[end.device].groups.values()
            if isinstance(g, Pass) and g.size is not None and end.terminal in g.marks
        ]
        if passes and passes[0].size is not None:
            return replace(base, colour=colour, area=passes[0].size.nominal, size=passes[0].size.text)
        found = re.search(r"([\d.]+)\s*(mm2|AWG)", sheet.leads or "")
        return replace(base, colour=colour, size=found.group(0) if found else "")

    def _lead_joints(self, conductors: list[Conductor]) -> list[LeadJoint]:
        """A flying lead on which something else is landed, in its device's own back box."""
        found: dict[tuple[End, str], LeadJoint] = {}
        splice = self.cast.site.stock.splice
        for conductor in conductors:
            for end in (conductor.a, conductor.b):
                terminal = self._terminal(end)
                own = conductor.kind == "lead" and end == conductor.a
                if terminal is not None and terminal.is_lead and not own:
                    found[end, conductor.wire] = LeadJoint(end, terminal.colour or "", conductor.wire, splice)
        return list(found.values())

"""Where copper runs: per place the nets that are joined there, and the bundles of cores that lead from place to place.

Places form a tree.  Work goes from the deepest places inward.  At a place, ends of one potential that belong together make a
net; a net whose potential has ends elsewhere is carried inward by a bundle:

- a device in the field has a bundle of its own per class (lock circuit, data line, signal, earth); devices joined in
  series by a local joint share one; a device whose terminals are all its outputs or signals has one for both;
- at a gathering place (where runs branch and devices hang, a box, a place of the site) all ends of a potential that go on
  from there share one core of a trunk per class.

A bundle runs inward until the first place where one of its potentials meets another of its ends: real cables do not part
ways.  What has to go on from there is carried on by the rule of that place.  At a run with a power transfer every core is
cut and joined to the two leads of one of its cores.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, field

from wiregen.reading.model import CableChoice, Problem, Run
from wiregen.wiring.cast import Cast
from wiregen.wiring.ends import CLASSES, Ends
from wiregen.wiring.model import End
from wiregen.wiring.potentials import Joined
from wiregen.wiring.transfers import Transfers


@dataclass(eq=False)
class Piece:
    """One core of a bundle between two places: the two nets that it joins, once they are known."""

    potential: End
    bundle: Bundle
    order: tuple[int, ...]
    outer: Net | None = None
    inner: Net | None = None


@dataclass(eq=False)
class Net:
    """Ends of one potential that are joined at one place."""

    potential: End
    place: str
    class_: str
    carrier: str  # the device whose bundle carries it on, or the place
    terminals: list[End] = field(default_factory=list)
    pieces: list[Piece] = field(default_factory=list)
    stands_for: set[End] = field(default_factory=set)
    order: tuple[int, ...] = (0, 0)


@dataclass(eq=False)
class Bundle:
    """Cores that run together, along places without a transfer between them, from the outer to the inner one."""

    class_: str
    along: tuple[str, ...]
    serves: tuple[str, ...]
    order: tuple[int, ...]
    trunk: bool
    choice: CableChoice | None = None
    run_cable: str | None = None
    pieces: list[Piece] = field(default_factory=list)


@dataclass(frozen=True)
class Copper:
    nets: tuple[Net, ...]
    bundles: tuple[Bundle, ...]
    problems: tuple[Problem, ...]


class Layout:
    """Finds nets and bundles for terminals whose potentials are known."""

    def __init__(
        self,
        cast: Cast,
        ends: Ends,
        hub: str,
        jumpers: Callable[[End], bool],
        tied_to: Callable[[End], Sequence[End]],
    ) -> None:
        self.cast = cast
        self.ends = ends
        self.hub = hub
        self.jumpers = jumpers
        self.tied_to = tied_to
        self.nets: list[Net] = []
        self.bundles: list[Bundle] = []
        self.transfers = Transfers(cast)
        self.arrivals: dict[str, list[tuple[Net, str]]] = {}
        self.gathering = self._gathering()

    def _gathering(self) -> frozenset[str]:
        used = {self.ends.place(end) for end in self.ends.partners}
        found = {self.hub} if self.hub in used else set()
        for place in used:
            if place in self.cast.site.runs or self.cast.run(place) is None:
                found.add(place)
        for key, device in self.cast.own.items():
            if device.sheet.is_ == "box":
                found.add(self.cast.place(key))
        return frozenset(found)

    # ---- the work, place by place

    def run(self) -> Copper:
        by_place: dict[str, list[End]] = {}
        for end in self.ends.partners:
            by_place.setdefault(self.ends.place(end), []).append(end)
        todo = {place for start in by_place for place in self.cast.path(start)}
        for place in sorted(todo, key=lambda p: (-len(self.cast.path(p)), p)):
            self._at(place, by_place.get(place, []))
        self._cut_rings()
        return Copper(tuple(self.nets), tuple(self.bundles), tuple(self.transfers.problems))

    def _cut_rings(self) -> None:
        """Leave out a terminal that its device's ties and leads straight through have on this net already.

        Sharing cores can bring together what the relations joined on another way; power is kept before references.
        """
        joined: Joined[object] = Joined()
        rank = {end: n for n, join in reversed(list(enumerate(self.ends.joins))) for end in (join.a, join.b)}
        for net in self.nets:
            for end in net.terminals:
                for other in self.tied_to(end):
                    joined.join(end, other)
            for piece in net.pieces:
                joined.join(piece, net)
        landings = [(rank.get(end, 0), end, net) for net in self.nets for end in net.terminals]
        for _, end, net in sorted(landings, key=lambda item: (item[0], item[1])):
            if not joined.join(net, end) and len(net.terminals) + len(net.pieces) > 2:
                net.terminals.remove(end)

    def _at(self, place: str, ends: list[End]) -> None:
        nets = self._nets(place, ends)
        self.nets += nets
        going = [net for net in self._leading(nets) if self._goal(net) is not None]
        for bundle in self._bundles(place, going, nets):
            self._lead(place, bundle)

    def _outside(self, net: Net) -> list[End]:
        return [other for end in net.stands_for for other in self.ends.partners.get(end, ()) if other not in net.stands_for]

    def _goal(self, net: Net) -> str | None:
        """The nearest place inward where this net meets another of its ends; None if it has all of them."""
        inward = self.cast.path(net.place)
        meets = [self.cast.meet(net.place, self.ends.place(other)) for other in self._outside(net)]
        found = [inward.index(place) for place in meets if place is not None and place in inward]
        return inward[min(found)] if found else None

    def _nets(self, place: str, ends: list[End]) -> list[Net]:
        """Ends at a place, and cores that stop there, in nets."""
        arrived = self.arrivals.pop(place, [])
        owner: dict[End, object] = {end: end for end in ends}
        for net, _ in arrived:
            for end in net.stands_for:
                owner[end] = net
        joined: Joined[object] = Joined()
        items: list[object] = [*ends, *(net for net, _ in arrived)]
        for end, item in owner.items():
            for other in self.ends.partners.get(end, ()):
                if other in owner:
                    joined.join(item, owner[other])
        if place in self.gathering:  # what goes on from here shares a core; what is complete here may be landed apart
            first: dict[End, object] = {}
            for end, item in owner.items():
                if any(other not in owner for other in self.ends.partners.get(end, ())):
                    joined.join(first.setdefault(self.ends.potential(end), item), item)
        else:  # L2: one core a potential a cable, where jumpers or a joint of leads can bring its ends together
            beside: dict[tuple[End, str, str], End] = {}
            for end in ends:
                first_end = beside.setdefault((self.ends.potential(end), end.device, self.ends.class_of[end]), end)
                if self.jumpers(end) and first_end not in self.tied_to(end):
                    joined.join(first_end, end)
        found = []
        for members in joined.sets(items).values():
            terminals = [m for m in members if isinstance(m, End)]
            pieces = [(net, who) for net, who in arrived if net in members]
            found.append(self._net(place, terminals, pieces))
        return found

    def _leading(self, nets: list[Net]) -> list[Net]:
        """One net of those that a device's own ties join already: it alone is carried on, for all of them."""
        joined: Joined[object] = Joined()
        for net in nets:
            for end in net.terminals:
                for other in (end, *self.tied_to(end)):
                    joined.join(other, net)
        leading = []
        for members in joined.sets(nets).values():
            together = [net for net in members if isinstance(net, Net)]
            first = next((net for net in together if self._goal(net) is not None), together[0])
            everything = set().union(*(net.stands_for for net in together))
            for net in together:
                net.stands_for = everything
            leading.append(first)
        return leading

    def _net(self, place: str, terminals: list[End], arrived: list[tuple[Net, str]]) -> Net:
        some = self.ends.potential(terminals[0]) if terminals else arrived[0][0].potential
        classes = [self.ends.class_of[end] for end in terminals] + [net.class_ for net, _ in arrived]
        if place in self.gathering:
            carrier = place
        elif terminals:
            carrier = min(terminals, key=lambda e: (self.ends.first[e], e)).device
        else:
            carrier = arrived[0][1]
        net = Net(some, place, min(classes, key=CLASSES.index), carrier)
        net.terminals = sorted(terminals, key=lambda e: self.ends.first[e])
        net.stands_for = set(terminals).union(*(a.stands_for for a, _ in arrived))
        net.order = min([*(self.ends.first[e] for e in terminals), *(a.order for a, _ in arrived)])
        for before, _ in arrived:
            self._splice(before, net)
        return net

    def _splice(self, before: Net, net: Net) -> None:
        """An arriving core, or the frame lead of a transfer, is joined to the net of the place where it stops."""
        for piece in before.pieces:
            piece.inner = net
            net.pieces.append(piece)
        for end in before.terminals:
            net.terminals.append(end)

    # ---- bundles

    def _bundles(self, place: str, going: list[Net], nets: list[Net]) -> list[list[Net]]:
        """Nets that leave a place together."""
        together: Joined[object] = Joined()
        run = self.cast.run(place)
        for net in going:
            key = (net.carrier, net.class_)
            together.join(key, net)
            if run is not None and run.cable is not None:
                together.join(("run", place), key)
            choice = self._choice(place, net)
            if choice is not None:
                together.join(("choice", choice.ref), key)
        if place not in self.gathering:  # devices in series by local joints: one cable for all
            for net in nets:
                if net not in going:
                    keys = [(end.device, net.class_) for end in net.terminals]
                    for key in keys[1:]:
                        together.join(keys[0], key)
        groups: dict[object, list[Net]] = {}
        for net in going:
            groups.setdefault(together.find(net), []).append(net)
        return sorted(groups.values(), key=lambda g: (-len(g), min(net.order for net in g)))

    def _choice(self, place: str, net: Net) -> CableChoice | None:
        """The cable that the author laid down for this net, if any."""
        if self.cast.door is None:
            return None
        for choice in self.cast.door.cables.values():
            at_end = not choice.along or place in (choice.along[0], choice.along[-1])
            if at_end and (net.carrier in choice.serves or {e.device for e in net.terminals} & set(choice.serves)):
                return choice
            if at_end and choice.along and not choice.serves and self.cast.path(place)[1:2] and net.carrier == place:
                inner = [p for p in choice.along if p != place]
                if inner and all(p in self.cast.path(place) for p in inner):
                    return choice
        return None

    def _lead(self, place: str, nets: list[Net]) -> None:
        """Lead nets inward together until one of them meets another of its ends."""
        inward = self.cast.path(place)
        goals = [goal for net in nets if (goal := self._goal(net)) is not None]
        stop = min(inward.index(goal) for goal in goals)
        for index in range(1, stop):
            if inward[index] in self.gathering and any(self._present(inward[index], net) for net in nets):
                stop = index
                break
        nets = sorted(nets, key=lambda n: n.order)
        choices = [c for net in nets if (c := self._choice(place, net)) is not None]
        run = self.cast.run(place)
        heads = {net: net for net in nets}
        start = 0
        while start < stop:
            step = self.cast.run(inward[start])
            assert step is not None
            if step.transfer is not None:
                for net in nets:
                    heads[net] = self._cross(step, heads[net], net)
                start += 1
                continue
            end = start + 1
            while end < stop and (after := self.cast.run(inward[end])) is not None and after.transfer is None:
                end += 1
            bundle = Bundle(
                class_=min((net.class_ for net in nets), key=CLASSES.index),
                along=inward[start : end + 1],
                serves=self._serves(place, nets),
                order=min(net.order for net in nets),
                trunk=place in self.gathering,
                choice=choices[0] if choices else None,
                run_cable=run.cable if run else None,
            )
            self.bundles.append(bundle)
            for net in nets:
                head = heads[net]
                if head is not net:
                    self.nets.append(head)
                piece = Piece(net.potential, bundle, net.order, outer=head)
                bundle.pieces.append(piece)
                head.pieces.append(piece)
                heads[net] = self._passing(net, inward[end], piece)
            start = end
        stopper = self._stopper(nets, inward[stop])
        for net in nets:
            head = heads[net]
            if head.place == inward[stop] and head is not net:
                self.arrivals.setdefault(inward[stop], []).append((head, stopper))

    def _serves(self, place: str, nets: list[Net]) -> tuple[str, ...]:
        if place in self.gathering:
            return ()
        found = dict.fromkeys(
            self.ends.added[net.carrier].beside if net.carrier in self.ends.added else net.carrier for net in nets
        )
        return tuple(found)

    def _stopper(self, nets: list[Net], place: str) -> str:
        """Who carries on what has to go on where a bundle stops in the field: the device there that it leads to."""
        met = [end for net in nets for end in self._outside(net) if self.ends.place(end) == place]
        return min(met, key=lambda e: (self.ends.first[e], e)).device if met else nets[0].carrier

    def _present(self, place: str, net: Net) -> bool:
        """True if another end of the potential is at this place, or beyond it, so that its branch meets this one there."""
        return any(
            place in self.cast.path(self.ends.place(end)) for end in self.ends.of[net.potential] if end not in net.stands_for
        )

    def _passing(self, net: Net, place: str, piece: Piece) -> Net:
        """The inner end of a piece: joined to what stops there, or to the next lead of a transfer."""
        end = Net(net.potential, place, net.class_, net.carrier, pieces=[piece], stands_for=net.stands_for, order=net.order)
        piece.inner = end
        return end

    def _cross(self, run: Run, head: Net, net: Net) -> Net:
        """Cut at a transfer: the outer end goes to a lead on the leaf, and on from the lead on the frame."""
        leads = self.transfers.core(run, net.class_ == "power")
        if leads is None:
            return head
        frame, leaf = leads
        head.terminals.append(leaf)
        if head is not net:
            self.nets.append(head)
        crossed = Net(net.potential, run.parent, net.class_, net.carrier, stands_for=net.stands_for, order=net.order)
        crossed.terminals.append(frame)
        return crossed

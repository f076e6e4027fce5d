"""How the ends of a net are joined at their place: landed direct, spliced, on a strip, or by a jumper.

Two ends meet direct; three and more on a strip in the place's box.  Several terminals of one device on one potential take
one core and jumpers (L4), unless a screw takes one wire only or the terminal is a lock's own coil.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass, field

from wiregen.reading.model import DataSheet
from wiregen.wiring.copper import Net, Piece
from wiregen.wiring.model import Box, End, Junction


@dataclass(frozen=True)
class Local:
    """A piece of copper inside one place: a single wire, a jumper or a device's own lead.  `a` is the lead where it is one."""

    a: End
    b: End
    kind: str
    net: Net
    order: tuple[int, ...]


@dataclass
class Joints:
    """Everything joined at the places of a door."""

    locals: list[Local] = field(default_factory=list)
    junctions: list[tuple[Junction, Net]] = field(default_factory=list)
    boxes: dict[str, Box] = field(default_factory=dict)
    landing: dict[tuple[int, int], End] = field(default_factory=dict)  # (id of piece, id of net) to its end

    def end(self, piece: Piece, net: Net) -> End:
        """Where a core ends in a net."""
        return self.landing[id(piece), id(net)]


def takes_two(sheet: DataSheet, area: float) -> bool:
    """True if a screw of the device takes two wires of that section (m2); a sheet that does not say does."""
    return sheet.screw is None or any(number > 1 and area <= most * 1.001 for number, most in sheet.screw.wires)


class Joiner:
    """Joins nets one by one, in the order given."""

    def __init__(
        self,
        sheets: Mapping[str, DataSheet],
        jumpers: Callable[[End], bool],
        two_on: Callable[[End], bool],
        riders: Mapping[End, list[End]],
        box: Callable[[str], Box],
        first: Mapping[End, tuple[int, ...]],
        splice: str,
        strip: str,
    ) -> None:
        self.sheets = sheets
        self.jumpers = jumpers
        self.two_on = two_on
        self.riders = riders  # leads of calmers by the coil terminal across which they lie
        self.box = box
        self.first = first
        self.splice = splice
        self.strip = strip
        self.done = Joints()
        self._counts: dict[str, int] = {}

    def join(self, nets: Iterable[Net]) -> Joints:
        """Joints are numbered as their ends come in the spec, so that a device that is appended renumbers none."""
        in_order = sorted(nets, key=lambda n: (n.order, n.place, n.terminals))
        landed = [(net, self._landed(net)) for net in in_order]
        for net, terminals in sorted(landed, key=lambda item: self._joint_order(*item)):
            self._net(net, terminals)
        return self.done

    def _joint_order(self, net: Net, terminals: list[End]) -> tuple[int, ...]:
        """The place in the spec of the end with which a net became a joint: the third, or the second of two cores."""
        orders = sorted([*(self._order(t, net) for t in terminals), *(piece.order for piece in net.pieces)])
        return orders[min(2, len(orders) - 1)] if orders else net.order

    def _net(self, net: Net, terminals: list[End]) -> None:
        riders = [(lead, coil) for coil in terminals for lead in self.riders.get(coil, ())]
        units = len(terminals) + len(net.pieces)
        crowded = any(not self.two_on(coil) for _, coil in riders)
        orders = sorted([*(self._order(t, net) for t in terminals), *(piece.order for piece in net.pieces)])
        if units + (len(riders) if crowded else 0) <= 2 and not (crowded and units == 2):
            self._direct(net, terminals, orders[-1] if orders else net.order)
        else:
            point = self._junction(net, self.strip)
            for piece in net.pieces:
                self.done.landing[id(piece), id(net)] = point
            for terminal, order in self._strip_orders(net, terminals):
                self._local(terminal, point, net, order)
            if crowded:
                for lead, coil in riders:
                    self._local(lead, point, net, self._order(coil, net))
                return
        for lead, coil in riders:
            self._local(lead, coil, net, self._order(coil, net))

    def _strip_orders(self, net: Net, terminals: list[End]) -> list[tuple[End, tuple[int, ...]]]:
        """What each wire to a strip is counted by when letters are given: as if the ends had come one after another.

        The first two ends would have met direct, by one wire if both are terminals and by none if one is a core; the strip
        came with the third.  So a device that is appended moves no letter that was given before it.
        """
        own = sorted(
            [*((self._order(t, net), t) for t in terminals), *((p.order, None) for p in net.pieces)], key=lambda o: o[0]
        )
        late = own[min(2, len(own) - 1)][0]
        first = own[0][1] if all(end is not None for _, end in own[:2]) else None
        return [(end, own[1][0] if end == first else max(late, order)) for order, end in own if end is not None]

    def _direct(self, net: Net, terminals: list[End], order: tuple[int, ...]) -> None:
        if len(terminals) == 2:
            self._local(terminals[0], terminals[1], net, order)
        elif len(net.pieces) == 2:
            point = self._junction(net, self.splice)
            for piece in net.pieces:
                self.done.landing[id(piece), id(net)] = point
        elif net.pieces and terminals:
            self.done.landing[id(net.pieces[0]), id(net)] = terminals[0]

    def _landed(self, net: Net) -> list[End]:
        """The terminals that take copper of their own: one of those tied inside, one of those that jumpers join."""
        left: list[End] = []
        for end in net.terminals:
            ties = [set(t) for t in self.sheets[end.device].tied if end.terminal in t]
            if any(kept.device == end.device and kept.terminal in tie for tie in ties for kept in left):
                continue
            left.append(end)
        landed: list[End] = []
        chain: dict[str, End] = {}
        for end in left:
            if not self.jumpers(end):
                landed.append(end)
            elif end.device not in chain:
                chain[end.device] = end
                landed.append(end)
            elif self._is_lead(end):
                self._local(end, chain[end.device], net, self._order(end, net))
            else:
                self.done.locals.append(Local(chain[end.device], end, "jumper", net, self._order(end, net)))
                chain[end.device] = end
        return landed

    def _order(self, end: End, net: Net) -> tuple[int, ...]:
        return self.first.get(end, net.order)

    def _is_lead(self, end: End) -> bool:
        return self.sheets[end.device].terminal(end.terminal).is_lead

    def _local(self, a: End, b: End, net: Net, order: tuple[int, ...]) -> None:
        if b.device in self.sheets and self._is_lead(b) and not self._is_lead(a):
            a, b = b, a
        kind = "lead" if self._is_lead(a) else "wire"
        self.done.locals.append(Local(a, b, kind, net, order))

    def _junction(self, net: Net, kind: str) -> End:
        box = self.box(net.place)
        self.done.boxes[box.ref] = box
        count = self._counts[box.ref] = self._counts.get(box.ref, 0) + 1
        end = End(box.ref, f"s{count}")
        self.done.junctions.append((Junction(end, net.place, kind, ""), net))
        return end

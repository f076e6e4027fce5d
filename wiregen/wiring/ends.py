"""Every terminal that a join needs: where it is, what it is joined to, and which class of cable it wants."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping

from wiregen.reading.model import Gives
from wiregen.wiring.cast import Cast
from wiregen.wiring.joins import Added, Join
from wiregen.wiring.model import End

SIGNALS = ("data", "input", "drive")  # circuits
CLASSES = ("power", "line", "signal", "earth")  # a net with ends of several goes in the first


class Ends:
    """`partners` by terminal; `class_of` each; `first`, its place in the spec; `of`, all terminals of a potential."""

    def __init__(self, cast: Cast, joins: Iterable[Join], potential: Callable[[End], End], added: Mapping[str, Added]) -> None:
        self.cast = cast
        self.joins = tuple(joins)
        self.potential = potential
        self.added = added
        self.partners: dict[End, list[End]] = {}
        self.class_of: dict[End, str] = {}
        self.first: dict[End, tuple[int, ...]] = {}
        for join in self.joins:
            self.partners.setdefault(join.a, []).append(join.b)
            self.partners.setdefault(join.b, []).append(join.a)
            for end in (join.a, join.b):
                self.first[end] = min(self.first.get(end, join.order), join.order)
        self.of: dict[End, list[End]] = {}
        for end in self.partners:
            self.of.setdefault(potential(end), []).append(end)
        self._classify()

    def place(self, end: End) -> str:
        return self.added[end.device].place if end.device in self.added else self.cast.place(end.device)

    def _classify(self) -> None:
        """The class of each terminal: power in a lock circuit, line beside a data line, else signal.

        An output of a device that has signals too is no power: its cable carries both.
        """
        lined = {end.device for join in self.joins if join.line for end in (join.a, join.b)}
        signalled = {end.device for join in self.joins if join.circuit in SIGNALS for end in (join.a, join.b)}
        for join in self.joins:
            for end in (join.a, join.b):
                if join.circuit == "earth":
                    class_ = "earth"
                elif join.heavy and not (end.device in signalled and self._is_output(end)):
                    class_ = "power"
                else:
                    class_ = "line" if end.device in lined else "signal"
                known = self.class_of.get(end)
                if known is None or CLASSES.index(class_) < CLASSES.index(known):
                    self.class_of[end] = class_

    def _is_output(self, end: End) -> bool:
        if end.device in self.added:
            return False
        groups = self.cast.device(end.device).sheet.groups.values()
        return any(isinstance(g, Gives) and end.terminal in g.marks for g in groups)

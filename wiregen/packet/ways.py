"""By which wires one terminal is joined to another: the numbers, and in which cable or where each lies."""

from __future__ import annotations

from dataclasses import dataclass

from wiregen.reading.model import Pass
from wiregen.reading.shared import SITE
from wiregen.wiring.model import Conductor, End, Wiring


@dataclass(frozen=True)
class Wire:
    """One piece on the way: its number, and its cable or the place where it lies.

    A pre-terminated cable is its own number.  What has no number leads through a power transfer, or through a patch port.
    """

    number: str
    lies: str


Beyond = dict[End, list[tuple[Wire | None, End]]]


class Ways:
    """The copper of a door, and of what its site shares where that is known."""

    def __init__(self, wiring: Wiring, shared: Wiring | None = None) -> None:
        self._wiring = wiring
        self._own = _joined(wiring, "")
        self._all = {end: list(further) for end, further in self._own.items()}
        if shared:
            for end, further in _joined(shared, f"{SITE} ").items():
                at = _seen(wiring, end)
                self._all.setdefault(at, []).extend((wire, _seen(wiring, other)) for wire, other in further)

    def between(self, a: End, b: End) -> tuple[Wire, ...] | None:
        """The fewest pieces from one to the other: the door's own, else over those of the site too; None if there is no way."""
        wires = _shortest(self._own, a, b)
        return _shortest(self._all, a, b) if wires is None else wires


def _seen(wiring: Wiring, end: End) -> End:
    """A terminal of the site's wiring under the door's name for it: "site/X1" where X1 is something of the door's own."""
    known = wiring.devices.get(end.device)
    shadowed = end.device in wiring.boxes or (known is not None and known.origin != "site")
    return End(f"{SITE}/{end.device}", end.terminal) if shadowed else end


def _joined(wiring: Wiring, before: str) -> Beyond:
    """What each terminal is joined to by a wire or a link, or inside a device by a tie, a transfer or a patch port."""
    beyond: Beyond = {}

    def join(one: End, other: End, wire: Wire | None) -> None:
        beyond.setdefault(one, []).append((wire, other))
        beyond.setdefault(other, []).append((wire, one))

    for c in wiring.conductors:
        join(c.a, c.b, Wire(before + c.wire, _lies(c)))
    for link in wiring.links:
        join(link.a, link.b, Wire(before + link.ref, "link"))
    for first, *others in wiring.ties:
        for other in others:
            join(first, other, None)
    for ref, device in wiring.devices.items():
        for group in device.sheet.groups.values():
            if isinstance(group, Pass):
                mark, further = group.between or group.jacks or ("", "")
                join(End(ref, mark), End(ref, further), Wire("", f"through {ref}"))
    return beyond


def _lies(conductor: Conductor) -> str:
    return conductor.cable or (f"in {conductor.place}" if conductor.place else conductor.kind)


def _shortest(beyond: Beyond, a: End, b: End) -> tuple[Wire, ...] | None:
    paths: list[tuple[End, tuple[Wire, ...]]] = [(a, ())]
    seen = {a}
    for end, wires in paths:  # grows while it is read: a search in width
        if end == b:
            return wires
        for wire, other in beyond.get(end, ()):
            if other not in seen:
                seen.add(other)
                paths.append((other, (*wires, wire) if wire else wires))
    return None

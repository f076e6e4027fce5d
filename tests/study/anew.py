"""A network made anew with what stands in one state alone, as elements: the second opinion to links in `Network.solve`."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from wiregen.study.elements import Contact, Element, Resistor, Source
from wiregen.study.network import Link
from wiregen.study.solution import OPEN, State


def with_links(elements: Sequence[Element], links: Sequence[Link]) -> list[Element]:
    """Wires that are opened stand at 1 / OPEN ohm; what joins is a resistor, what feeds a source."""
    found = list(elements)
    for n, link in enumerate(links):
        if link.siemens < 0:
            at = next(
                k
                for k, e in enumerate(found)
                if isinstance(e, Resistor)
                and {e.a, e.b} == {link.a, link.b}
                and abs(1 / e.ohms + link.siemens) < 1e-6 / e.ohms + 2 * OPEN
            )
            found[at] = replace(found[at], ohms=1 / OPEN)
        elif link.amps:
            plus, minus = (link.a, link.b) if link.amps > 0 else (link.b, link.a)
            found.append(Source(f"link {n}", plus, minus, abs(link.amps) / link.siemens, 1 / link.siemens))
        else:
            found.append(Resistor(f"link {n}", link.a, link.b, 1 / link.siemens))
    return found


def closed(elements: Sequence[Element], state: State) -> dict[str, bool]:
    """The state for those contacts alone that are there."""
    names = {e.name for e in elements if isinstance(e, Contact)}
    return {name: is_closed for name, is_closed in state.items() if name in names}

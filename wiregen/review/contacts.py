"""Which words open a contact, and which contacts stand in a circuit."""

from __future__ import annotations

from collections.abc import Iterator

from wiregen.reading.conditions import conditions, mentions
from wiregen.reading.model import Changeover, Group
from wiregen.wiring.model import ChainLink, Wiring


def opens_on(group: Group, word: str, side: str | None = None) -> bool:
    """Whether this contact is opened by what the word says: `not pressed` closes, or the break side of one that moves."""
    for condition in conditions(group):
        if word in condition.any_of:
            return condition.negated != (isinstance(group, Changeover) and side == "break")
    return False


def links(wiring: Wiring, ref: str) -> Iterator[tuple[ChainLink, Group]]:
    """Every contact in the circuits of a load, with its group."""
    for chain in wiring.chains:
        if chain.load == ref:
            for link in chain.links:
                yield link, wiring.devices[link.device].sheet.groups[link.group]


def links_behind(wiring: Wiring, ref: str) -> Iterator[tuple[ChainLink, Group]]:
    """The same, with the contacts in the coil circuits of relays whose contacts stand there."""
    waiting, seen = [ref], {ref}
    while waiting:
        for link, group in links(wiring, waiting.pop()):
            yield link, group
            if mentions(group, "powered") and link.device not in seen:
                seen.add(link.device)
                waiting.append(link.device)

"""What a bank of locks lets go at once: where a state would put on more of it than may be on, one state for each lock."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from wiregen.reading.model import Door
from wiregen.study.solution import State
from wiregen.wiring.model import Chain


def at_once(door: Door, chains: Sequence[Chain], closed: State) -> Iterator[tuple[str | None, State]]:
    """The state itself with None; or, where it would put on more of a bank than may be on, one with each lock of the bank."""
    banks = [(bank, count) for bank, count in door.at_once if count < len(bank)]
    serves: dict[str, set[str]] = {}
    for chain in chains if banks else ():
        for link in chain.links:
            contact = f"{link.device}.{link.group}"
            for name in (contact, f"{contact}.{link.side}", f"{contact} on"):
                serves.setdefault(name, set()).add(chain.load)
    for bank, count in banks:
        on = {load for name, loads in serves.items() if closed.get(name) for load in loads} & set(bank)
        if len(on) > count:
            for lock in sorted(on, key=bank.index):
                with_it = {lock, *[other for other in bank if other in on and other != lock][: count - 1]}
                off = {name for name, of in serves.items() if of <= set(bank) and not of & with_it}
                yield lock, {name: is_closed and name not in off for name, is_closed in closed.items()}
            return
    yield None, closed

"""What to change in a spec so that nothing outside opens its door: changes tried one after another, and all attacks again.

The changes are those of the trade: an exit input that only masks; a contact inside that obeys nothing but a coded message; what
stands outside and works a lock, moved in; what hangs outside on a lock's output, or the lock itself, fed from another.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass, replace

from wiregen.attacks.model import Cured, Mend, Tried
from wiregen.feeds.offers import Offers, intake, within
from wiregen.reading.conditions import conditions
from wiregen.reading.model import (
    Changeover,
    Contact,
    DataSheet,
    Device,
    Door,
    Gives,
    Input,
    Line,
    Relation,
    Site,
    Takes,
    Target,
)
from wiregen.review.paste import add_device, inside
from wiregen.review.sensing import MASK, UNLOCK
from wiregen.study.copper import output_volts
from wiregen.wiring.model import Wiring

STEPS = 4  # changes together, at the most
STAYS = ("reader", "controller")  # what is outside because somebody stands before it


@dataclass(frozen=True)
class Change:
    mend: Mend
    door: Door


Try = Callable[[Door], tuple[Wiring, Tried] | None]  # None where such a door cannot be wired or solved


def cured(site: Site, door: Door, wiring: Wiring, found: Tried, boards: Sequence[DataSheet], again: Try) -> Cured:
    """`boards` are data sheets to choose a contact inside from; `again` tries all attacks on a changed door."""
    mends: list[Mend] = []
    while found.successes and len(mends) < STEPS:
        best: tuple[Change, Wiring, Tried] | None = None
        for change in _changes(site, door, wiring, found, boards):
            tried = again(change.door)
            if tried is not None and len(tried[1].successes) < len((best[2] if best else found).successes):
                best = (change, *tried)
                if not tried[1].successes:
                    break
        if best is None:
            break
        change, wiring, found = best
        mends.append(change.mend)
        door = change.door
    return Cured(tuple(mends), not found.successes)


def _changes(site: Site, door: Door, wiring: Wiring, found: Tried, boards: Sequence[DataSheet]) -> Iterator[Change]:
    """The cheapest first."""
    locks = list(dict.fromkeys(lock for s in found.successes for lock, _ in s.lets_go))
    outside = [d for d in door.devices.values() if wiring.devices[d.ref].exposed]
    for device in outside:
        yield from _masked(door, device)
    for device in outside:
        yield from _boarded(site, door, device, locks, boards)
    for device in outside:
        if device.sheet.is_ not in STAYS and (device.ref in locks or any(map(_works, device.sheet.groups.values()))):
            yield _moved_in(site, door, device)
    for device in (*outside, *(door.devices[lock] for lock in locks if lock in door.devices)):
        yield from _fed_elsewhere(site, door, device)


def _works(group: object) -> bool:
    return isinstance(group, Contact | Changeover | Input)


def _masked(door: Door, device: Device) -> Iterator[Change]:
    """Each input in reach that can be set to mask the contact only, and is not."""
    for name, choices in device.sheet.settings.items():
        if UNLOCK in choices and MASK in choices and device.set.get(name) != MASK:
            cure = f"{device.ref}: {{set: {{{name}: {MASK}}}}}, and a handle or a contact in the lock's own circuit to leave by"
            yield Change(Mend(device.ref, None, cure), _with(door, replace(device, set={**device.set, name: MASK})))


def _boarded(site: Site, door: Door, outside: Device, locks: Sequence[str], boards: Sequence[DataSheet]) -> Iterator[Change]:
    """In each lock's circuit, instead of contacts outside, that of a board inside; fed from outside, or from a branch of its
    own where what it switches opens without power."""
    coded = next((n for n, g in outside.sheet.groups.items() if isinstance(g, Line) and g.protocol == "coded"), None)
    lock = next((door.devices[ref] for ref in locks if ref in door.devices and _through(door.devices[ref], outside)), None)
    if coded is None or lock is None:
        return
    for board in boards:
        contact, load = _coded_contact(board), intake(board)
        if not contact or load is None:
            continue
        own = [Target(outside.ref, n) for n, g in outside.sheet.groups.items() if isinstance(g, Gives)]
        for source in (*own[:1], *_branches(site, door, load)):
            ref, line = add_device(site, door, "K", board.type, f", from: {source}, obeys: {outside.ref}.{coded}")
            relations = (
                Relation("from", None, (source,), lock.where),
                Relation("obeys", None, (Target(outside.ref, coded),), lock.where),
            )
            added = Device(ref=ref, sheet=board, place=inside(site, door), relations=relations, where=lock.where)
            moved = tuple(_at_board(r, outside, Target(ref, contact)) for r in lock.relations)
            chain = next(r for r in moved if r.kind == "through" and r.target.device == ref)
            cure = f"{line}\n{lock.ref}: {{through: [{' or '.join(map(str, chain.targets))}]}}"
            yield Change(Mend(lock.ref, "through", cure), _with(door, added, replace(lock, relations=moved)))


def _through(lock: Device, outside: Device) -> bool:
    return any(t.device == outside.ref for r in lock.relations if r.kind == "through" for t in r.targets)


def _at_board(relation: Relation, outside: Device, contact: Target) -> Relation:
    if relation.kind != "through":
        return relation
    targets = tuple(contact if target.device == outside.ref else target for target in relation.targets)
    return replace(relation, targets=tuple(dict.fromkeys(targets)))


def _coded_contact(sheet: DataSheet) -> str:
    """The contact of a board that a coded line of its own works."""
    coded = {n for n, g in sheet.groups.items() if isinstance(g, Line) and g.protocol == "coded"}
    return next((n for n, g in sheet.groups.items() if any(coded & set(c.any_of) for c in conditions(g))), "")


def _moved_in(site: Site, door: Door, device: Device) -> Change:
    place = inside(site, door)
    cure = f"{device.ref}: {{at: {place}}}, or in another secured place (`exposed`, `at`, `runs`)"
    return Change(Mend(device.ref, None, cure), _with(door, replace(device, place=place)))


def _fed_elsewhere(site: Site, door: Door, device: Device) -> Iterator[Change]:
    """From another output of the same source, or from a free branch of the site."""
    load = intake(device.sheet)
    feed = next((r for r in device.relations if r.kind == "from" and not r.target.word), None)
    if load is None or feed is None:
        return
    source = door.devices.get(feed.target.device) or site.shared.get(feed.target.device)
    beside = [
        Target(feed.target.device, name)
        for name, group in (source.sheet.groups.items() if source else ())
        if isinstance(group, Gives) and name != feed.target.group and _fits(site, feed.target.device, group, load)
    ]
    for target in (*beside, *_branches(site, door, load)):
        moved = tuple(replace(r, targets=(target,)) if r is feed else r for r in device.relations)
        cure = f"{device.ref}: {{from: {target}}}"
        yield Change(Mend(device.ref, "from", cure), _with(door, replace(device, relations=moved)))


def _branches(site: Site, door: Door, load: Takes) -> Iterator[Target]:
    for shared, output in Offers(site, door, ()).branches():
        if _fits(site, shared.ref, output, load):
            yield Target(shared.ref, output.name)


def _fits(site: Site, holder: str, output: Gives, load: Takes) -> bool:
    return output.current == load.current == "dc" and within(load, output_volts(site, holder, output))


def _with(door: Door, *devices: Device) -> Door:
    return replace(door, devices={**door.devices, **{device.ref: device for device in devices}})

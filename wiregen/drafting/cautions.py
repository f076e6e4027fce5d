"""The numbered notes of a door's sheet: cautions that apply to this door, computed from its wiring.  One small function each.

Where work can hurt somebody the sheet warns and defers: to the licensed electrician, to the fire-alarm contractor, to the
local code and to the authority having jurisdiction.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Callable, Iterator
from dataclasses import dataclass

from wiregen.reading.model import Changeover, Condition, Contact, Door, Input, Site, Takes
from wiregen.wiring.model import Chain, WiredDevice, Wiring


@dataclass(frozen=True)
class Case:
    site: Site
    door: Door
    wiring: Wiring

    def joined(self) -> dict[str, set[str]]:
        """Designations of the devices on each potential."""
        out: dict[str, set[str]] = defaultdict(set)
        for c in self.wiring.conductors:
            out[c.potential] |= {c.a.device, c.b.device}
        return out

    def locks(self) -> list[WiredDevice]:
        return [d for d in self.wiring.devices.values() if d.sheet.is_ == "lock"]


Caution = Callable[[Case], Iterator[str]]


def drawn_at_rest(case: Case) -> Iterator[str]:
    yield "Contacts are drawn with no power anywhere, the door shut and latched, and nobody at it."
    yield "A dot joins. Lines that cross without a dot are not joined."


def mains(case: Case) -> Iterator[str]:
    devices = [end.device for end in case.wiring.mains]
    if devices:
        yield f"Mains at {_list(devices)}: licensed electrician only, to the local electrical code."


def fire(case: Case) -> Iterator[str]:
    """Devices whose contacts follow the fire alarm."""
    found = []
    for device in case.wiring.devices.values():
        for group in device.sheet.groups.values():
            conditions: tuple[Condition, ...] = ()
            if isinstance(group, Changeover):
                conditions = group.moves_when
            elif isinstance(group, Contact):
                conditions = group.closed_when
            if any("fire" in c.any_of for c in conditions) and set(group.marks) & device.used:
                found.append(device.ref)
    if found:
        yield f"Fire interface {_list(found)}: landed and proved by the fire-alarm contractor. Put the panel on test first."


def lock_power_last(case: Case) -> Iterator[str]:
    feeds = [f"{chain.source}.{chain.source_group}" for chain in _lock_chains(case)]
    if feeds:
        yield f"Lock power last: leave {_list(feeds)} off until every other reading is taken."


def release_chain(case: Case) -> Iterator[str]:
    for chain in _lock_chains(case):
        if chain.links:
            way = " → ".join(f"{link.device} {link.enters.terminal}-{link.leaves.terminal}" for link in chain.links)
            yield f"Chain: {chain.source} → {way} → {chain.load}. Open each contact in turn and see the lock act."


def calming(case: Case) -> Iterator[str]:
    """What tames each lock's coil, and what must never lie across it."""
    never = {lock.ref for lock in case.locks() if lock.sheet.calm and "diode" in lock.sheet.calm.never}
    told: dict[str, list[str]] = defaultdict(list)
    for calmer in case.wiring.calmers:
        no_diode = " No diode." if calmer.lock in never else ""
        never.discard(calmer.lock)
        if calmer.band_at is not None:
            told[f"{calmer.word} {calmer.ref or 'inside'} at the lock, band to {calmer.band_at}.{no_diode}"].append(calmer.lock)
        elif calmer.ref:
            told[f"{calmer.word} {calmer.ref} at the lock.{no_diode}"].append(calmer.lock)
        else:
            what = "" if calmer.word == "inside" else f"{calmer.word} "
            told[f"{what}fitted inside, add none.{no_diode}"].append(calmer.lock)
    for words, locks in told.items():
        yield f"{_list(locks)}: {words}"
    if never:
        yield f"{_list(sorted(never))}: NO DIODE across the lock."


def alternating(case: Case) -> Iterator[str]:
    for lock in case.locks():
        if any(isinstance(g, Takes) and g.current == "ac" for g in lock.sheet.groups.values()):
            yield f"{lock.ref} runs on alternating current: never on direct current."


def foreign_voltage(case: Case) -> Iterator[str]:
    """Terminals that a machine with its own mains puts its voltage on."""
    machines = {
        d.ref: {m for g in d.sheet.groups.values() if isinstance(g, Input) for m in g.marks}
        for d in case.wiring.devices.values()
        if d.sheet.is_ in ("machine", "panel")
        and any(isinstance(g, Takes) and g.current == "mains" for g in d.sheet.groups.values())
    }
    touched: dict[str, set[str]] = defaultdict(set)
    joined = case.joined()
    for c in case.wiring.conductors:
        for end in (c.a, c.b):
            if end.terminal in machines.get(end.device, ()):
                touched[end.device] |= joined[c.potential] - {end.device} - set(case.wiring.boxes)
    for machine, others in sorted(touched.items()):
        if others:
            yield f"Foreign voltage: {machine} feeds contacts of {_list(sorted(others))}. Switch {machine} off too before work."


def secured_side(case: Case) -> Iterator[str]:
    outside = [d.ref for d in case.wiring.devices.values() if d.exposed]
    if outside:
        yield f"Within reach from outside: {_list(outside)}. Splices, lock leads and this sheet: secured side only."


def colours_change(case: Case) -> Iterator[str]:
    colours: dict[str, set[str]] = defaultdict(set)
    for c in case.wiring.conductors:
        colours[c.potential].add(c.colour)
    if any(len(found) > 1 for found in colours.values()):
        yield "Colours may change at a joint or a lead: the wire number does not."


def lengths(case: Case) -> Iterator[str]:
    assumed = [c.ref for c in case.wiring.cables.values() if c.assumed] + [k.ref for k in case.wiring.links if k.assumed]
    if assumed:
        yield f"Lengths of {_list(assumed)} are ASSUMED: measure before cutting."


def found_cable(case: Case) -> Iterator[str]:
    found = [c.ref for c in case.wiring.cables.values() if c.existing]
    if found:
        yield f"{_list(found)} is found cable: ring out every core first."


def others_work(case: Case) -> Iterator[str]:
    by: dict[str, list[str]] = defaultdict(list)
    for ref, device in case.wiring.devices.items():
        if device.device is not None:
            who = device.device.by.get("terminate") or device.device.by.get("all")
            if who:
                by[who].append(ref)
    for who, refs in by.items():
        yield f"{_list(refs)}: landed by {who}."


def code_basis(case: Case) -> Iterator[str]:
    codes = [case.site.codes[k] for k in ("egress", "fire") if k in case.site.codes]
    if codes and case.locks():
        yield f"Code basis named by the site: {'; '.join(codes)}. The authority having jurisdiction decides."


CAUTIONS: tuple[Caution, ...] = (
    mains, fire, lock_power_last, calming, alternating, foreign_voltage, secured_side, release_chain, others_work, lengths,
    found_cable, colours_change, drawn_at_rest, code_basis,
)  # fmt: skip


def cautions_for(site: Site, door: Door, wiring: Wiring) -> tuple[str, ...]:
    case = Case(site, door, wiring)
    return tuple(line for caution in CAUTIONS for line in caution(case))


def _lock_chains(case: Case) -> list[Chain]:
    locks = {lock.ref for lock in case.locks()}
    return [chain for chain in case.wiring.chains if chain.load in locks]


def _list(names: list[str]) -> str:
    """ "A1, K1", each once, in the order given."""
    return ", ".join(dict.fromkeys(names))

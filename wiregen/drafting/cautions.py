"""The numbered notes of a door's sheet: cautions that apply to this door, computed from its wiring.  One small function each.

Where work can hurt somebody the sheet warns and defers: to the licensed electrician, to the fire-alarm contractor, to the
local code and to the authority having jurisdiction.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Callable, Iterator
from dataclasses import dataclass

from wiregen.reading.conditions import mentions
from wiregen.reading.model import Changeover, Contact, DataSheet, Door, Gives, Input, Site, Takes
from wiregen.wiring.logic import spares
from wiregen.wiring.model import Calmer, Chain, WiredDevice, Wiring


@dataclass(frozen=True)
class Case:
    site: Site
    door: Door
    wiring: Wiring

    def locks(self) -> list[WiredDevice]:
        return [d for d in self.wiring.devices.values() if d.sheet.is_ == "lock"]


Caution = Callable[[Case], Iterator[str]]


def drawn_at_rest(case: Case) -> Iterator[str]:
    yield "Contacts are drawn without power, the door shut and latched, nobody at it."
    yield "A dot joins; a crossing without one does not."


def mains(case: Case) -> Iterator[str]:
    devices = [end.device for end in case.wiring.mains]
    if devices:
        yield f"Mains at {_list(devices)}: licensed electrician only, to the local electrical code."


def fire(case: Case) -> Iterator[str]:
    """The fire interface on this sheet, or the one that acts on a supply before it."""
    here = [ref for ref, device in case.wiring.devices.items() if _fire_interface(device.sheet)]
    if here:
        yield f"Fire interface {_list(here)}: landed and proved by the fire-alarm contractor. Put the panel on test first."
        return
    outputs: dict[tuple[str, str | None], None] = {}
    for chain in _lock_chains(case):
        outputs |= dict.fromkeys([(chain.source, chain.source_group), *((link.device, None) for link in chain.links)])
    for at, interface in dict.fromkeys(acts for source, output in outputs for acts in _upstream(case.site, source, output)):
        yield (
            f"Fire release acts at {at}, before this sheet, by {interface}: fire-alarm contractor. "
            "Put the panel on test first."
        )


def _fire_interface(sheet: DataSheet) -> bool:
    """Whether all contacts of a device, a machine's own apart, follow the fire alarm."""
    contacts = [g for g in sheet.groups.values() if isinstance(g, Changeover | Contact)]
    if sheet.is_ == "machine" or not contacts:
        return False
    return all(mentions(contact, "fire") for contact in contacts)


def _upstream(site: Site, source: str, output: str | None) -> Iterator[tuple[str, str]]:
    """What of the site a fire interface acts on, from an output or a relay upwards; each with that interface.

    An input that drops other outputs than the one in question does not count.
    """
    seen: set[str] = set()
    while source in site.shared and source not in seen:
        seen.add(source)
        device = site.shared[source]
        for relation in device.relations:
            own = device.sheet.groups.get(relation.own or "")
            if relation.kind == "obeys" and isinstance(own, Input) and spares(own, output):
                continue
            for target in relation.targets:
                other = site.shared.get(target.device)
                if relation.kind in ("obeys", "through") and other is not None and _fire_interface(other.sheet):
                    yield source, other.ref
        behind = (r.target for r in device.relations if r.kind == "from" and r.target.device in site.shared)
        source, output = next(((target.device, target.group) for target in behind), ("", None))


def lock_power_last(case: Case) -> Iterator[str]:
    """A supply's own output stays off; where the lock shares an output with others, its plus side stays open."""
    off: dict[str, list[str]] = defaultdict(list)
    for chain in _lock_chains(case):
        source = case.wiring.devices[chain.source].sheet
        ref, group = (chain.source, source.groups[chain.source_group])
        if source.is_ != "supply":
            ref, group = chain.load, case.wiring.devices[chain.load].sheet.groups[chain.load_group]
        if isinstance(group, Takes | Gives) and group.first is not None:
            off[group.first].append(ref)
    if off:
        ends = ", ".join(f"{run_of(refs)}:{mark}" for mark, refs in off.items())
        yield f"Lock power last: leave {ends} open until every other reading is taken."


def release_chain(case: Case) -> Iterator[str]:
    """What lock power passes; chains that pass like contacts of the same devices are told once."""
    alike: dict[tuple[str, ...], list[Chain]] = defaultdict(list)
    for chain in _lock_chains(case):
        if chain.links:
            alike[(chain.source, *(link.device for link in chain.links))].append(chain)
    for (source, *contacts), chains in alike.items():
        loads = run_of([chain.load for chain in chains])
        if len(chains) == 1:
            way = " → ".join(f"{k.device} {k.enters.terminal}-{k.leaves.terminal}" for k in chains[0].links)
        else:
            way = f"{' → '.join(contacts)}, a contact each"
        yield f"Chain: {source} → {way} → {loads}. Work each contact in turn and see the lock act."


def calming(case: Case) -> Iterator[str]:
    """What tames each lock's coil, and what must never lie across it."""
    never = {lock.ref for lock in case.locks() if lock.sheet.calm and "diode" in lock.sheet.calm.never}
    told: dict[str, list[Calmer]] = defaultdict(list)
    for calmer in case.wiring.calmers:
        no_diode = " No diode." if calmer.lock in never else ""
        never.discard(calmer.lock)
        if calmer.ref and calmer.band_at is not None:
            told[f"at the lock, band to its {calmer.band_at.terminal}.{no_diode}"].append(calmer)
        elif calmer.ref:
            told[f"at the lock.{no_diode}"].append(calmer)
        else:
            told[f"fitted inside, add none.{no_diode}"].append(calmer)
    for words, calmers in told.items():
        what = "" if calmers[0].word == "inside" else f"{calmers[0].word} "
        refs = [c.ref for c in calmers if c.ref]
        yield f"{run_of([c.lock for c in calmers])}: {what}{run_of(refs) + ' ' if refs else ''}{words}"
    if never:
        yield f"{run_of(sorted(never))}: NO DIODE across the lock."


def alternating(case: Case) -> Iterator[str]:
    for lock in case.locks():
        if any(isinstance(g, Takes) and g.current == "ac" for g in lock.sheet.groups.values()):
            yield f"{lock.ref} runs on alternating current: never on direct current."


def foreign_voltage(case: Case) -> Iterator[str]:
    """Contacts on which a machine puts its own voltage."""
    wetted: dict[str, str] = {}  # potential -> machine
    for c in case.wiring.conductors:
        for end in (c.a, c.b):
            device = case.wiring.devices.get(end.device)
            if device is not None and device.sheet.is_ == "machine" and end.terminal in _wets(device.sheet):
                wetted[c.potential] = end.device
    touched: dict[str, list[str]] = defaultdict(list)
    for c in case.wiring.conductors:
        for end in (c.a, c.b):
            device = case.wiring.devices.get(end.device)
            if c.potential in wetted and device is not None and device.ref != wetted[c.potential]:
                groups = (g for g in device.sheet.groups.values() if isinstance(g, Contact | Changeover))
                if any(end.terminal in g.marks for g in groups):
                    touched[wetted[c.potential]].append(device.ref)
    for machine, others in touched.items():
        yield f"Foreign voltage: {machine} feeds contacts of {_list(others)}. Switch {machine} off too before work."


def _wets(sheet: DataSheet) -> set[str]:
    """Input terminals on which a machine stands with its own voltage."""
    mains = any(isinstance(g, Takes) and g.current == "mains" for g in sheet.groups.values())
    return {g.in_ for g in sheet.groups.values() if isinstance(g, Input) and (mains or g.wets)}


def secured_side(case: Case) -> Iterator[str]:
    outside = [d.ref for d in case.wiring.devices.values() if d.exposed]
    if outside:
        yield f"Within reach from outside: {_list(outside)}. Splices, lock leads and this sheet: secured side only."


def colours_change(case: Case) -> Iterator[str]:
    colours: dict[str, set[str]] = defaultdict(set)
    for c in case.wiring.conductors:
        colours[c.potential].add(c.colour)
    if any(len(found) > 1 for found in colours.values()):
        yield "Colour and last letter may change at a joint, the number never."


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
    if by:
        yield f"Landed by others: {'; '.join(f'{_list(refs)} by the {who}' for who, refs in by.items())}."


CAUTIONS: tuple[Caution, ...] = (
    mains, fire, lock_power_last, calming, alternating, foreign_voltage, secured_side, release_chain, others_work, lengths,
    found_cable, colours_change, drawn_at_rest,
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


def run_of(names: list[str]) -> str:
    """ "s1 to s4, s7": each once, in the order given, runs of three and more that count up drawn together."""
    runs: list[list[str]] = []
    for name in dict.fromkeys(names):
        head = name.rstrip("0123456789")
        digits = name[len(head) :]
        if digits and runs and runs[-1][-1] == f"{head}{int(digits) - 1}":
            runs[-1].append(name)
        else:
            runs.append([name])
    return ", ".join(f"{run[0]} to {run[-1]}" if len(run) > 2 else ", ".join(run) for run in runs)

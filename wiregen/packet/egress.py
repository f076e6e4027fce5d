"""The egress and fire-release list: each electrically locked door, how one leaves, what takes the lock's power, who resets."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence

from wiregen.packet.content import Cell, Column, Notes, Section, Strong, Table, blocks
from wiregen.packet.release_chain import Release
from wiregen.packet.tracing import release
from wiregen.packet.ways import Ways
from wiregen.packet.wording import done_by, leaving
from wiregen.reading.conditions import mentions
from wiregen.reading.model import Changeover, Contact, DataSheet, Device, Gives, Input, Site, Takes
from wiregen.wiring.logic import spares
from wiregen.wiring.model import Behaviour, Chain, ChainLink, End, Wiring

Rows = tuple[tuple[Cell, ...], ...]


def egress_list(site: Site, rows: Mapping[str, Rows]) -> Section:
    """`rows` are by door what `locks` gives."""
    return Section(
        key="egress",
        title="Egress and fire release",
        blocks=blocks(
            Notes(
                (
                    "Code basis as the site names it: "
                    + ("; ".join(f"{subject}: {code}" for subject, code in site.codes.items()) or "none stated")
                    + ".  Another edition may differ.",
                    "This list says how each door is wired, not that it may be used so: local code, the authority having "
                    "jurisdiction and the listing of the hardware decide.",
                    "The fire interface is the fire-alarm contractor's: panel on test first; prove release and reset with him.",
                ),
                caption="How to read this list",
                across=1,
                caution=True,
            ),
            Table(
                "Electrically locked doors",
                (
                    Column("Door", 16),
                    Column("Lock", 30),
                    Column("Way out", 36),
                    Column("From supply to lock, in order, with wire numbers", 92),
                    Column("Power lost", 16),
                    Column("Fire", 12),
                    Column("Fire interface", 44),
                    Column("Reset", 32),
                ),
                tuple(row for door in site.doors for row in rows.get(door, ())),
            ),
        ),
    )


def locks(site: Site, wiring: Wiring, shared: Wiring | None) -> Iterator[tuple[Cell, ...]]:
    """One row for each lock of a door; locks of a bank that differ only in their number share one."""
    door = site.doors[wiring.door]
    chains = {(c.load, c.load_group): c for c in wiring.chains}
    for n, behaviour in enumerate(wiring.behaviours):
        chain = chains.get((behaviour.lock, behaviour.group))
        fire = fire_release(site, wiring, behaviour.lock)
        yield (
            Strong(door.id) if n == 0 else "",
            f"{behaviour.lock} {wiring.devices[behaviour.lock].sheet.name}",
            leaving(door) if n == 0 else "",
            chain_text(wiring, chain, shared) if chain else "no contact in its circuit",
            lock_does(behaviour, wiring.devices[behaviour.lock].sheet, "power-dead"),
            lock_does(behaviour, wiring.devices[behaviour.lock].sheet, "fire"),
            "; ".join(fire) or "none in this circuit",
            resets(release(site, door, wiring, shared)) if n == 0 else "",
        )


def _wire_between(ways: Ways, a: End, b: End) -> str:
    """Wire numbers from one terminal to the next of a chain: the door's own, or over wires between shared devices too."""
    wires = ways.between(a, b)
    return "wiring of the site" if wires is None else ", ".join(w.number for w in wires if w.number) or "same terminal"


def chain_text(wiring: Wiring, chain: Chain, shared: Wiring | None = None) -> str:
    """"A1.out plus → [A101a] → K1 C–NO → [K106a] → Y1:+"; "[site FB103a]" where it is a wire between shared devices.

    The plus side from the output to the lock, then the minus side on to the output where a contact lies in it.
    """
    source = wiring.devices[chain.source].sheet.groups.get(chain.source_group)
    load = wiring.devices[chain.load].sheet.groups.get(chain.load_group)
    if not isinstance(source, Gives) or not isinstance(load, Takes):
        return "no output behind it"
    ways = Ways(wiring, shared)
    out = f"{chain.source}.{chain.source_group}"
    texts = [
        _way(
            ways,
            (End(chain.source, source.first or ""), f"{out} plus"),
            [link for link in chain.links if link.pole == "plus"],
            (End(chain.load, load.first or ""), f"{chain.load}:{load.first}"),
        )
    ]
    minus = [link for link in chain.links if link.pole == "minus"]
    if minus:
        back = (End(chain.source, source.second or ""), f"{out} minus")
        texts.append(_way(ways, (End(chain.load, load.second or ""), f"{chain.load}:{load.second}"), minus, back))
    return "\n".join(texts)


def _way(ways: Ways, start: tuple[End, str], links: Sequence[ChainLink], end: tuple[End, str]) -> str:
    """Through the contacts in order; alternatives begin where the first of them did."""
    before = at = start[0]
    steps = [start[1]]
    for link in links:
        before = before if link.beside else at
        way = "or" if link.beside else "→"
        wires = _wire_between(ways, before, link.enters)
        steps.append(f"{way} [{wires}] → {link.device} {link.enters.terminal}–{link.leaves.terminal}")
        at = link.leaves
    return " ".join((*steps, f"→ [{_wire_between(ways, at, end[0])}] → {end[1]}"))


def resets(traced: Release) -> str:
    """All that stays moved until somebody puts it back, with where it stands and how."""
    stay = [thing for thing in traced.things if thing.resets]
    told = (thing.ref + (f" at {thing.place}" if thing.place else "") + f": {thing.resets}" for thing in stay)
    return "; ".join(dict.fromkeys(told)) or "nothing to reset"


def lock_does(behaviour: Behaviour, sheet: DataSheet, state: str) -> str:
    """What a lock does in a state; one without a spring stays as it was while it has no power."""
    if sheet.unpowered == "stays" and not behaviour.powered.get(state, True):
        return "as it was, held or free"
    return behaviour.gives.get(state, "not worked out")


def fire_release(site: Site, wiring: Wiring, lock: str) -> list[str]:
    """What a fire contact does to a lock: in its circuit, in the outputs behind it, on an input of either."""
    found: list[str] = []
    seen: set[tuple[str, str | None]] = set()
    waiting: list[tuple[str, str | None]] = [(lock, None)]  # devices, with the output of theirs that the lock hangs on
    while waiting:
        ref, output = waiting.pop(0)
        device = _device(site, wiring, ref)
        if device is None or (ref, output) in seen:
            continue
        seen.add((ref, output))
        for relation in device.relations:
            own = device.sheet.groups.get(relation.own or "")
            if relation.kind not in ("from", "through", "obeys") or (isinstance(own, Input) and spares(own, output)):
                continue
            for target in relation.targets:
                contact = _contact(_device(site, wiring, target.device), target.group, target.device)
                if contact is None:
                    waiting.append((target.device, target.group if relation.kind == "from" else None))
                    continue
                does = f"{ref} {done_by(device.sheet, own)}" if isinstance(own, Input) and own.does else f"in the feed of {ref}"
                found.append(f"{contact}: {does}")
    return list(dict.fromkeys(found))


def _device(site: Site, wiring: Wiring, ref: str) -> Device | None:
    wired = wiring.devices.get(ref)
    return wired.device if wired else site.shared.get(ref)


def _contact(device: Device | None, name: str | None, ref: str) -> str | None:
    """A contact that follows the fire alarm, with who owns it; None for any other."""
    group = device.sheet.groups.get(name or "") if device else None
    if device and isinstance(group, (Contact, Changeover)) and mentions(group, "fire"):
        by = f" ({', '.join(dict.fromkeys(device.by.values()))})" if device.by else ""
        return f"{ref} {group.marks[0]}{by}"
    return None

"""The egress and fire-release list: each electrically locked door, how one leaves, what takes the lock's power, who resets."""

from __future__ import annotations

from collections.abc import Iterator, Mapping

from wiregen.packet.content import Cell, Column, Notes, Section, Strong, Table, blocks
from wiregen.packet.wording import leaving
from wiregen.reading.model import Changeover, Contact, Device, Input, Site
from wiregen.wiring.model import Behaviour, Chain, End, Wiring


def egress_list(site: Site, wirings: Mapping[str, Wiring]) -> Section:
    rows: list[tuple[Cell, ...]] = []
    for door in site.doors.values():
        if door.id in wirings:
            rows += _locks(site, wirings[door.id])
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
                    Column("Power lost; fire", 34),
                    Column("Fire interface", 40),
                    Column("Reset", 32),
                ),
                tuple(rows),
            ),
        ),
    )


def _locks(site: Site, wiring: Wiring) -> Iterator[tuple[Cell, ...]]:
    """One row for each lock; locks of a bank that differ only in their number share one."""
    door = site.doors[wiring.door]
    chains = {(c.load, c.load_group): c for c in wiring.chains}
    for n, behaviour in enumerate(wiring.behaviours):
        chain = chains.get((behaviour.lock, behaviour.group))
        fire = _fire(site, wiring, chain) if chain else []
        yield (
            Strong(door.id) if n == 0 else "",
            f"{behaviour.lock} {wiring.devices[behaviour.lock].sheet.name}",
            leaving(door.leave_by) + (f": {door.why_none}" if door.why_none else ""),
            chain_text(wiring, chain) if chain else "no contact in its circuit",
            f"power lost: {behaviour.gives.get('power-dead', 'not worked out')}; fire: {_on_fire(behaviour)}",
            "; ".join(text for text, _ in fire) or "none in this circuit",
            "; ".join(dict.fromkeys(reset for _, reset in fire if reset)) or "nothing to reset",
        )


def _on_fire(behaviour: Behaviour) -> str:
    return behaviour.gives.get("fire", "not worked out")


def _wire_between(wiring: Wiring, a: End, b: End) -> str:
    """Wire numbers from one terminal to the next of a chain, over joints; "inside" where no conductor joins them."""
    ends: dict[End, list[tuple[str, End]]] = {}
    for c in wiring.conductors:
        ends.setdefault(c.a, []).append((c.wire, c.b))
        ends.setdefault(c.b, []).append((c.wire, c.a))
    paths: list[tuple[End, tuple[str, ...]]] = [(a, ())]
    seen = {a}
    for end, wires in paths:  # grows while it is read: a search in width, so the shortest path comes first
        if end == b:
            return ", ".join(wires) or "same terminal"
        for wire, other in ends.get(end, ()):
            if other not in seen:
                seen.add(other)
                paths.append((other, (*wires, wire)))
    return "joined inside"


def chain_text(wiring: Wiring, chain: Chain) -> str:
    """"A1.out → [A101a, A101b] → K1 C–NO → [K106a] → Y1": plus side first, then minus; alternatives say "or"."""
    source = wiring.devices[chain.source].sheet.groups.get(chain.source_group)
    load = wiring.devices[chain.load].sheet.groups.get(chain.load_group)
    texts = []
    for pole, mark in (("plus", "first"), ("minus", "second")):
        links = [link for link in chain.links if link.pole == pole]
        if not links:
            continue
        at: End | None = End(chain.source, getattr(source, mark)) if source else None
        steps = [f"{chain.source}.{chain.source_group} {'plus' if pole == 'plus' else 'minus'}"]
        for link in links:
            if at is not None:
                wires, way = _wire_between(wiring, at, link.enters), "or" if link.beside else "→"
                steps.append(f"{way} [{wires}] → {link.device} {link.enters.terminal}–{link.leaves.terminal}")
            at = link.leaves
        end = End(chain.load, getattr(load, mark)) if load else None
        if at is not None and end is not None:
            steps.append(f"→ [{_wire_between(wiring, at, end)}] → {end}")
        texts.append(" ".join(steps))
    return "\n".join(texts)


def _fire(site: Site, wiring: Wiring, chain: Chain) -> list[tuple[str, str]]:
    """(what the fire contact does, who resets it), in the lock's own circuit and in the supplies of the site behind it."""
    found = []
    for link in chain.links:
        device = wiring.devices[link.device]
        if text := _contact(device.device, device.sheet.groups.get(link.group), link.device):
            found.append(text)
        found += _behind(site, link.device)
    return list(dict.fromkeys((*found, *_behind(site, chain.source))))


def _contact(device: Device | None, group: object, ref: str) -> tuple[str, str] | None:
    if isinstance(group, (Contact, Changeover)):
        conditions = group.closed_when if isinstance(group, Contact) else group.moves_when
        if any("fire" in c.any_of for c in conditions):
            by = f" ({', '.join(dict.fromkeys(device.by.values()))})" if device and device.by else ""
            return f"{ref}.{group.name}{by}", f"at {ref}" if group.stays else ""
    return None


def _behind(site: Site, ref: str, depth: int = 8) -> list[tuple[str, str]]:
    """The fire contacts that act on a shared device: in what feeds it, or on an input of it."""
    device = site.shared.get(ref)
    if device is None or depth == 0:
        return []
    found: list[tuple[str, str]] = []
    for relation in device.relations:
        if relation.kind not in ("from", "through", "obeys"):
            continue
        for target in relation.targets:
            other = site.shared.get(target.device)
            group = other.sheet.groups.get(target.group or "") if other else None
            contact = _contact(other, group, target.device) if other else None
            if contact:
                own = device.sheet.groups.get(relation.own or "")
                does = f"{ref} {own.does}" if isinstance(own, Input) and own.does else f"in the feed of {ref}"
                stays = f"{ref}: {own.stays}" if isinstance(own, Input) and own.stays else ""
                found.append((f"{contact[0]}: {does}", "; ".join(part for part in (contact[1], stays) if part)))
            elif other:
                found += _behind(site, target.device, depth - 1)
    return found

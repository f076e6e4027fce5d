"""Gathers what was worked out into the Wiring: devices as they stand on the sheet, and what is left over."""

from __future__ import annotations

from collections.abc import Mapping

from wiregen.reading.model import DataSheet
from wiregen.wiring.cast import Cast
from wiregen.wiring.joints import Joints
from wiregen.wiring.landing import Landed
from wiregen.wiring.model import End, Link, Remark, Unused, WiredDevice, Wiring
from wiregen.wiring.plan import Plan
from wiregen.wiring.potentials import ties


def gather(
    plan: Plan,
    joints: Joints,
    landed: Landed,
    linked: list[Link],
    sheets: Mapping[str, DataSheet],
    hub: str,
    order: list[str],
    remarks: list[Remark],
) -> Wiring:
    cast, circuits, table = plan.cast, plan.circuits, plan.table
    door = cast.door
    used: dict[str, set[str]] = {}
    ends = [end for c in landed.conductors for end in (c.a, c.b)] + [end for link in linked for end in (link.a, link.b)]
    ends += [cable.screen_at for cable in landed.cables.values() if cable.screen_at is not None]
    for end in ends:
        used.setdefault(end.device, set()).add(end.terminal)
    for chain in table.chains:  # a contact between two shared devices is landed by the site, and is still in the circuit
        for ref in (chain.source, *(link.device for link in chain.links)):
            used.setdefault(ref, set())
    mains = tuple(
        End(feed.load.device, mark)
        for feed in circuits.feeds.values()
        if feed.row == "T3" and cast.is_own(feed.load.device)
        for mark in circuits.group(feed.load).marks
    )
    devices = _devices(plan, used)
    foreign = _landed_from_elsewhere(cast)
    remarks = [*remarks, *(remark for remark, _ in foreign)]
    taken = {*mains, *(end for _, ends in foreign for end in ends)}
    return Wiring(
        door=door.id if door else "site",
        hub=hub,
        devices=devices,
        boxes=joints.boxes,
        conductors=tuple(landed.conductors),
        cables=landed.cables,
        junctions=tuple(landed.junctions),
        lead_joints=tuple(landed.lead_joints),
        links=tuple(linked),
        calmers=plan.calmed,
        line_ends=tuple(table.line_ends),
        unused=tuple(
            Unused(key, terminal.mark, terminal.colour, devices[key].place)
            for key, device in cast.own.items()
            for terminal in device.sheet.terminals
            if terminal.mark not in used.get(key, ()) and End(key, terminal.mark) not in taken
        ),
        chains=tuple(table.chains),
        behaviours=plan.chosen.behaviours,
        places=tuple(order),
        runs={place: run for place in order if (run := cast.run(place)) is not None},
        remarks=tuple(remarks),
        mains=mains,
        ties=tuple(tied for key, sheet in sheets.items() if key in devices for tied in ties(key, sheet)),
    )


def _devices(plan: Plan, used: Mapping[str, set[str]]) -> dict[str, WiredDevice]:
    cast, table = plan.cast, plan.table
    found: dict[str, WiredDevice] = {}
    added = {one.ref for one in table.added}
    boxes = {end for end in used if end not in cast.own and end not in added and not _known(cast, end)}
    for key in [*cast.own, *sorted(k for k in used if k not in cast.own and k not in added and k not in boxes)]:
        device = cast.device(key)
        place = cast.place(key)
        settings = {**plan.settings.get(key, {}), **device.set}
        found[key] = WiredDevice(
            ref=key,
            sheet=device.sheet,
            place=place,
            exposed=cast.exposed(place),
            origin="site" if cast.door is None or cast.is_shared(key) else "door" if key in cast.own else "other door",
            device=device,
            used=frozenset(used.get(key, ())),
            settings=settings,
        )
    for one in table.added:
        found[one.ref] = WiredDevice(
            ref=one.ref,
            sheet=one.sheet,
            place=one.place,
            exposed=cast.exposed(one.place),
            origin="stock",
            used=frozenset(used.get(one.ref, ())),
        )
    return found


def _known(cast: Cast, key: str) -> bool:
    try:
        cast.device(key)
    except KeyError:
        return False
    return True


def _landed_from_elsewhere(cast: Cast) -> list[tuple[Remark, tuple[End, ...]]]:
    """Terminals of this door's devices on which another door's conductors are landed, so that none is called unused."""
    if cast.door is None:
        return []
    found = []
    for other in cast.site.doors.values():
        if other.id == cast.door.id:
            continue
        for device in other.devices.values():
            for relation in device.relations:
                for target in relation.targets:
                    if target.door != cast.door.id or target.device not in cast.own:
                        continue
                    group = cast.own[target.device].sheet.groups.get(target.group or "")
                    marks = (target.terminal,) if target.terminal else group.marks if group else ()
                    text = f"{target.device}.{target.group or target.terminal} is wired with door {other.id}: see its sheet"
                    ends = tuple(End(target.device, mark) for mark in marks if mark)
                    found.append((Remark(text, relation.where, "other-door"), ends))
    return found

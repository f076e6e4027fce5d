"""Wires a door, or what is shared on the site: relations to conductors, cables, joints and what hangs on them."""

from __future__ import annotations

from collections.abc import Collection, Iterable, Mapping
from dataclasses import replace

from wiregen.reading.model import DataSheet, Door, Problem, Site, Takes
from wiregen.reading.shared import SITE
from wiregen.wiring import as_built, links, numbers
from wiregen.wiring.cables import Stock
from wiregen.wiring.cast import Cast
from wiregen.wiring.circuits import Circuits
from wiregen.wiring.copper import Copper, Layout
from wiregen.wiring.ends import Ends
from wiregen.wiring.gather import gather
from wiregen.wiring.joins import Join
from wiregen.wiring.joints import Joiner, takes_two
from wiregen.wiring.landing import Carries, Lander
from wiregen.wiring.model import Conductor, End, Link, Wiring
from wiregen.wiring.places import Boxes, hub_of, in_order
from wiregen.wiring.plan import Plan, plan_door, plan_site, refuse
from wiregen.wiring.potentials import Joined, ties
from wiregen.wiring.table import Table


def wire_door(site: Site, door: Door) -> Wiring:
    """The wiring of one door, as built where its spec says so.  Raises SpecError with every problem found."""
    return as_built.corrected(door, wire_design(site, door))


def wire_design(site: Site, door: Door) -> Wiring:
    """The wiring of one door as its relations give it: of a variant of it nothing is built yet.  Raises SpecError."""
    return _wire(plan_door(site, door))


def wire_site(site: Site) -> Wiring:
    """The wiring among shared devices, under the door name "site" (L9).  Raises SpecError."""
    return _wire(plan_site(site))


def less_used(shared: Wiring, doors: Iterable[Wiring]) -> Wiring:
    """The wiring among shared devices without those unused terminals that a door lands something on."""
    devices = [(ref, device) for door in doors for ref, device in door.devices.items() if device.origin == "site"]
    taken = {(ref.removeprefix(f"{SITE}/"), mark) for ref, device in devices for mark in device.used}
    return replace(shared, unused=tuple(u for u in shared.unused if (u.device, u.terminal) not in taken))


def among(shared: Wiring, refs: Collection[str]) -> Wiring:
    """What doors can meet of the wiring among shared devices where they know none but `refs`: the copper that leads on from
    these, and the devices on it.  Boxes lead no further than their joints do."""

    def stands_for(end: End) -> str | End:
        return end if end.device in shared.boxes else end.device

    beside: dict[str | End, list[str | End]] = {}
    every: tuple[Conductor | Link, ...] = (*shared.conductors, *shared.links)
    for one in every:
        a, b = stands_for(one.a), stands_for(one.b)
        beside.setdefault(a, []).append(b)
        beside.setdefault(b, []).append(a)
    reached: set[str | End] = set(refs)
    waiting = list(reached)
    while waiting:
        further = set(beside.get(waiting.pop(), ())) - reached
        reached |= further
        waiting += further

    def kept(end: End) -> bool:
        return end in reached or end.device in reached

    conductors = tuple(c for c in shared.conductors if kept(c.a))
    cables = {c.cable for c in conductors}
    return replace(
        shared,
        devices={ref: device for ref, device in shared.devices.items() if ref in reached},
        conductors=conductors,
        cables={ref: cable for ref, cable in shared.cables.items() if ref in cables},
        links=tuple(link for link in shared.links if kept(link.a)),
        chains=tuple(chain for chain in shared.chains if chain.load in reached),
        ties=tuple(tie for tie in shared.ties if kept(tie[0])),
        mains=tuple(end for end in shared.mains if kept(end)),
        boxes={}, junctions=(), lead_joints=(), calmers=(), line_ends=(), unused=(), behaviours=(), remarks=(),
    )  # fmt: skip


def _wire(plan: Plan) -> Wiring:
    cast, circuits, table, names, picks = plan.cast, plan.circuits, plan.table, plan.names, plan.picks
    site = cast.site
    sheets = _sheets(cast, plan.joins, table)
    potentials, joins = _join(sheets, plan.joins)
    refuse([*_bridged(cast, circuits, potentials, joins), *_apart(cast, joins, table)])
    origin = numbers.origins(joins, potentials.find, sheets)
    refuse(_too_many(cast, sheets, origin.values()))
    places = {one.ref: one.place for one in table.added}
    hub = hub_of(cast, joins, places)
    thick = {end for join in joins if join.heavy for end in (join.a, join.b)}

    def two_on(end: End) -> bool:
        """L10: true where two wires can be landed: on a lead, or under a screw that takes two of the size to be expected."""
        sheet = sheets[end.device]
        expected = [site.stock.wire, *(site.stock.power[:1] if end in thick else ())]
        area = max(one.size.nominal for one in expected)
        return sheet.terminal(end.terminal).is_lead or takes_two(sheet, area)

    def jumpers(end: End) -> bool:
        """L4: true where several terminals of the device may be bridged or its leads joined; never at a lock's own coil."""
        return not _is_coil(cast, end) and two_on(end)

    inside = {end: tied for key, sheet in sheets.items() for tied in ties(key, sheet) for end in tied}
    ends = Ends(cast, joins, potentials.find, {one.ref: one for one in table.added})
    copper = Layout(cast, ends, hub, jumpers, lambda end: inside.get(end, ())).run()
    refuse([*copper.problems, *_not_laid(cast, copper)])
    riders: dict[End, list[End]] = {}
    for pick in picks:
        load = circuits.group(pick.load)
        if not pick.in_series and isinstance(load, Takes) and load.first and load.second:
            for mark, coil in zip(pick.ends, (load.first, load.second), strict=True):
                riders.setdefault(End(pick.load.device, coil), []).append(End(pick.ref, mark))
    order = in_order(cast, [places.get(e.device) or cast.place(e.device) for j in joins for e in (j.a, j.b)], circuits)
    boxes = Boxes(cast, names)
    joints = Joiner(
        sheets,
        jumpers,
        two_on,
        riders,
        boxes.at,
        ends.first,
        site.stock.splice,
        site.stock.strip or site.stock.splice,
    ).join(copper.nets)
    carries = Carries(
        potentials.find,
        {root: numbers.number(end, sheets) for root, end in origin.items()},
        _poles(joins, potentials),
        origin,
        _first_joins(joins),
    )
    linked = links.laid(cast, circuits, names)
    lander = Lander(cast, circuits, sheets, carries, joints, names)
    stock = Stock(cast, lander.wish)
    pulled = [part for bundle in copper.bundles for part in stock.pulled(bundle)]
    refuse(stock.problems)
    landed = lander.land(pulled)
    return gather(plan, joints, landed, linked, sheets, hub, order, [*plan.remarks, *stock.remarks])


def _sheets(cast: Cast, joins: Iterable[Join], table: Table) -> dict[str, DataSheet]:
    """The data sheets of all devices that count, by key."""
    added = {one.ref: one.sheet for one in table.added}
    found = {key: device.sheet for key, device in cast.own.items() if device.sheet.is_ != "box"}  # it has joints, not marks
    found.update(added)
    for join in joins:
        for end in (join.a, join.b):
            if end.device not in found:
                found[end.device] = cast.device(end.device).sheet
    return found


def _join(sheets: Mapping[str, DataSheet], joins: Iterable[Join]) -> tuple[Joined[End], list[Join]]:
    """Potentials, and the joins that copper is needed for (L3: none where both ends are one potential already)."""
    potentials: Joined[End] = Joined()
    for key, sheet in sheets.items():
        for tied in ties(key, sheet):
            for end in tied[1:]:
                potentials.join(tied[0], end)
    return potentials, [join for join in joins if potentials.join(join.a, join.b)]


def _bridged(cast: Cast, circuits: Circuits, potentials: Joined[End], joins: list[Join]) -> list[Problem]:
    """Loads, outputs and contacts whose two sides have become one point."""
    landed = {end for join in joins for end in (join.a, join.b)}
    problems = []
    for key, device in cast.own.items():
        for group in device.sheet.groups.values():
            pair = [End(key, mark) for mark in group.marks[:2]]
            if len(pair) < 2 or group.kind not in ("takes", "gives", "contact") or not landed & set(pair):
                continue
            if potentials.same(*pair) and not any(set(pair) <= set(t) for t in ties(key, device.sheet)):
                problems.append(
                    Problem(
                        device.where,
                        f"devices, {device.ref}",
                        f"{pair[0]} and {pair[1]} ({group.name}) come to be one point: it would be bridged",
                        "look for a contact that is used twice, or for two circuits joined by a common terminal",
                    )
                )
    return problems


def _apart(cast: Cast, joins: Iterable[Join], table: Table) -> list[Problem]:
    """Joins between places that no run joins."""
    places = {one.ref: one.place for one in table.added}
    found = []
    for join in joins:
        one, other = (places.get(end.device) or cast.place(end.device) for end in (join.a, join.b))
        if cast.meet(one, other) is None and join.where is not None:
            wrong = f"{join.a} at {one} and {join.b} at {other} are to be joined, and no run joins the two places"
            found.append(Problem(join.where, "runs", wrong, f"write how cable gets there: runs: {{{other}: [{one}, LENGTH]}}"))
    return found


def _too_many(cast: Cast, sheets: Mapping[str, DataSheet], origin: Iterable[End]) -> list[Problem]:
    return [
        Problem(
            sheets[end.device].where,
            "terminals",
            f"{sheets[end.device].type} has more than {numbers.MOST_TERMINALS} terminals",
            "divide it into several devices: a wire number has two digits for the terminal",
        )
        for end in origin
        if sheets[end.device].terminal(end.terminal).ordinal > numbers.MOST_TERMINALS
    ]


def _is_coil(cast: Cast, end: End) -> bool:
    try:
        sheet = cast.device(end.device).sheet
    except KeyError:
        return False
    return sheet.is_ == "lock" and any(isinstance(g, Takes) and end.terminal in g.marks for g in sheet.groups.values())


def _not_laid(cast: Cast, copper: Copper) -> list[Problem]:
    """Cables that the author laid down and that nothing runs in."""
    used = {bundle.choice.ref for bundle in copper.bundles if bundle.choice is not None}
    return [
        Problem(
            choice.where,
            f"cables, {ref}",
            f"nothing runs in {ref}" + (f" from {choice.along[0]} to {choice.along[-1]}" if choice.along else ""),
            "name the device at its outer end under `for`, and the places it passes, from one end to the other, under `along`",
        )
        for ref, choice in (cast.door.cables if cast.door else {}).items()
        if ref not in used
    ]


def _poles(joins: Iterable[Join], potentials: Joined[End]) -> dict[End, str]:
    found: dict[End, str] = {}
    for join in joins:
        if join.pole:
            found.setdefault(potentials.find(join.a), join.pole)
    return found


def _first_joins(joins: Iterable[Join]) -> dict[End, Join]:
    found: dict[End, Join] = {}
    for join in sorted(joins, key=lambda j: j.order):
        found.setdefault(join.a, join)
        found.setdefault(join.b, join)
    return found

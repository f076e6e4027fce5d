"""Wires a door, or what is shared on the site: relations to conductors, cables, joints and what hangs on them."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from itertools import pairwise

from wiregen.reading.model import DataSheet, Door, Pass, Problem, Run, Site, Takes
from wiregen.wiring import links, numbers
from wiregen.wiring.cables import Stock
from wiregen.wiring.cast import Cast
from wiregen.wiring.circuits import Circuits
from wiregen.wiring.copper import Copper, Layout
from wiregen.wiring.joints import Joiner, Joints, takes_two
from wiregen.wiring.landing import Carries, Landed, Lander
from wiregen.wiring.model import Box, End, Link, Remark, Unused, WiredDevice, Wiring
from wiregen.wiring.names import Names
from wiregen.wiring.plan import Plan, plan_door, plan_site, refuse
from wiregen.wiring.potentials import Joined
from wiregen.wiring.table import Join, Table


def wire_door(site: Site, door: Door) -> Wiring:
    """The wiring of one door.  Raises SpecError with every problem found."""
    return _wire(plan_door(site, door))


def wire_site(site: Site) -> Wiring:
    """The wiring among shared devices, under the door name "site" (L9).  Raises SpecError."""
    return _wire(plan_site(site))


def _wire(plan: Plan) -> Wiring:
    cast, circuits, table, names, picks = plan.cast, plan.circuits, plan.table, plan.names, plan.picks
    site = cast.site
    sheets = _sheets(cast, plan.joins, table)
    potentials, joins = _join(sheets, plan.joins)
    refuse(_bridged(cast, circuits, potentials, joins))
    origin = numbers.origins(joins, potentials.find, sheets)
    refuse(_too_many(cast, sheets, origin.values()))
    places = {one.ref: one.place for one in table.added}
    hub = _hub(cast, joins, places)
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
    layout = Layout(
        cast,
        joins,
        potentials.find,
        {one.ref: one for one in table.added},
        hub,
        jumpers,
        lambda end: inside.get(end, ()),
    )
    copper = layout.run()
    refuse([*copper.problems, *_not_laid(cast, copper)])
    riders: dict[End, list[End]] = {}
    for pick in picks:
        load = circuits.group(pick.load)
        if not pick.in_series and isinstance(load, Takes) and load.first and load.second:
            for mark, coil in zip(pick.ends, (load.first, load.second), strict=True):
                riders.setdefault(End(pick.load.device, coil), []).append(End(pick.ref, mark))
    order = _in_order(cast, [places.get(e.device) or cast.place(e.device) for j in joins for e in (j.a, j.b)], circuits)
    boxes = _Boxes(cast, names)
    joints = Joiner(
        sheets,
        jumpers,
        two_on,
        riders,
        boxes.at,
        layout.first,
        site.stock.splice,
        site.stock.strip or site.stock.splice,
    ).join(sorted(copper.nets, key=lambda n: order.index(n.place)))
    carries = Carries(
        potentials.find,
        {root: numbers.number(end, sheets) for root, end in origin.items()},
        _poles(joins, potentials),
        origin,
        _first_joins(joins),
    )
    linked = _links(cast, circuits, names)
    lander = Lander(cast, circuits, sheets, carries, joints, names)
    stock = Stock(cast, lander.wish)
    pulled = [part for bundle in copper.bundles for part in stock.pulled(bundle)]
    refuse(stock.problems)
    landed = lander.land(pulled)
    return _gather(plan, joints, landed, linked, sheets, hub, order, [*plan.remarks, *stock.remarks])


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


def ties(key: str, sheet: DataSheet) -> list[tuple[End, ...]]:
    """Terminals joined inside a device: those tied, and the two ends of what leads straight through."""
    tied = [tuple(End(key, mark) for mark in marks) for marks in sheet.tied]
    passes = (g.between for g in sheet.groups.values() if isinstance(g, Pass) and g.between is not None)
    return [*tied, *(tuple(End(key, mark) for mark in pair) for pair in passes)]


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


def _hub(cast: Cast, joins: Iterable[Join], places: Mapping[str, str]) -> str:
    """The place where most runs branch; of several, the one with the most terminals landed."""
    count: dict[str, int] = {}
    branches: dict[str, set[str]] = {}
    for join in joins:
        for end in (join.a, join.b):
            path = cast.path(places.get(end.device) or cast.place(end.device))
            count[path[0]] = count.get(path[0], 0) + 1
            for outer, inner in pairwise(path):
                branches.setdefault(inner, set()).add(outer)
    seen = [*count, *(place for place in branches if place not in count)]
    if not seen:
        return next(iter(cast.door.runs), cast.site.id) if cast.door else next(iter(cast.site.runs), cast.site.id)
    return max(seen, key=lambda place: (len(branches.get(place, ())), count.get(place, 0)))


def _in_order(cast: Cast, used: Iterable[str], circuits: Circuits) -> list[str]:
    """Places from the closet outwards, in the order in which cable passes through them."""
    wanted: dict[str, None] = {}
    jacks = [fit for fit in circuits.fits if fit.row in ("T4", "T14") and cast.is_own(fit.own.device)]
    starts = [*used, *(cast.place(key) for key in cast.own)]
    starts += [cast.place(at.device) for fit in jacks for at in (fit.own, fit.target)]
    for start in starts:
        for place in reversed(cast.path(start)):
            wanted.setdefault(place)
    written = list(cast.door.runs) if cast.door else list(cast.site.runs)
    rank = {place: n for n, place in enumerate(written)}

    def outward(place: str) -> list[str]:
        inner = [p for p in wanted if (run := cast.run(p)) is not None and run.parent == place]
        return [place, *(q for p in sorted(inner, key=lambda p: rank.get(p, -1)) for q in outward(p))]

    return [q for place in wanted if len(cast.path(place)) == 1 for q in outward(place)]


class _Boxes:
    """The box at a place: the device written there, or one named X1, X2 ..."""

    def __init__(self, cast: Cast, names: Names) -> None:
        self._cast = cast
        self._names = names
        self._boxes: dict[str, Box] = {}

    def at(self, place: str) -> Box:
        if place not in self._boxes:
            written = (k for k, d in self._cast.own.items() if d.sheet.is_ == "box" and self._cast.place(k) == place)
            ref = next(written, None) or self._names.numbered("X")
            self._boxes[place] = Box(ref, place, self._cast.exposed(place))
        return self._boxes[place]


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


def _links(cast: Cast, circuits: Circuits, names: Names) -> list[Link]:
    found = []
    for a, b, poe, where in links.hops(cast, circuits):
        along = links.along(cast, cast.place(a.device), cast.place(b.device)) or ()
        runs = _between(cast, along)
        found.append(
            Link(
                names.numbered("W"),
                a,
                b,
                cast.site.stock.link,
                along,
                sum(run.length.nominal for run in runs),
                any(run.length.assumed for run in runs),
                poe,
                where,
            )
        )
    return found


def _between(cast: Cast, along: tuple[str, ...]) -> list[Run]:
    runs = []
    for one, other in pairwise(along):
        for place, parent in ((one, other), (other, one)):
            run = cast.run(place)
            if run is not None and run.parent == parent:
                runs.append(run)
    return runs


def _gather(
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

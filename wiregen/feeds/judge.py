"""A candidate put through the stages that every door goes through, and what they say of it."""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence
from dataclasses import replace

from wiregen.feeds.candidates import candidates, sites_with, with_fire_contact
from wiregen.feeds.model import Candidate, Judged
from wiregen.feeds.offers import Offers
from wiregen.reading.conditions import mentions
from wiregen.reading.model import DataSheet, Device, Door, Gives, Jack, Site, SpecError, Takes
from wiregen.review.bounds import ROUNDED
from wiregen.review.contacts import links_behind
from wiregen.review.review import review
from wiregen.solved import solve
from wiregen.study.copper import Copper, output_on_battery, supplied
from wiregen.study.model import Figure
from wiregen.study.network import NotSolved
from wiregen.wiring.logic import Case, logic_of
from wiregen.wiring.model import Wiring
from wiregen.wiring.wire import wire_design

MOUNTING = ("screw", "conduit")  # what is tight there is cured where it stands, and tells nothing of the power


def compare(site: Site, door: Door, catalogue: Sequence[DataSheet], shared: Wiring | None) -> tuple[Judged, ...]:
    """Every way to feed the door, judged, in the order of `candidates`.  `shared` is what the site wires for all doors."""
    offers = Offers(site, door, catalogue)
    return _limited([_judge(offers, candidate, shared) for candidate in candidates(offers, door.otherwise)])


def written_ways(site: Site, door: Door, shared: Wiring | None) -> tuple[Judged, ...]:
    """The ways that the spec itself names, judged; for pages, where each may cost no more than a glance."""
    ways = [Candidate("as written", "as written", door, feed=door.feed or "")]
    ways += [Candidate("", "", other, feed=other.feed or "") for other in door.otherwise]
    return _limited([_judge(Offers(site, door, ()), way, shared) for way in ways])


def _judge(offers: Offers, candidate: Candidate, shared: Wiring | None) -> Judged:
    if candidate.door is None:
        return Judged(candidate=candidate, passes=False, wrong=candidate.wrong, cure=candidate.cure)
    try:
        door = candidate.door
        wiring = wire_design(sites_with(offers.site, door), door)
        if _fire_lost(wiring) and (released := with_fire_contact(offers, door, offers.door)) is not None:
            door = released
            wiring = wire_design(sites_with(offers.site, door), door)
    except SpecError as error:
        first = error.problems[0]
        return Judged(candidate=candidate, passes=False, wrong=first.wrong, cure=first.instead)
    return _judged(offers, replace(candidate, door=door), door, wiring, shared)


def _fire_lost(wiring: Wiring) -> bool:
    return any(b.wanted.get("fire") == "free" and b.gives.get("fire") != "free" for b in wiring.behaviours)


def _judged(offers: Offers, candidate: Candidate, door: Door, wiring: Wiring, shared: Wiring | None) -> Judged:
    site = sites_with(offers.site, door)
    try:
        study = solve(site, door, wiring, shared)
    except NotSolved as error:
        return Judged(candidate=candidate, passes=False, wrong=f"no operating point: {error}", cure="thicker cable")
    stops = [f for f in review(site, {door.id: wiring}, {door.id: study}) if f.level == "stop"]
    bounded = tuple(f for f in study.figures if f.margin is not None)
    broken = sorted((f for f in bounded if (f.margin or 0.0) < -ROUNDED), key=lambda f: (f.margin or 0.0, f.name, f.about))
    wrong, cure = ("", "")
    if stops:
        wrong, cure = stops[0].message, stops[0].cure
    elif broken:
        wrong, cure = f"{broken[0].name} of {broken[0].about}: {broken[0].bound or 'bound broken'}", broken[0].cure
    powered = [d for d in door.devices.values() if d.sheet.is_ in ("controller", "lock")]
    early = _early(site, wiring)
    lives = {kind: _lives(site, door, [d for d in powered if d.sheet.is_ == kind], early) for kind in ("controller", "lock")}
    kinds = {kind: how for kind, how in lives.items() if how is not None}
    logic = logic_of(site, door, wiring)
    mine = [d.ref for d in powered if d.sheet.is_ == "controller"]
    runs = all(logic.alive(Case("fire"), ref) for ref in mine)
    devices, metres = _parts(offers, door, wiring)
    return Judged(
        candidate=candidate,
        passes=not stops and not broken,
        wrong=wrong,
        cure=cure,
        figures=bounded,
        mains=_mains(kinds, wiring, [d for d in powered if d.ref in early]),
        fire=_fire(wiring) + ("" if runs else "; the controller goes dark"),
        on_battery=sum(kinds.values()),
        as_wanted=all(b.gives.get(state) == want for b in wiring.behaviours for state, want in b.wanted.items()),
        runs_in_fire=runs,
        devices=devices,
        metres=metres,
    )


def _limited(judged: Sequence[Judged]) -> tuple[Judged, ...]:
    """With the tightest of the figures that differ between the ways: what all have alike the feed does not decide."""
    sets = [{_key(f) for f in one.figures} for one in judged if one.figures]
    alike = set.intersection(*sets) if len(sets) > 1 else set()
    return tuple(replace(one, limiting=_tightest(one, alike)) for one in judged)


def _key(figure: Figure) -> tuple[str, str, str, float]:
    return (figure.topic, figure.name, figure.about, round(figure.margin or 0.0, 9))


def _tightest(one: Judged, alike: set[tuple[str, str, str, float]]) -> Figure | None:
    electrical = (f for f in one.figures if f.topic not in MOUNTING and _key(f) not in alike)
    return min(electrical, key=lambda f: (f.margin or 0.0, f.name, f.about), default=None)


# ---- mains failure and fire ------------------------------------------------------------------------------------------


def _early(site: Site, wiring: Wiring) -> frozenset[str]:
    """Devices that their battery leaves before it is at its end: it then gives less than they take.  Drop comes on top."""
    found = set()
    for at in supplied(site, wiring, Copper(wiring)):
        end = output_on_battery(site, at.source, at.output)
        if end and at.load.range and end.least < at.load.range.least:
            found.add(at.device)
    return frozenset(found)


def _lives(site: Site, door: Door, devices: Sequence[Device], early: frozenset[str]) -> bool | None:
    """Whether all that the devices take in is backed by a battery to its end; None where none of them takes anything."""
    fed = [d for d in devices if any(r.kind == "from" for r in d.relations)]
    return all(d.ref not in early and _backed(site, door, d, frozenset()) for d in fed) if fed else None


def _backed(site: Site, door: Door, device: Device, seen: frozenset[str]) -> bool:
    """Whether one of its inlets leads back to an output that goes on from a battery."""
    inlets = [r.target for r in device.relations if r.kind == "from" and not r.target.word]
    for target in inlets:
        up = door.devices.get(target.device) or site.shared.get(target.device)
        if up is None or up.ref in seen:
            continue
        outputs = [g for g in up.sheet.groups.values() if isinstance(g, Gives | Jack | Takes)]
        named = [g for g in outputs if target.group in (None, g.name)]
        if any(isinstance(g, Gives) and (g.on_battery or g.capacity) for g in named) or _backed(
            site, door, up, seen | {up.ref}
        ):
            return True
    return False


def _mains(lives: dict[str, bool], wiring: Wiring, early: Sequence[Device]) -> str:
    told = [f"{kind} {'runs on its battery' if on else 'goes dead'}" for kind, on in lives.items()]
    if lives.get("lock") is False:
        done = sorted({b.gives["power-dead"] for b in wiring.behaviours if "power-dead" in b.gives})
        told += [f"the lock is then {' or '.join(done)}"] if done else []
    told += [f"{d.ref} goes before its battery is at its end" for d in early]
    return "; ".join(told) or "nothing of the door is powered"


def _fire(wiring: Wiring) -> str:
    told = []
    for b in wiring.behaviours:
        gives = b.gives.get("fire", "")
        by = [f"{link.device}.{link.group}" for link, group in links_behind(wiring, b.lock) if mentions(group, "fire")]
        if gives == "free" and b.powered.get("idle") and not b.powered.get("fire"):
            how = f"by {', '.join(dict.fromkeys(by))} in its circuit" if by else "its supply drops"
            told.append(f"{b.lock} freed: {how}")
        else:
            told.append(f"{b.lock} {gives}")
    return "; ".join(dict.fromkeys(told)) or "no lock"


# ---- parts -----------------------------------------------------------------------------------------------------------


def _parts(offers: Offers, door: Door, wiring: Wiring) -> tuple[dict[str, int], dict[str, float]]:
    """What it takes more (or, below 0, less) than the door as written: devices by type, metres of cable by type."""
    written = offers.written
    devices = Counter(d.sheet.type for d in door.devices.values())
    devices.subtract(d.sheet.type for d in offers.door.devices.values())
    metres: Counter[str] = Counter()
    for sign, one in ((1, wiring), (-1, written)):
        for type_, length in [(c.sheet.type, c.length) for c in one.cables.values()] + [
            (k.sheet.type, k.length) for k in one.links
        ]:
            metres[type_] += sign * round(length * 1000)  # whole millimetres: what cancels, cancels to 0
    counted = {name: count for name, count in sorted(devices.items()) if count}
    return counted, {name: mm / 1000 for name, mm in sorted(metres.items()) if mm}

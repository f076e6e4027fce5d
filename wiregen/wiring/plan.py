"""What is to be joined, before any copper is laid: circuits, choice of contacts, calmers and the termination table."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, replace

from wiregen.reading.model import Changeover, Door, Problem, Site, SpecError
from wiregen.reading.shared import SITE
from wiregen.reading.view import Views
from wiregen.wiring import behaviour, calmers, contradictions, explicit, lines
from wiregen.wiring.cast import Cast
from wiregen.wiring.circuits import Circuits
from wiregen.wiring.fitting import At
from wiregen.wiring.joins import Join
from wiregen.wiring.logic import Logic
from wiregen.wiring.model import Calmer, End, Remark
from wiregen.wiring.names import Names
from wiregen.wiring.table import Table

AFTER_OWN = 1000  # joins that come from doors stand after the site's own


@dataclass(frozen=True)
class Plan:
    cast: Cast
    circuits: Circuits
    chosen: behaviour.Choice
    names: Names
    picks: tuple[calmers.Pick, ...]
    calmed: tuple[Calmer, ...]
    table: Table
    joins: tuple[Join, ...]
    settings: Mapping[str, Mapping[str, str]]  # chosen by wiring, by device
    remarks: tuple[Remark, ...]


def refuse(problems: Iterable[Problem]) -> None:
    """Raise SpecError if there are problems, each once, in order of place."""
    found = sorted(set(problems), key=lambda p: (p.where, p.path, p.wrong))
    if found:
        raise SpecError(tuple(found))


def plan_door(site: Site, door: Door) -> Plan:
    """The plan of one door.  Raises SpecError with every problem found."""
    cast = Cast(site, door)
    circuits = Circuits(cast, [*cast.own, *cast.shared()], site.house)
    refuse(circuits.problems)
    found, remarks = contradictions.found(circuits)
    chosen = behaviour.choose(door, cast, circuits)
    names = Names(site.house.letters, {*site.shared, *cast.own, *door.cables})
    picks, calmed, calm_remarks, calm_problems = calmers.pick(cast, site, names)
    refuse([*found, *chosen.problems, *calm_problems])
    table = Table(cast, circuits, chosen.logic, picks, names)
    joins, problems = explicit.apply(cast, door, table.joins)
    refuse([*table.problems, *problems])
    settings, line_remarks = _settings(circuits, chosen)
    remarks = [*remarks, *calm_remarks, *chosen.remarks, *line_remarks]
    return Plan(cast, circuits, chosen, names, tuple(picks), tuple(calmed), table, tuple(joins), settings, tuple(remarks))


def plan_site(site: Site) -> Plan:
    """The plan of what is shared, with what the doors' relations join between shared devices (L9).

    Each door is planned as it sees the site.  Those that cannot be planned are left out: their problems are their own.
    """
    cast = Cast(site, None)
    circuits = Circuits(cast, cast.own, site.house)
    refuse(circuits.problems)
    found, remarks = contradictions.found(circuits)
    names = Names(site.house.letters, site.shared)
    picks, calmed, calm_remarks, problems = calmers.pick(cast, site, names)
    refuse([*found, *problems])
    sides: dict[At, str] = {}
    senses: dict[At, str] = {}
    heavy: set[At] = set()
    more: list[Join] = []
    views = Views(site)
    for number, door in enumerate(site.doors.values()):
        if not _joins_shared(site, door):
            continue
        try:
            plan = plan_door(views.of(door.id), door)
        except SpecError:
            continue
        for known, chosen in ((sides, plan.chosen.sides), (senses, plan.chosen.senses)):
            for at, value in chosen.items():
                if plan.cast.is_shared(at.device):
                    known.setdefault(_bare_at(at), value)
        heavy |= {_bare_at(at) for at in plan.table.heavy_contacts if plan.cast.is_shared(at.device)}
        more += [
            replace(join, a=_bare(join.a), b=_bare(join.b), order=(AFTER_OWN + number, *join.order))
            for join in plan.table.between_shared
        ]
    chosen_all = behaviour.Choice(sides, senses, (), (), (), Logic(circuits, sides, senses))
    table = Table(cast, circuits, chosen_all.logic, picks, names, frozenset(heavy))
    refuse(table.problems)
    settings, line_remarks = _settings(circuits, chosen_all)
    remarks = [*remarks, *calm_remarks, *line_remarks]
    joins = (*table.joins, *more)
    return Plan(cast, circuits, chosen_all, names, tuple(picks), tuple(calmed), table, joins, settings, tuple(remarks))


def _joins_shared(site: Site, door: Door) -> bool:
    """True if the door's relations may join two shared devices: one feeds, and a contact or drive of another is in the way."""
    return any(
        target.device in site.shared and target.device not in door.devices
        for device in door.devices.values()
        for relation in device.relations
        if relation.kind == "through" or (relation.kind == "obeys" and any(r.kind == "from" for r in device.relations))
        for target in relation.targets
    )


def _settings(circuits: Circuits, chosen: behaviour.Choice) -> tuple[dict[str, dict[str, str]], list[Remark]]:
    """Senses of relays and line-end resistors that wiring chose."""
    settings: dict[str, dict[str, str]] = {}
    for at, sense in chosen.senses.items():
        name = circuits.of(at, Changeover).sense
        if name is not None:
            settings.setdefault(at.device, {})[name] = sense
    resistors, remarks = lines.resistors(circuits)
    for device, word in resistors.items():
        settings.setdefault(device, {})[lines.SETTING] = word
    return settings, remarks


def _bare(end: End) -> End:
    return End(end.device.removeprefix(f"{SITE}/"), end.terminal)


def _bare_at(at: At) -> At:
    return At(at.device.removeprefix(f"{SITE}/"), at.group)

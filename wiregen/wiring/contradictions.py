"""What the relations of a door say twice or against one another."""

from __future__ import annotations

from wiregen.reading.model import Contact, Problem, Relation
from wiregen.wiring.circuits import Circuits
from wiregen.wiring.fitting import At
from wiregen.wiring.logic import IDLE, Logic
from wiregen.wiring.model import Remark


def found(circuits: Circuits) -> tuple[list[Problem], list[Remark]]:
    return [*_said_twice(circuits), *_used_twice(circuits)], _side_by_side(circuits)


def _said_twice(circuits: Circuits) -> list[Problem]:
    seen: dict[frozenset[At], Relation] = {}
    problems = []
    for fit in circuits.fits:
        if fit.relation.kind not in ("tells", "obeys", "speaks", "earths") or not circuits.cast.is_own(fit.own.device):
            continue
        pair = frozenset((fit.own, fit.target))
        first = seen.setdefault(pair, fit.relation)
        if first is not fit.relation:
            problems.append(
                Problem(
                    fit.relation.where,
                    f"devices, {fit.own.device}, {fit.relation.kind}",
                    f"{fit.own} and {fit.target} are joined twice, here and at {first.where}",
                    "a relation is written once, at the device nearer the door: leave one of the two out",
                )
            )
    return problems


def _used_twice(circuits: Circuits) -> list[Problem]:
    """A contact serves one circuit.  Chains of one source may share their beginning, not more."""
    users: dict[At, list[tuple[str, At, Relation]]] = {}

    def note(at: At, circuit: str, load: At, relation: Relation) -> None:
        known = users.setdefault(at, [])
        if all(circuit != other for other, _, _ in known):
            known.append((circuit, load, relation))

    for feed in circuits.feeds.values():
        if feed.fit is None:
            continue
        for pole, places in (("plus", feed.plus), ("minus", tuple(reversed(feed.minus)))):
            sofar = f"{feed.source} {pole}"
            for place in places:
                for step in place:
                    note(step.at, sofar, feed.load, feed.fit.relation)
                sofar += ", " + " or ".join(f"{step.at} {step.side}" for step in place)
    for at, ways in circuits.inputs.items():
        for way in ways:
            for step, fit in way.steps:
                note(step.at, f"input {at}", at, fit.relation)
    return [
        Problem(
            relation.where,
            f"devices, {load.device}",
            f"{at} stands in two circuits, that of {uses[0][1]} and that of {load}: it would join them",
            "use another contact or pole for one of them, or a relay with more poles",
        )
        for at, uses in users.items()
        for _, load, relation in uses[1:]
        if any(circuits.cast.is_own(user.device) for _, user, _ in uses)
    ]


def _side_by_side(circuits: Circuits) -> list[Remark]:
    """Contacts that are closed in idle, side by side on one input: the input sees nothing until all have opened."""
    logic = Logic(circuits, {}, {})
    remarks = []
    for at, ways in circuits.inputs.items():
        if len(ways) < 2:
            continue
        closed = [
            way.steps[0][0].at
            for way in ways
            if way.drive is None
            and way.steps
            and isinstance(circuits.group(way.steps[0][0].at), Contact)
            and all(logic.closed(IDLE, step) for step, _ in way.steps)
        ]
        if closed and any(circuits.cast.is_own(one.device) for one in closed):
            names = ", ".join(map(str, closed))
            other = next(way.steps[0][0].at for way in ways if way.steps and way.steps[0][0].at != closed[0])
            remarks.append(
                Remark(
                    f"{names} closed in idle and side by side with others on {at}, which then sees none of them open; "
                    f"in series it would be {other.device}: {{tells: {closed[0].device}}}",
                    next(way.fit.relation.where for way in ways if way.steps and way.steps[0][0].at == closed[0]),
                    "contacts-in-parallel",
                )
            )
    return remarks

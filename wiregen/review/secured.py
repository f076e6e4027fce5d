"""What a stranger can reach must not open the door (trade list: lock relay or exit input on the attack side).

Told are the door and the cure, never what there is to join or cut: that stands in no packet, record or log.

Four questions: is a piece of a lock circuit behind one of its contacts in reach; does the supply of a lock that opens without
it run where it can be cut; does an input in reach free something; and, with every output shorted that goes outside, does a
lock let go that is held at rest?
"""

from __future__ import annotations

from collections.abc import Iterator

from wiregen.reading.model import DataSheet, Gives, Input, Line, Takes
from wiregen.review.contacts import conditions
from wiregen.review.paste import add_device
from wiregen.review.reach import Reach
from wiregen.review.rule import Case, Found, Job, door_rule, site_rule
from wiregen.review.sensing import MASK, UNLOCK
from wiregen.review.struck import Struck, freed
from wiregen.wiring.fitting import At
from wiregen.wiring.model import Chain, End

RUNS_ON = "alone"  # in an output's `overload`: its short leaves the rest of the device running
MESSAGE = "the door does not withstand tampering from the unsecured side"


@door_rule("secured-side", "stop", "nothing that a stranger can reach opens the door", approvable=False)
def secured_side(case: Case) -> Iterator[Found]:
    reach = Reach(case)
    told: set[str] = set()
    for ref, kind, cure in (*_circuits(case, reach), *_inputs(case, reach)):
        if cure not in told:
            told.add(cure)
            yield Found(case.at(ref, kind), MESSAGE, cure)


def _circuits(case: Case, reach: Reach) -> Iterator[tuple[str, str | None, str]]:
    for chain in case.wiring.chains:
        if not _works_a_lock(case, chain.load):
            continue
        outside = next((link.device for link in chain.links if case.wiring.devices[link.device].exposed), None)
        if outside is not None:
            yield chain.load, "through", _board_cure(case, chain, outside)
        elif _behind(case, reach, chain) or _cut(case, reach, chain):
            yield chain.load, "through", (
                f"{chain.load} and its circuit, supply and all, in secured places only (`exposed`, `at`, `runs`)"
            )


def _works_a_lock(case: Case, ref: str, seen: frozenset[str] = frozenset()) -> bool:
    """A lock or machine, or a relay whose contact stands in the circuit of one."""
    if case.wiring.devices[ref].sheet.is_ in ("lock", "machine"):
        return True
    switched = {c.load for c in case.wiring.chains if any(link.device == ref for link in c.links)} - seen - {ref}
    return any(_works_a_lock(case, load, seen | {ref}) for load in switched)


def _poles(case: Case, chain: Chain) -> tuple[End, End]:
    source = case.wiring.devices[chain.source].sheet.groups[chain.source_group]
    first, second = getattr(source, "first", None), getattr(source, "second", None)
    return End(chain.source, first or ""), End(chain.source, second or "")


def _behind(case: Case, reach: Reach, chain: Chain) -> bool:
    """Whether something is in reach that only a contact of this circuit parts from the source."""
    poles = {case.copper.root(pole) for pole in _poles(case, chain)}
    ends = (end for link in chain.links for end in (link.enters, link.leaves))
    return any(reach.has(end) and case.copper.root(end) not in poles for end in ends)


def _cut(case: Case, reach: Reach, chain: Chain) -> bool:
    """Whether a lock that opens without power loses it when everything outside is cut."""
    lock = case.wiring.devices[chain.load].sheet
    load = lock.groups[chain.load_group]
    if lock.unpowered != "free" or not isinstance(load, Takes):
        return False
    ends = [*_poles(case, chain), End(chain.load, load.first or ""), End(chain.load, load.second or "")]
    ends += [end for link in chain.links for end in (link.enters, link.leaves)]
    return any(case.copper.same(a, b) and not reach.uncut.same(a, b) for a in ends for b in ends if a < b)


def _board_cure(case: Case, chain: Chain, outside: str) -> str:
    """A contact inside that obeys only a coded message, from a data sheet that the site has."""
    groups = case.wiring.devices[outside].sheet.groups
    coded = next((n for n, g in groups.items() if isinstance(g, Line) and g.protocol == "coded"), None)
    boards = sorted(
        (sheet.type, contact)
        for sheet in case.site.sheets.values()
        if isinstance(sheet, DataSheet) and (contact := _coded_contact(sheet))
    )
    if coded is None or not boards:
        return f"the contact that switches {chain.load} in a secured place, worked over a coded line"
    (type_, contact), *_ = boards
    power = next((f", from: {outside}.{n}" for n, g in groups.items() if isinstance(g, Gives)), "")
    ref, yaml = add_device(case, "K", type_, more=f"{power}, obeys: {outside}.{coded}")
    return f"{yaml}\n{chain.load}: {{through: [{ref}.{contact}]}}"


def _coded_contact(sheet: DataSheet) -> str:
    """The contact of a board that a coded line of its own works."""
    coded = {n for n, g in sheet.groups.items() if isinstance(g, Line) and g.protocol == "coded"}
    return next((n for n, g in sheet.groups.items() if any(coded & set(c.any_of) for c in conditions(g))), "")


def _inputs(case: Case, reach: Reach) -> Iterator[tuple[str, str | None, str]]:
    for ref, device in case.wiring.devices.items():
        for name, group in device.sheet.groups.items():
            if not isinstance(group, Input) or not reach.has(End(ref, group.in_)):
                continue
            if _opens(case, At(ref, name)):
                if UNLOCK in device.sheet.settings.get(name, ()):
                    mask = f"{ref}: {{set: {{{name}: {MASK}}}}}"
                    yield ref, None, f"{mask}, and a handle or a contact in the lock's own circuit to leave by"
                else:
                    yield ref, "obeys", f"{ref}, what works its {name}, and the leads between in secured places only"


def _opens(case: Case, input_: At) -> bool:
    return bool(freed(case, Struck(case.logic, active={input_})))


@door_rule("crosses-outside", "note", "what crosses to the unsecured side and may cross is listed")
def crosses_outside(case: Case) -> Iterator[Found]:
    reach = Reach(case)
    crossing = list(dict.fromkeys(_may_cross(case, reach)))
    if crossing:
        yield Found(
            case.key("exposed"),
            f"may cross to the unsecured side: {', '.join(crossing)}",
            "nothing to do: try at commissioning that the door stays held with the device outside taken off its wall",
        )


def _may_cross(case: Case, reach: Reach) -> Iterator[str]:
    """Supplies of locks that hold without them and are switched inside, coded links, and inputs that only report."""
    for chain in case.wiring.chains:
        lock = case.wiring.devices[chain.load].sheet
        if lock.is_ == "lock" and lock.unpowered == "held" and reach.has(_poles(case, chain)[0]):
            yield f"the supply of {chain.load} (holds without it, switched inside)"
    for ref, device in case.wiring.devices.items():
        for name, group in () if device.exposed else device.sheet.groups.items():
            if isinstance(group, Line) and group.protocol == "coded" and reach.has(End(ref, next(iter(group.roles.values())))):
                yield f"the coded link of {ref}"
            elif isinstance(group, Input) and reach.has(End(ref, group.in_)) and not _opens(case, At(ref, name)):
                yield f"what {ref}.{name} is told (it only reports)"


@site_rule("secured-supply", "stop", "no output that goes outside holds up a lock that opens without it")
def secured_supply(job: Job) -> Iterator[Found]:
    """Each door with its own outputs outside shorted, and those shared ones that any door takes outside."""
    shorted = {door: set(_shorted(case)) for door, case in job.cases.items()}
    shared = {(at, runs_on) for found in shorted.values() for at, runs_on in found if at.device in job.site.shared}
    for door, case in job.cases.items():
        lost = {at for at, _ in shorted[door] | shared}
        dead = {at.device for at, runs_on in shorted[door] | shared if not runs_on}
        for lock in freed(case, Struck(case.logic, lost=lost, dead=dead)):
            yield Found(
                case.at(lock, "from"),
                MESSAGE,
                f"{lock}, and what switches it, on supplies that do not go outside; or what hangs outside on an output whose "
                f"limit leaves the rest running (`overload: folds {RUNS_ON}`, or a fuse)",
                doors=(door,),
            )


def _shorted(case: Case) -> Iterator[tuple[At, bool]]:
    """The outputs whose two poles are in reach, and whether their device runs on with them shorted."""
    reach = Reach(case)
    for ref, device in case.wiring.devices.items():
        for name, group in device.sheet.groups.items():
            if isinstance(group, Gives) and group.first and group.second:
                poles = End(ref, group.first), End(ref, group.second)
                if all(case.copper.landed(pole) and reach.has(pole) for pole in poles):
                    yield At(ref, name), group.limit_kind == "fuse" or RUNS_ON in (group.overload or "").split()


RULES = (secured_side, crosses_outside, secured_supply)

"""What a stranger can reach must not open the door (trade list: lock relay or exit input on the attack side).

Told are the door and the cure, never what there is to join or cut: that stands in no packet, record or log.  Whether anything
opens the door was tried on its network (`wiregen.attacks`); what one door takes outside of an output that holds up another's
lock is asked of the site.
"""

from __future__ import annotations

from collections.abc import Iterator

from wiregen.attacks.reach import Reach
from wiregen.reading.model import Gives, Input, Line, Site
from wiregen.review.rule import Case, Found, Job, door_rule, site_rule
from wiregen.states.struck import WHOLE, Strike, Struck
from wiregen.wiring.fitting import At
from wiregen.wiring.logic import IDLE
from wiregen.wiring.model import Chain, End

RUNS_ON = "alone"  # in an output's `overload`: its short leaves the rest of the device running
MESSAGE = "the door does not withstand tampering from the unsecured side"
PROVED = "tried again with it: no attack of one step from outside opens the door"


@door_rule("secured-side", "stop", "nothing that a stranger can reach opens the door", approvable=False)
def secured_side(case: Case) -> Iterator[Found]:
    tried, cured = case.study.tried, case.study.cured
    if tried is None or not tried.successes:
        return
    if cured is None or not cured.proved or not cured.mends:
        locks = list(dict.fromkeys(ref for s in tried.successes for ref, _ in s.lets_go))
        what = ", ".join(locks) or "what frees it"
        cure = (
            f"{what}, its circuit, supply and all, in secured places only (`exposed`, `at`, `runs`), switched there by a "
            "contact that obeys nothing but a coded message"
        )
        yield Found(case.at(locks[0], "through") if locks else case.key("exposed"), MESSAGE, cure)
        return
    proof = PROVED if len(cured.mends) == 1 else f"{PROVED}, if all {len(cured.mends)} changes are made"
    for mend in cured.mends:
        yield Found(case.at(mend.ref, mend.kind), MESSAGE, f"{mend.cure}\n({proof})")


@door_rule("crosses-outside", "note", "what crosses to the unsecured side and may cross is listed")
def crosses_outside(case: Case) -> Iterator[Found]:
    crossing = list(dict.fromkeys(_may_cross(case, _reach(case))))
    if crossing:
        yield Found(
            case.key("exposed"),
            f"may cross to the unsecured side: {', '.join(crossing)}",
            "nothing to do: try at commissioning that the door stays held with the device outside taken off its wall",
        )


def _reach(case: Case) -> Reach:
    return Reach(case.site, case.door, case.wiring, case.copper)


def _may_cross(case: Case, reach: Reach) -> Iterator[str]:
    """Supplies of locks that hold without them and are switched inside, coded links, and inputs that only report."""
    for chain in case.wiring.chains:
        lock = case.wiring.devices[chain.load].sheet
        if lock.is_ == "lock" and lock.unpowered == "held" and reach.has(_plus(case, chain)):
            yield f"the supply of {chain.load} (holds without it, switched inside)"
    for ref, device in case.wiring.devices.items():
        for name, group in () if device.exposed else device.sheet.groups.items():
            if isinstance(group, Line) and group.protocol == "coded" and reach.has(End(ref, next(iter(group.roles.values())))):
                yield f"the coded link of {ref}"
            elif isinstance(group, Input) and reach.has(End(ref, group.in_)) and not _frees(case, At(ref, name)):
                yield f"what {ref}.{name} is told (it only reports)"


def _plus(case: Case, chain: Chain) -> End:
    source = case.wiring.devices[chain.source].sheet.groups[chain.source_group]
    return End(chain.source, getattr(source, "first", None) or "")


def _frees(case: Case, input_: At) -> bool:
    return bool(freed(case, Strike(active=frozenset({input_}))))


def freed(case: Case, strike: Strike) -> tuple[str, ...]:
    """The locks, and machines that can be freed, that are held at rest and no longer are once the door is struck."""
    loads = [At(behaviour.lock, behaviour.group) for behaviour in case.wiring.behaviours]
    whole, struck = Struck(case.logic, WHOLE), Struck(case.logic, strike)
    return tuple(
        load.device for load in loads if whole.lock_is(IDLE, load) == "held" and struck.lock_is(IDLE, load) == "free"
    )


@site_rule("secured-supply", "stop", "no output that goes outside holds up a lock that opens without it")
def secured_supply(job: Job) -> Iterator[Found]:
    """Those shared outputs that any door takes outside, shorted for all."""
    found = {one for case in job.cases.values() for one in _shorted(case, job.site)}
    strike = Strike(
        lost=frozenset(at for at, _ in found), dead=frozenset(at.device for at, runs_on in found if not runs_on)
    )
    for door, case in job.cases.items() if found else ():
        opened = {lock for s in case.study.tried.successes for lock, _ in s.lets_go} if case.study.tried else set()
        for lock in freed(case, strike):
            if lock not in opened:  # that is told already, with its cure
                yield Found(
                    case.at(lock, "from"),
                    MESSAGE,
                    f"{lock}, and what switches it, on supplies that do not go outside; or what hangs outside on an output "
                    f"whose limit leaves the rest running (`overload: folds {RUNS_ON}`, or a fuse)",
                    doors=(door,),
                )


def _shorted(case: Case, site: Site) -> Iterator[tuple[At, bool]]:
    """The shared outputs whose two poles are in reach, and whether their device runs on with them shorted."""
    reach: Reach | None = None
    for ref, device in case.wiring.devices.items():
        for name, group in device.sheet.groups.items() if ref in site.shared else ():
            if isinstance(group, Gives) and group.first and group.second:
                poles = End(ref, group.first), End(ref, group.second)
                if all(map(case.copper.landed, poles)):
                    reach = reach or _reach(case)
                    if all(map(reach.has, poles)):
                        yield At(ref, name), group.limit_kind == "fuse" or RUNS_ON in (group.overload or "").split()


RULES = (secured_side, crosses_outside, secured_supply)
CODES = frozenset({secured_side.code, secured_supply.code})

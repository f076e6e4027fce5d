"""The state table of a door: each state that can occur at it, settled with its network, and what its locks then do."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace

from wiregen.reading.model import Band, Door, Site
from wiregen.states.happenings import Happening, entering, happenings, leaving, ways
from wiregen.states.model import Doing, DoorStates, LockDoes, LockIs
from wiregen.states.settle import Point, Settled, Settler
from wiregen.states.struck import Struck
from wiregen.states.verdict import both, enter_is, leave_is, lock_is, passable
from wiregen.study.at_once import at_once
from wiregen.study.circuit import Circuit, Modelled, modelled
from wiregen.study.worst import Amps, Asked, Volts, bands
from wiregen.wiring.fitting import At
from wiregen.wiring.model import Chain, End, Wiring

ON = " on"  # ends the name of a contact that stands for an output, or a relay's coil, being on


@dataclass(frozen=True)
class Turn:
    """A point of a happening; `lock` is the one of a bank whose turn it is, where not all of a bank may be on at once."""

    happening: Happening
    lock: str | None
    point: Point


def turns(door: Door, chains: Sequence[Chain], settler: Settler, happening: Happening) -> Iterator[Turn]:
    logic = Struck(settler.logic, happening.strike)
    closed = settler.circuit.state(logic, happening.case)
    for lock, sole in at_once(door, chains, closed):
        stuck = tuple((name, is_) for name, is_ in sole.items() if is_ != closed[name])
        yield Turn(happening, lock, Point(happening.case, replace(happening.strike, stuck=stuck)))


def settler_of(site: Site, door: Door, wiring: Wiring, shared: Wiring | None, model: Modelled | None = None) -> Settler:
    """Settles points of this door; `shared` is what the site wires for all, `model` that of the door where there is one."""
    model = model or modelled(site, door, wiring, shared)
    return Settler(model.circuit, model.logic, [end.input for end in wiring.line_ends])


def locks_of(wiring: Wiring) -> tuple[At, ...]:
    return tuple(At(behaviour.lock, behaviour.group) for behaviour in wiring.behaviours)


def locks_do(
    settled: Settled,
    rows: Sequence[tuple[Turn, int]],
    locks: Sequence[At],
    before: Mapping[At, LockIs],
    volts: Mapping[At, float] | None = None,
) -> dict[At, LockIs]:
    """What each lock does in a happening: in the turn that is its own where a bank takes turns.  `before`: what those did that
    stay as they were.  `volts` at the locks where they are not those that were settled."""
    gauge, found = settled.gauge, {}
    for lock in locks:
        turn, row = next(((t, n) for t, n in rows if t.lock == lock.device), rows[0])
        column = gauge.loads.index(lock) if lock in gauge.loads else None
        need = gauge.needs[column] if column is not None else None
        dead = column is None or lock in turn.point.strike.unfed
        at_it = 0.0 if dead else float(settled.load_volts[row, column])
        if volts is not None and lock in volts:
            at_it = volts[lock]
        found[lock] = lock_is(settled.logics[row], turn.point.case, lock, need, at_it, before.get(lock, "not certain"))
    return found


def door_states(door: Door, wiring: Wiring, settler: Settler) -> DoorStates:
    """Raises NotSolved where a state has no operating point that can be found."""
    locks = locks_of(wiring)
    of_ways = ways(door, settler.logic, locks)
    named = happenings(door, settler.logic, of_ways, locks)
    asked = [one for state in named for one in (state, *_used(state, of_ways), entering(state))]
    all_turns = [turn for one in asked for turn in turns(door, wiring.chains, settler, one)]
    settled = settler.settle([turn.point for turn in all_turns])
    rows: dict[str, list[tuple[Turn, int]]] = {}
    for n, turn in enumerate(all_turns):
        rows.setdefault(turn.happening.name, []).append((turn, n))
    done = {name: locks_do(settled, of, locks, {}) for name, of in rows.items()}
    worst = _bands(settler.circuit, settled, [n for state in named for _, n in rows[state.name]], locks)
    found = []
    for state in named:
        own = rows[state.name]
        told = {lock: _told(settled, own, lock, worst) for lock in locks}
        used = [passable(done[one.name].values()) for one in _used(state, of_ways)]
        as_is = passable(does.does for does in told.values())
        found.append(
            Doing(
                state=state.name,
                locks={lock.device: does for lock, does in told.items()},
                leave=leave_is(door.leave_by, as_is, used),
                enter=enter_is(as_is, passable(done[entering(state).name].values())),
                contacts=tuple(c for c in _moved(settled, rows["idle"][0][1], own) if not c[0].endswith(ON)),
                told=_told_of(settled, rows["idle"][0][1], own),
                off=_off(settled, rows["idle"][0][1], own),
                dark=_dark(settled, rows["idle"][0][1], own),
                swings=tuple(dict.fromkeys(name for _, n in own for name in settled.swings[n])),
            )
        )
    return DoorStates(door.id, tuple(found))


def _moved(settled: Settled, at_rest: int, rows: Sequence[tuple[Turn, int]]) -> tuple[tuple[str, bool], ...]:
    """Contacts that stand otherwise than at rest, in the turn of any of a bank."""
    whole = settled.contacts[at_rest]
    changed = {name: closed for _, row in rows for name, closed in settled.contacts[row].items() if closed != whole[name]}
    return tuple(changed.items())


def _off(settled: Settled, at_rest: int, rows: Sequence[tuple[Turn, int]]) -> tuple[str, ...]:
    """Outputs that give nothing, having given at rest."""
    outputs = {f"{at}{ON}": str(at) for at in settled.gauge.circuit.sources}
    return tuple(outputs[name] for name, closed in _moved(settled, at_rest, rows) if name in outputs and not closed)


def _told_of(settled: Settled, at_rest: int, rows: Sequence[tuple[Turn, int]]) -> tuple[tuple[str, bool], ...]:
    """Inputs that read otherwise than at rest."""
    _, row = rows[0]
    differs = [n for n, active in enumerate(settled.active[row]) if active != settled.active[at_rest][n]]
    return tuple((str(settled.gauge.inputs[n]), bool(settled.active[row][n])) for n in differs)


def _dark(settled: Settled, at_rest: int, rows: Sequence[tuple[Turn, int]]) -> tuple[str, ...]:
    """Loads without power that have it at rest."""
    _, row = rows[0]
    return tuple(
        str(at) for n, at in enumerate(settled.gauge.loads) if settled.on[at_rest][n] and not settled.on[row][n]
    )  # fmt: skip


def _used(state: Happening, of_ways: Sequence[Happening]) -> list[Happening]:
    return [] if state.way else [leaving(state, way) for way in of_ways]


Bands = Mapping[tuple[int, At], tuple[Band, Band]]


def _bands(circuit: Circuit, settled: Settled, rows: Sequence[int], locks: Sequence[At]) -> Bands:
    """Volts and amps of each lock in these rows, least and most."""
    loads = [(lock, pair) for lock in locks if lock in circuit.loads and (pair := poles(circuit, lock))]
    asked: list[Asked] = [one for lock, pair in loads for one in (Volts(*pair), Amps(circuit.loads[lock]))]
    if not asked:
        return {}
    told = bands(circuit, [settled.contacts[n] for n in rows], asked)
    return {
        (row, lock): (told[2 * k][n], told[2 * k + 1][n]) for k, (lock, _) in enumerate(loads) for n, row in enumerate(rows)
    }


def poles(circuit: Circuit, lock: At) -> tuple[End, End] | None:
    group = circuit.sheets[lock.device].groups[lock.group]
    first, second = End(lock.device, getattr(group, "first", "") or ""), End(lock.device, getattr(group, "second", "") or "")
    ends = circuit.nodes.get(first), circuit.nodes.get(second)
    return (ends[0], ends[1]) if ends[0] is not None and ends[1] is not None else None


def _told(settled: Settled, rows: Sequence[tuple[Turn, int]], lock: At, worst: Bands) -> LockDoes:
    turn_rows = [one for one in rows if one[0].lock == lock.device] or list(rows)[:1]
    band = worst.get((turn_rows[0][1], lock))
    if band is None:
        return LockDoes(locks_do(settled, turn_rows, (lock,), {})[lock])
    least, most = (locks_do(settled, turn_rows, (lock,), {}, {lock: v})[lock] for v in (band[0].least, band[0].most))
    return LockDoes(both(least, most), *band)

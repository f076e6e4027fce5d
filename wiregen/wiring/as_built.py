"""What was found on the wall, laid over the design: another core, another length, another terminal of the same potential.

An end that is landed where the design has something else stays as designed and is remembered as off: all figures of the door
would else be those of a door that nobody meant.  The review tells it.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import replace

from wiregen.reading.model import AsBuilt, Door, Problem, Target
from wiregen.reading.schema import offered, suggestion
from wiregen.wiring.colours import core_colour
from wiregen.wiring.model import Built, Cable, Conductor, End, Unused, Wiring
from wiregen.wiring.plan import refuse
from wiregen.wiring.potentials import Joined


def corrected(door: Door, wiring: Wiring) -> Wiring:
    """The wiring with the door's as-built corrections.  Raises SpecError with each that does not fit the design."""
    if not door.as_built:
        return wiring
    problems: list[Problem] = []
    entries: dict[str, AsBuilt] = {}
    conductors = {conductor.wire: conductor for conductor in wiring.conductors}
    for entry in door.as_built:
        if entry.wire not in conductors:
            known = suggestion(entry.wire, conductors) or "the numbers are those of the termination sheet"
            problems.append(_problem(entry, "wire", f"the door has no wire {entry.wire}", known))
        elif entry.wire in entries:
            wrong = f"{entry.wire} is corrected twice"
            instead = f"put it into one entry; the first is in {entries[entry.wire].where}"
            problems.append(_problem(entry, "wire", wrong, instead))
        elif entry.keys.keys() <= {"wire", "by", "date"}:
            problems.append(_problem(entry, "wire", "nothing is said of it", "write from, to, colour, core, length or note"))
        else:
            entries[entry.wire] = entry
    for wire, entry in entries.items():
        conductors[wire] = replace(
            conductors[wire], built=Built(entry.where, note=entry.note or "", by=entry.by or "", date=entry.date or "")
        )
    cables = _recored(wiring.cables, conductors, entries, problems)
    cables = _measured(cables, conductors, entries, problems)
    moves = _landed(wiring, conductors, entries, problems)
    refuse(problems)
    joints = tuple(replace(joint, end=moves.get((joint.wire, joint.end), joint.end)) for joint in wiring.lead_joints)
    made = replace(wiring, conductors=tuple(conductors.values()), cables=cables, lead_joints=joints)
    return _used(made, {at for _, at in moves}) if moves else made


def _problem(entry: AsBuilt, key: str, wrong: str, instead: str) -> Problem:
    return Problem(entry.keys.get(key, entry.where), f"as-built, {entry.wire}, {key}", wrong, instead)


def _already(entry: AsBuilt, key: str, what: str) -> Problem:
    return _problem(entry, key, f"the design has {what} there already", "take the correction out, or write what was found")


def _was(conductor: Conductor, part: str, was: str) -> Built:
    assert conductor.built is not None
    return replace(conductor.built, was=(*conductor.built.was, (part, was)))


# ---- colours and cores -----------------------------------------------------------------------------------------------


def _recored(
    cables: Mapping[str, Cable], conductors: dict[str, Conductor], entries: Mapping[str, AsBuilt], problems: list[Problem]
) -> dict[str, Cable]:
    """The cables with their cores as they were used; conductors are changed in place."""
    made = dict(cables)
    for wire, entry in entries.items():
        old = conductors[wire]
        core = entry.core or (entry.colour if old.cable else None)
        key = "core" if entry.core else "colour"
        if entry.colour == old.colour and entry.core is None:
            problems.append(_already(entry, "colour", f"the colour {old.colour}"))
        elif core is None and entry.colour:  # a single wire, a jumper, a lead
            conductors[wire] = replace(old, colour=entry.colour, built=_was(old, "colour", old.colour))
        elif core is not None and old.cable is None:
            problems.append(_problem(entry, "core", f"{wire} lies in no cable", "write its colour"))
        elif core is not None and core == old.core:
            problems.append(_already(entry, key, f"the core {core}"))
        elif core is not None and old.cable is not None:
            sheet = cables[old.cable].sheet
            if core not in sheet.cores:
                known = offered(sheet.cores, "its cores: ")
                problems.append(_problem(entry, key, f"{old.cable} ({sheet.type}) has no core {core}", known))
                continue
            colour = entry.colour or core_colour(core)
            built = _was(old, "core", old.core or "")
            if colour != old.colour:
                built = replace(built, was=(*built.was, ("colour", old.colour)))
            conductors[wire] = replace(old, core=core, colour=colour, built=built)
    for ref, cable in cables.items():
        users: dict[str, list[str]] = {}
        for conductor in conductors.values():
            if conductor.cable == ref and conductor.core:
                users.setdefault(conductor.core, []).append(conductor.wire)
        for core, wires in users.items():
            moved = [wire for wire in wires if wire in entries and dict(_changes(conductors[wire])).get("core")]
            if len(wires) > 1 and moved:
                entry, others = entries[moved[0]], ", ".join(wire for wire in wires if wire != moved[0])
                wrong = f"the core {core} of {ref} carries {others}"
                free = offered(cable.spares, "spare: ") if cable.spares else "no core is spare"
                problems.append(_problem(entry, "core" if entry.core else "colour", wrong, f"correct that wire too; {free}"))
        made[ref] = replace(cable, cores=tuple((core, next(iter(users.get(core, ())), None)) for core, _ in cable.cores))
    return made


def _changes(conductor: Conductor) -> tuple[tuple[str, str], ...]:
    return conductor.built.was if conductor.built else ()


# ---- lengths ---------------------------------------------------------------------------------------------------------


def _measured(
    cables: Mapping[str, Cable], conductors: dict[str, Conductor], entries: Mapping[str, AsBuilt], problems: list[Problem]
) -> dict[str, Cable]:
    """The cables with the lengths measured; all cores of a cable are as long."""
    made, first = dict(cables), dict[str, AsBuilt]()
    for wire, entry in entries.items():
        if entry.length is None:
            continue
        old = conductors[wire]
        told = first.setdefault(old.cable or wire, entry)
        if told.length is not None and told.length.nominal != entry.length.nominal:
            wrong = f"{old.cable} is {told.length.text} long by {told.wire}"
            problems.append(_problem(entry, "length", wrong, "a cable has one length"))
        elif entry.length.nominal == old.length and entry.length.assumed == old.assumed and told is entry:
            problems.append(_already(entry, "length", entry.length.text))
        assert old.built is not None
        conductors[wire] = replace(old, built=replace(old.built, was_length=(old.length, old.assumed)))
    for of, entry in first.items():
        assert entry.length is not None
        metres, assumed = entry.length.nominal, entry.length.assumed
        if of in made:
            made[of] = replace(made[of], length=metres, assumed=assumed)
        for wire, conductor in conductors.items():
            if of in (conductor.cable, wire):
                conductors[wire] = replace(conductor, length=metres, assumed=assumed)
    return made


# ---- ends ------------------------------------------------------------------------------------------------------------


def _landed(
    wiring: Wiring, conductors: dict[str, Conductor], entries: Mapping[str, AsBuilt], problems: list[Problem]
) -> dict[tuple[str, End], End]:
    """Moves ends, one after another, as long as every terminal stays joined to what the design joins it to; the moves by wire
    and old end."""
    moves = {}
    for wire, entry in entries.items():
        for key, aim in (("from", entry.from_), ("to", entry.to)):
            if aim is None:
                continue
            old = conductors[wire]
            at = old.a if key == "from" else old.b
            end = _end(aim)
            wrong = _unfit(wiring, entry, key, at, end)
            if wrong:
                problems.append(wrong)
                continue
            moved = replace(old, a=end) if key == "from" else replace(old, b=end)
            assert old.built is not None
            if _alike(wiring, conductors.values(), [c for w, c in conductors.items() if w != wire] + [moved], end):
                conductors[wire] = replace(moved, built=_was(old, key, str(at)))
                moves[wire, at] = end
            else:
                conductors[wire] = replace(old, built=replace(old.built, off=(*old.built.off, (key, end))))
    return moves


def _end(aim: Target) -> End:
    return End(f"{aim.door}/{aim.device}" if aim.door else aim.device, aim.terminal or aim.group or "")


def _unfit(wiring: Wiring, entry: AsBuilt, key: str, at: End, end: End) -> Problem | None:
    device = wiring.devices.get(end.device)
    if at.device not in wiring.devices:
        wrong = f"the design joins this end at {at}, in a box: there is no terminal that it could have missed"
        return _problem(entry, key, wrong, "tell it in a note")
    if device is None:
        known = suggestion(end.device, wiring.devices) or offered(wiring.devices, "there are: ")
        return _problem(entry, key, f"there is no {end.device} on the sheets of this door", known)
    marks = [terminal.mark for terminal in device.sheet.terminals]
    if end.terminal not in marks:
        known = suggestion(end.terminal, marks) or offered(marks, "it has: ")
        return _problem(entry, key, f"{end.device} ({device.sheet.type}) has no terminal {end.terminal}", known)
    return _already(entry, key, f"it on {at}") if end == at else None


def _alike(wiring: Wiring, design: Iterable[Conductor], built: Sequence[Conductor], end: End) -> bool:
    """Whether what is built joins the terminals that the design uses, and that end, as the design does."""
    one, other = _joined(wiring, design), _joined(wiring, built)
    ends = [end, *(e for conductor in wiring.conductors for e in (conductor.a, conductor.b))]
    return {frozenset(group) for group in one.sets(ends).values()} == {frozenset(group) for group in other.sets(ends).values()}


def _joined(wiring: Wiring, conductors: Iterable[Conductor]) -> Joined[End]:
    joined: Joined[End] = Joined()
    for tie in wiring.ties:
        for end in tie[1:]:
            joined.join(tie[0], end)
    for conductor in conductors:
        joined.join(conductor.a, conductor.b)
    return joined


def _used(wiring: Wiring, left: set[End]) -> Wiring:
    """With the terminals that moved ends have taken among those in use, and those that they `left` among those not."""
    landed = {end for conductor in wiring.conductors for end in (conductor.a, conductor.b)}
    left = left - landed
    taken = {end for end in landed if end.device in wiring.devices and end.terminal not in wiring.devices[end.device].used}
    free = [_unused(end, wiring) for end in sorted(left) if wiring.devices[end.device].origin == "door"]
    used = {ref: device.used - _marks(left, ref) | _marks(taken, ref) for ref, device in wiring.devices.items()}
    devices = {ref: replace(device, used=used[ref]) for ref, device in wiring.devices.items()}
    unused = [u for u in wiring.unused if End(u.device, u.terminal) not in taken]
    return replace(wiring, devices=devices, unused=(*unused, *free))


def _marks(ends: Iterable[End], device: str) -> frozenset[str]:
    return frozenset(end.terminal for end in ends if end.device == device)


def _unused(end: End, wiring: Wiring) -> Unused:
    device = wiring.devices[end.device]
    return Unused(end.device, end.terminal, device.sheet.terminal(end.terminal).colour, device.place)

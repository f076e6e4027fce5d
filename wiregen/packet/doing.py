"""What a door does: the sequence of operation in sentences, and the state table that the technician goes through with a meter.

Both are read off what was worked out on the door's network (`Study.states`), word by word; nothing is a sentence by heart.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import replace

from wiregen.packet.content import Cell, Column, Notes, Section, Strong, Table, Write, blocks
from wiregen.packet.wording import by_text, done_by, named, state
from wiregen.quantities import spread, typeset
from wiregen.reading.conditions import mentions
from wiregen.reading.model import Band, Changeover, Contact, Door, Input, Site
from wiregen.states.model import Doing, DoorStates, LockDoes
from wiregen.study.model import Study
from wiregen.wiring.model import Wiring

NOUGHT, NOTHING = 0.05, 0.001  # V and A, less than a meter is asked to tell from nothing


def what_it_does(site: Site, door: Door, wiring: Wiring, study: Study) -> Section | None:
    """None where nothing was worked out: for what doors share."""
    if study.states is None:
        return None
    return Section(
        key=f"{door.id}-does",
        title="What the door does",
        blocks=blocks(
            Notes(tuple(sequence(site, door, wiring, study.states)), 2, "Sequence of operation, as worked out", numbered=True),
            _table(door, wiring, study.states),
        ),
    )


# ---- sentences -------------------------------------------------------------------------------------------------------


def sequence(site: Site, door: Door, wiring: Wiring, states: DoorStates) -> Iterator[str]:
    """One sentence or a few for each state, and what follows on it."""
    use = {**site.use, **door.use}
    for row in states.rows:
        text = " ".join((*_moves(wiring, row), *_locks(wiring, states, row), *_people(door, row)))
        yield f"{_begin(state(row.state))}: {text}"
        if row.state == "grant" and any(told.does == "free" for told in row.locks.values()):
            yield f"Locking again: {_relock(states, row)} after {use.get('grant', 'the time that is set')}."
        if row.state == "forced" and row.told:
            longest = use.get("longest")
            held = f"open for longer than {longest}" if longest else "open for longer than the time that is set"
            yield f"Held open: after a grant the same is told without an alarm, until the door stands {held}."
        if row.state == "fire":
            yield from _reset(site, wiring, states, row)


def _begin(text: str) -> str:
    return text[:1].upper() + text[1:]


def _moves(wiring: Wiring, row: Doing) -> Iterator[str]:
    """What gives nothing, which contacts have moved, and who is told."""
    parts = []
    if row.off:
        parts.append(f"{named(row.off)} {'give' if len(row.off) > 1 else 'gives'} nothing")
    for closed, does in ((False, "open"), (True, "close")):
        of = [_contact(wiring, name) for name, is_closed in row.contacts if is_closed == closed]
        if of:
            parts.append(f"{named(of)} {does if len(of) > 1 else does + 's'}")
    if parts:
        yield _begin("; ".join(parts)) + "."
    for name, worked in row.told:
        yield f"{name} {_reads(wiring, name, worked)}."


def _contact(wiring: Wiring, name: str) -> str:
    """"A1.relay COM–NO" for the contact of a changeover, "S1.pole-1" for a plain one."""
    ref, _, group_name = name.partition(".")
    group_name, _, side = group_name.partition(".")
    device = wiring.devices.get(ref)
    group = device.sheet.groups.get(group_name) if device else None
    if isinstance(group, Changeover) and side:
        return f"{ref}.{group_name} {group.common}–{group.make if side == 'make' else group.break_}"
    return name


def _reads(wiring: Wiring, name: str, worked: bool) -> str:
    ref, _, group_name = name.partition(".")
    device = wiring.devices.get(ref)
    group = device.sheet.groups.get(group_name) if device else None
    if device and isinstance(group, Input) and group.does:
        return f"is worked: {ref} {done_by(device.sheet, group)}" if worked else "is worked no longer"
    return "is told" if worked else "is told no longer"


def _locks(wiring: Wiring, states: DoorStates, row: Doing) -> Iterator[str]:
    at_rest = states.row("idle").locks
    for locks, told in alike(wiring, row.locks):
        volts = "" if told.volts is None else f" ({_volts(told)} at {'them' if len(locks) > 1 else 'it'})"
        stays = told.does == at_rest[locks[0]].does
        if told.does == "not certain" or row.state == "idle":
            verb = "are" if len(locks) > 1 else "is"
        elif stays:
            verb = "stay" if len(locks) > 1 else "stays"
        else:
            verb = "are now" if len(locks) > 1 else "is now"
        does = _uncertain(told) if told.does == "not certain" else told.does
        yield f"{named(locks)} {verb} {does}{volts}."


def _uncertain(told: LockDoes) -> str:
    """Between its volts; or without power and without a spring."""
    stays = told.volts is None or told.volts.most < NOUGHT
    return "as it was, held or free" if stays else "between held and free, not certain"


def _people(door: Door, row: Doing) -> Iterator[str]:
    if "none" in door.leave_by:
        leave = ""
    elif row.state.startswith("exit-"):
        leave = "One gets out" if row.leave == "free" else "One cannot be sure to get out"
    else:
        ways = " or ".join(way.replace("-", " ") for way in door.leave_by)
        leave = f"One leaves by {ways}" if row.leave == "free" else "Nobody can be sure to leave"
    enter = {
        "free": "anybody gets in",
        "credential": "a valid credential lets in",
        "barred": "from outside only a key helps",
    }[row.enter]
    yield f"{leave}; {enter}." if leave else f"{_begin(enter)}."


def _relock(states: DoorStates, row: Doing) -> str:
    locks = [lock for lock, told in row.locks.items() if told.does == "free" and states.row("idle").locks[lock].does == "held"]
    return f"{named(locks)} {'hold' if len(locks) > 1 else 'holds'} again" if locks else "nothing locks"


def _reset(site: Site, wiring: Wiring, states: DoorStates, row: Doing) -> Iterator[str]:
    """What stays as it is when the fire alarm ends, until somebody resets it."""
    if all(told.does == states.row("idle").locks[lock].does for lock, told in row.locks.items()):
        return
    stays: dict[str, str] = {}
    sheets = {ref: device.sheet for ref, device in site.shared.items()}
    sheets |= {ref: device.sheet for ref, device in wiring.devices.items()}
    for ref, sheet in sheets.items():
        for group in sheet.groups.values():
            fire = isinstance(group, Input) and group.name == "fire" and group.stays
            if fire or (isinstance(group, Contact | Changeover) and group.stays and mentions(group, "fire")):
                stays[ref] = sheet.reset or "where the device is reset"
    if stays:
        said = "; ".join(f"{named(refs)}: {typeset(how)}" for how, refs in by_text(stays).items())
        yield f"Fire reset: the lock stays free when the alarm is silenced, until reset at {said}."


# ---- table -----------------------------------------------------------------------------------------------------------


def _volts(told: LockDoes) -> str:
    if told.volts is None:
        return "not in the network"
    return "0 V" if told.volts.most < NOUGHT else spread(told.volts.least, told.volts.most, "V")


def _amps(told: LockDoes) -> str:
    if told.amps is None:
        return ""
    return "0 A" if told.amps.most < NOTHING else spread(told.amps.least, told.amps.most, "A")


def _table(door: Door, wiring: Wiring, states: DoorStates) -> Table:
    leaves = "none" not in door.leave_by
    rows: list[tuple[Cell, ...]] = []
    for row in states.rows:
        for n, (locks, told) in enumerate(alike(wiring, row.locks)):
            enter = "with credential" if row.enter == "credential" else row.enter
            people: Sequence[Cell] = (row.leave if leaves else "not needed", enter)
            rows.append(
                (
                    Strong(state(row.state)) if n == 0 else "",
                    named(locks),
                    told.does,
                    _volts(told),
                    _amps(told),
                    *(people if n == 0 else ("", "")),
                    Write("V") if told.volts else "",
                    Write(),
                )
            )
        if not row.locks:
            rows.append((Strong(state(row.state)), "no lock", "", "", "", row.leave, row.enter, "", Write()))
    return Table(
        "State table: volts at the lock from least to most, worked out with its logic settled; repeat it with a meter",
        (
            Column("State", 52),
            Column("Lock", 26),
            Column("is", 24),
            Column("Volts at it", 34),
            Column("Amps", 30),
            Column("Leave", 22),
            Column("Enter", 28),
            Column("Read", 28),
            Column("Initials", 18),
        ),
        tuple(rows),
        by_hand=True,
    )


def alike(wiring: Wiring, locks: Mapping[str, LockDoes]) -> list[tuple[list[str], LockDoes]]:
    """Locks of one kind that do the same stand together, with the least and the most of all of them."""
    of: dict[tuple[str, str, bool], tuple[list[str], LockDoes]] = {}
    for lock, told in locks.items():
        key = (told.does, wiring.devices[lock].sheet.type, bool(told.volts and told.volts.most > NOUGHT))
        names, sofar = of.get(key, ([], told))
        of[key] = ([*names, lock], LockDoes(told.does, _over(sofar.volts, told.volts), _over(sofar.amps, told.amps)))
    return list(of.values())


def _over(one: Band | None, other: Band | None) -> Band | None:
    return one and other and replace(one, least=min(one.least, other.least), most=max(one.most, other.most))

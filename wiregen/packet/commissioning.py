"""A door's test record: each step with what it should show and room for what it did show.

In the order of commissioning: supply off; supply on with the lock lifted; the lock's power last; then what the door does.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence

from wiregen.packet.content import Cell, Column, Section, Table, Write, blocks
from wiregen.packet.wording import by_text, expected, named, state
from wiregen.quantities import typeset
from wiregen.reading.conditions import mentions
from wiregen.reading.model import Changeover, Contact, Door, Site
from wiregen.review.reporting import unseen
from wiregen.study.model import Reading, Step, Study
from wiregen.wiring.model import Chain, ChainLink, Wiring

STAGES: tuple[tuple[str, tuple[Step, ...]], ...] = (
    ("1 Supply off, lock power lifted", ("insulation", "calmer", "line", "loop")),
    ("2 Supply on, lock power still lifted", ("port", "supply", "contact", "input")),
    ("3 Lock power on, last", ("amps", "lock")),
)

COMPUTED = ("computed", "solved")
_COLUMNS = (
    Column("Step", 10),
    Column("What", 46),
    Column("Between", 40),
    Column("Do first", 46),
    Column("Expected", 76),
    Column("Read", 34),
    Column("Initials", 18),
)


def test_record(site: Site, door: Door, wiring: Wiring, study: Study, stops: int) -> Section:
    """`stops` findings stop the door: then there is no box to sign in."""
    tables = [_stage(n, title, steps, study.readings) for n, (title, steps) in enumerate(STAGES, 1)]
    return Section(
        key=f"{door.id}-test",
        title="Test record",
        blocks=blocks(*tables, _does(site, door, wiring, study), None if stops else _sign()),
    )


def _stage(number: int, title: str, steps: Sequence[Step], readings: Sequence[Reading]) -> Table:
    """What is measured of one device in one way stands in one row, state by state."""
    grouped: dict[tuple[object, ...], list[Reading]] = {}
    for step in steps:
        for r in readings:
            if r.step == step:
                apart = r.between[0] if step != "insulation" else ""
                grouped.setdefault((step, r.about, r.what, r.how, apart, r.between[1]), []).append(r)
    rows: list[tuple[Cell, ...]] = []
    if "insulation" in steps:
        shows = "as on the termination sheet"
        rows.append((f"{number}.1", "each conductor, end to end", "", "supply off", shows, Write(), Write()))
    for group in grouped.values():
        first, units = group[0], {r.unit for r in group}
        rows.append(
            (
                f"{number}.{len(rows) + 1}",
                f"{first.about}: {first.what}",
                f"{', '.join(dict.fromkeys(str(r.between[0]) for r in group))} and {first.between[1]}",
                first.how,
                _by_value(group),
                Write(typeset(first.unit) if len(units) == 1 else ""),
                Write(),
            )
        )
    return Table(f"{title} (expected: least to most, computed unless it says otherwise)", _COLUMNS, tuple(rows), by_hand=True)


def _by_value(group: Sequence[Reading]) -> str:
    """"idle, fire: up to 1.5 V; granted: 10.8 to 12.6 V": states that show the same stand together."""
    values: dict[str, list[str]] = {}
    for r in group:
        values.setdefault(expected(r), []).append(state(r.state))
    text = "; ".join(f"{', '.join(dict.fromkeys(states))}: {value}" for value, states in values.items())
    return text if group[0].basis in COMPUTED else f"{text} ({group[0].basis})"


def _does(site: Site, door: Door, wiring: Wiring, study: Study) -> Table:
    steps = enumerate(_steps(site, door, wiring, study), 1)
    rows = [(f"4.{n}", what, do, shows, Write(), Write()) for n, (what, do, shows) in steps]
    return Table(
        "4 What the door does (its network solved with its logic; volts by state stand in the state table)",
        (
            Column("Step", 10),
            Column("What", 46),
            Column("Do", 86),
            Column("Expected", 76),
            Column("Seen", 34),
            Column("Initials", 18),
        ),
        tuple(rows),
        by_hand=True,
    )


def _steps(site: Site, door: Door, wiring: Wiring, study: Study) -> Iterator[tuple[str, str, str]]:
    """(what, what to do, what must be seen), in the order of commissioning."""
    use = {**site.use, **door.use}
    for device, how, then in _releases(wiring):
        yield (f"release by {device}", f"with the controller on, and again unplugged: {how}", then)
    yield from _state_step(study, "fire", "fire signal", "panel on test, fire-alarm contractor present: open the fire contact")
    if "free" in _do(study, "fire").values():
        yield ("after the alarm", "close the fire contact again", "stays free until it is reset, as the egress list says")
    yield from _state_step(study, "power-dead", "lock supply dead", "switch the lock's supply off (battery off too)")
    yield from _state_step(study, "controller-dead", "network port dead", "switch the port off")
    if site.standby:
        sums = "what can be worked out of it stands on the power sheet of what doors share"
        yield ("mains off, battery on", "switch the mains off", f"goes on working for {site.standby}; {sums}")
        on_battery = "mains still off, panel on test, fire-alarm contractor present: open the fire contact"
        yield from _state_step(study, "fire", "fire signal on battery", on_battery)
    for ref, wired in wiring.devices.items():
        if wired.exposed and wired.sheet.pulled_off and wired.origin == "door":
            yield (f"tamper of {ref}", f"take {ref} off its wall", "tamper reported, leaving still works")
    for ref, wired in wiring.devices.items():
        if wired.sheet.is_ == "reader" and wired.origin == "door":
            yield (f"card at {ref}", "show the test card twice; its number:", "that number both times, at the controller")
        if not wired.exposed and any(mentions(group, "motion") for group in wired.sheet.groups.values()):
            how = "door shut, from outside: paper and warm air through each gap, walk past"
            yield (f"reach of {ref}", how, f"nothing moves and nothing is told; else aim {ref} anew")
    contacts = [ref for ref, d in wiring.devices.items() if d.sheet.is_ == "contact" and d.origin == "door"]
    if contacts:
        yield ("forced", f"open the door without access ({', '.join(contacts)})", "reported as forced")
        yield ("held", "keep the door open after access", "reported as held open")
    if _do(study, "grant"):
        yield ("locks again", f"grant access, time set {use.get('grant', 'not stated')}", "time until the lock holds again")
    if door.leave_by != ("none",):
        told = _told_of(door, wiring)
        yield ("leaving", "leave by each way named on the data sheet, no card", f"opens at once, reported as {told}")
    yield ("photograph", "each box open, sleeves readable", "kept with this record")


def _told_of(door: Door, wiring: Wiring) -> str:
    found = [relation.target.device for _, relation, _ in unseen(door, wiring)]
    return f"forced: nothing tells {named(found)} of who leaves" if found else "no alarm"


def _state_step(study: Study, word: str, what: str, do: str) -> Iterator[tuple[str, str, str]]:
    does = _do(study, word)
    if does:
        yield (what, do, ", ".join(f"{named(locks)} {is_}" for is_, locks in by_text(does).items()))


def _do(study: Study, word: str) -> Mapping[str, str]:
    """What each lock does in a state; nothing where the door does not know that state."""
    rows = study.states.rows if study.states else ()
    return next(({lock: told.does for lock, told in row.locks.items()} for row in rows if row.state == word), {})


BY_HAND = {"pressed": "press", "motion": "walk up to", "chosen": "turn"}


def _releases(wiring: Wiring) -> Iterator[tuple[str, str, str]]:
    """(device, what a person does to it, what the locks behind its contacts do), each device once."""
    does: dict[str, tuple[str, dict[str, None]]] = {}
    for chain in wiring.chains:
        for link in chain.links:
            word, opens = _moved_by_hand(wiring, link)
            if word:
                does.setdefault(link.device, (f"{BY_HAND[word]} {link.device}", {}))[1].update(_then(wiring, chain, opens))
    for device, (how, told) in does.items():
        if told:
            yield device, how, "; ".join(told)


def _then(wiring: Wiring, chain: Chain, opens: bool, relays: frozenset[str] = frozenset()) -> dict[str, None]:
    """What the lock at the end of an opened or closed chain does; behind a relay, the locks that its contacts serve."""
    load = wiring.devices[chain.load].sheet
    if load.is_ == "lock":
        free = load.unpowered == ("free" if opens else "held")
        return {f"{chain.load} {'without power' if opens else 'powered'}{', free' if free else ''}": None}
    told: dict[str, None] = {}
    for further in wiring.chains:
        for link in further.links:
            if link.device == chain.load and chain.load not in relays:
                told |= _then(wiring, further, opens == (link.side != "break"), relays | {chain.load})
    return told


def _moved_by_hand(wiring: Wiring, link: ChainLink) -> tuple[str, bool]:
    """The condition word of a contact that a person moves ("" where nobody does), and whether moving it opens the circuit."""
    group = wiring.devices[link.device].sheet.groups.get(link.group)
    if isinstance(group, Contact):
        found = [(word, c.negated) for c in group.closed_when for word in c.any_of if word in BY_HAND]
    elif isinstance(group, Changeover):
        found = [(w, c.negated == (link.side != "break")) for c in group.moves_when for w in c.any_of if w in BY_HAND]
    else:
        found = []
    return found[0] if found else ("", False)


def _sign() -> Table:
    titles = (("Tested by", 30), ("Signature", 40), ("Date", 20), ("Instrument and its number", 40))
    return Table("Test signed", tuple(Column(*title) for title in titles), ((Write(),) * len(titles),), by_hand=True)

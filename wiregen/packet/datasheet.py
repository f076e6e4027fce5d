"""A door's data sheet: what it is, what it must do, what stands where and how it is set, its findings."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence

from wiregen.drafting.cautions import cautions_for
from wiregen.feeds.table import TITLES
from wiregen.packet.content import Cell, Column, Facts, Notes, Section, Strong, Table, Tick, Write, blocks
from wiregen.packet.wording import STATES, by_text, by_whom, leaving, length, listed, named, state
from wiregen.quantities import typeset
from wiregen.reading.model import Door, Site
from wiregen.review.duty import intermittent
from wiregen.review.model import Finding
from wiregen.states.model import LockDoes
from wiregen.study.model import Study
from wiregen.wiring.model import WiredDevice, Wiring

RANK = {"stop": 0, "warn": 1, "note": 2}


def data_sheet(site: Site, door: Door, wiring: Wiring, findings: Sequence[Finding], study: Study) -> Section:
    """`findings` are those that mark this door."""
    return Section(
        key=f"{door.id}-data",
        title="Data sheet",
        blocks=blocks(
            _findings(findings),
            _facts(site, door, wiring),
            Notes(cautions_for(site, door, wiring), caption="Cautions", numbered=True, caution=True),
            None if site.redacted else _behaviour(door, wiring, study),
            _order(door),
            _devices(wiring),
            None if site.redacted else _settings(wiring),
            _start_up(wiring),
            _runs(site, wiring),
            _ways(study.ways),
            _accepted(door),
        ),
    )


def _findings(findings: Sequence[Finding]) -> Table:
    columns = (Column("Level", 8), Column("Code", 16), Column("What", 48), Column("What to do", 40), Column("Source", 22))
    return Table("Findings of the review", columns, tuple(map(finding_row, in_order(findings))))


def in_order(findings: Iterable[Finding]) -> list[Finding]:
    """Stops first; then by code and words, so that the order does not depend on where they stand in a file."""
    return sorted(findings, key=lambda f: (RANK[f.level], f.code, f.message, f.cure))


def finding_row(f: Finding) -> tuple[Cell, ...]:
    level = Strong(f.level.upper()) if f.level == "stop" else f.level
    return (level, f.code, f.message, f.cure, f"{f.source}; approved: {f.approved}" if f.approved else f.source)


def _facts(site: Site, door: Door, wiring: Wiring) -> Facts:
    exposed = sorted(door.exposed)
    use = {**site.use, **door.use}
    rows = [
        ("Door", f"{door.id} {door.name}"),
        ("Kit", door.kit or "none"),
        ("Way out", leaving(door)),
        ("Fire rating", door.fire_rating or "none stated"),
        ("Code basis", "; ".join(f"{subject}: {code}" for subject, code in site.codes.items()) or "none stated"),
        ("Secured side only", f"all places but: {', '.join(exposed)}" if exposed else "no place within a stranger's reach"),
        *([("Feed", f"{door.feed}, of {', '.join(door.feeds)}")] if door.feed else []),
        ("Use", listed(use) or "not stated"),
        *([("Duty", duty)] if (duty := _duty(wiring, use)) else []),
        ("Boxes", ", ".join(f"{box.ref} at {box.place}" for box in wiring.boxes.values()) or "none"),
        ("Cables", named(wiring.cables) or "none"),
        *(("Note", note) for note in door.notes),
    ]
    return Facts(tuple(rows))


def _duty(wiring: Wiring, use: Mapping[str, str]) -> str:
    """How long the coils of locks may be powered that may not be for good, beside how long they are."""
    told = {lock.ref: f"coil powered {part.duty} at most" for lock, part, *_ in intermittent(wiring)}
    alike = "; ".join(f"{named(refs)}: {text}" for text, refs in by_text(told).items())
    return f"{alike}; longest hold {use.get('longest', 'not stated')}" if alike else ""


def _behaviour(door: Door, wiring: Wiring, study: Study) -> Table:
    """`want` over what the locks do; locks that behave alike share their rows."""
    told = {row.state: row.locks for row in study.states.rows} if study.states else {}
    alike: dict[tuple[tuple[str, str, str], ...], list[str]] = {}
    for b in wiring.behaviours:
        words = [word for word in STATES if word in b.wanted or (not b.wanted and word in told)]
        said = tuple((word, b.wanted.get(word, "not stated"), _does(told, word, b.lock)) for word in words)
        alike.setdefault(said, []).append(b.lock)
    if not alike and door.want:
        alike[tuple((word, wanted, "not worked out") for word, wanted in door.want.items())] = ["all"]
    words = list(dict.fromkeys(word for said in alike for word, *_ in said))
    rows: list[tuple[Cell, ...]] = []
    for said, locks in alike.items():
        of = {word: rest for word, *rest in said}
        for n, title in enumerate(("wanted", "does")):
            cells = (of[word][n] if word in of else "" for word in words)
            rows.append((Strong(named(locks)) if n == 0 else "", title, *cells))
    return Table(
        "Behaviour wanted, and what the door's network and logic give (every state: see What the door does)",
        (Column("Lock", 22), Column("", 22), *(Column(state(word), 28) for word in words)),
        tuple(rows),
    )


def _does(told: Mapping[str, Mapping[str, LockDoes]], word: str, lock: str) -> str:
    """In a way to leave, what it does in each: held if it is in one."""
    found = {locks[lock].does for name, locks in told.items() if name == word or (word == "exit" and name.startswith("exit-"))}
    return next((is_ for is_ in ("held", "not certain", "free") if is_ in found), "does not occur")


def _order(door: Door) -> Table:
    return Table(
        "Sequence of operation",
        (Column("State", 30), Column("What moves, in order; times are least values", 70)),
        tuple((state(word), ", then ".join(steps)) for word, steps in door.order.items()),
    )


def _own(wiring: Wiring) -> list[WiredDevice]:
    """Devices of the door first, then what is shared or another door's, then what came from stock."""
    rank = {"door": 0, "site": 1, "other door": 2, "stock": 3}
    return sorted(wiring.devices.values(), key=lambda d: rank[d.origin])


def _devices(wiring: Wiring) -> Table:
    """Devices that are alike in everything but their number share a row."""
    alike: dict[tuple[str, ...], list[str]] = {}
    for d in _own(wiring):
        mount = {**d.sheet.mounting, **(d.device.mount if d.device else {})}
        origin = {"door": "", "site": "shared", "other door": "of another door", "stock": "from stock"}[d.origin]
        existing = "existing" if d.device and d.device.existing else ""
        said = (
            d.sheet.name,
            d.sheet.type,
            ", ".join(part for part in (d.place, "exposed" if d.exposed else "") if part),
            typeset(listed(mount)) if d.origin == "door" else "",
            ", ".join(part for part in (by_whom(d.device.by) if d.device else "", origin, existing) if part),
        )
        alike.setdefault(said, []).append(d.ref)
    return Table(
        "Devices, where they stand and how they are mounted",
        (
            Column("Device", 12),
            Column("What it is", 28),
            Column("Type", 16),
            Column("Place", 15),
            Column("Height, box, plate", 56),
            Column("By", 24),
        ),
        tuple((Strong(named(refs)), *said) for said, refs in alike.items()),
    )


def _settings(wiring: Wiring) -> Table:
    rows: list[tuple[Cell, ...]] = []
    for d in _own(wiring):
        if d.origin in ("site", "other door"):
            continue
        written = d.device.set if d.device else {}
        settings = {**({"jumper": d.sheet.jumper} if d.sheet.jumper else {}), **d.settings}
        for name, value in settings.items():
            why = "as specified" if name in written else "fixed by the type" if name == "jumper" else "asked for by the wiring"
            rows.append((Strong(d.ref), name, Strong(value), ", ".join(d.sheet.settings.get(name, ())), why, Tick()))
    return Table(
        "Settings to make",
        (
            Column("Device", 10),
            Column("Setting", 22),
            Column("Set to", 26),
            Column("Choices", 34),
            Column("Why", 22),
            Column("set", 8, "middle"),
        ),
        tuple(rows),
    )


def _start_up(wiring: Wiring) -> Table:
    rows: list[tuple[Cell, ...]] = []
    told: set[str] = set()
    for d in _own(wiring):
        s = d.sheet
        if d.origin == "door" and s.type not in told and (s.first_start or s.reset or s.lights):
            told.add(s.type)
            alike = [o.ref for o in wiring.devices.values() if o.sheet.type == s.type and o.origin == "door"]
            lights = "; ".join(f"{light}: {means}" for light, means in s.lights.items())
            steps = "; ".join(f"{n} {step}" for n, step in enumerate(s.first_start, 1))
            rows.append((Strong(named(alike)), steps, s.reset or "", lights))
    return Table(
        "First start, reset, lights",
        (Column("Device", 10), Column("First start, in order", 44), Column("Reset", 30), Column("Lights", 44)),
        tuple(rows),
    )


def _runs(site: Site, wiring: Wiring) -> Facts:
    rows = []
    for run in wiring.runs.values():
        said = [
            length(run.length.nominal, site.house, run.length.assumed),
            run.way or "",
            "outdoors" if run.outdoor else "",
            run.temperature.text if run.temperature else "",
            f"over {run.transfer}" if run.transfer else "",
            f"by {run.by}" if run.by else "",
        ]
        rows.append((f"{run.parent} to {run.place}", ", ".join(part for part in said if part)))
    return Facts(tuple(rows), across=3, caption="Runs of cable")


def _ways(ways: Sequence[tuple[str, ...]]) -> Table:
    shares = (18, 34, 26, 26, 26, 26, 20)
    columns = tuple(Column(title, share) for title, share in zip(TITLES, shares, strict=True))
    return Table("Ways to feed this door, best first; the rest of the spec as it is", columns, tuple(ways))


def _accepted(door: Door) -> Table:
    """Findings that somebody has answered for, with room to sign where a stop was approved."""
    return Table(
        "Findings answered for",
        (
            Column("Code", 14),
            Column("Reason", 40),
            Column("By", 18),
            Column("Approved by, date, clause", 34),
            Column("Signature of the approver", 30),
        ),
        tuple(
            (
                a.code,
                a.reason,
                a.by or "",
                ", ".join(part for part in (a.who, a.date, a.clause) if part),
                Write() if a.who else "",
            )
            for a in door.accept
        ),
        by_hand=True,
    )

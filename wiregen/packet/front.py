"""The front of the packet: cover with hazards and contacts, index, revision history, devices that doors share."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Collection, Mapping, Sequence

from wiregen.packet.content import Cell, Column, Facts, GoTo, Notes, PageOf, Section, Strong, Table, Tick, Write, blocks
from wiregen.packet.datasheet import RANK, finding_row, in_order
from wiregen.packet.marking import SHOWN, by_door, stops_of
from wiregen.packet.wording import by_whom, listed, named, plural
from wiregen.quantities import typeset
from wiregen.reading.model import Site
from wiregen.reading.revisions import revisions_of
from wiregen.reading.shared import SITE, wired
from wiregen.review.model import Finding
from wiregen.wiring.model import Wiring

# Keys of the sections of a door that the index gives pages of.
SECTIONS = ("data", "wiring", "termination", "power", "test", "faults", "retest", "redline")
HAZARDS = (
    "Mains is worked on by a licensed electrician alone, to the local electrical code.",
    "The fire interface is the fire-alarm contractor's: put the panel on test before it is touched, and off test afterwards.",
    "People must be able to leave through every door at every moment of the work: keep a door open rather than unproved.",
    "Local code, the authority having jurisdiction and the listing of the hardware decide; this packet never says that a "
    "door meets a code.",
    "Switch off and prove dead before landing; batteries and Ethernet ports are supplies too.",
    "Lock power last.  A page with a black band is not for installation.",
    "Keep this packet on the secured side: it shows how each door is wired.",
)


def cover(site: Site, wirings: Mapping[str, Wiring], findings: Sequence[Finding], volume: str = "") -> Section:
    """`volume` says which one of several this is."""
    own = by_door(findings)
    stopped = {d: n for d in wirings if (n := stops_of(own.get(d, ())))}
    said = [(who.replace("-", " "), text) for who, text in site.contacts.items()]
    signed = [(who.replace("-", " "), text) for who, text in site.signed.items()]
    revisions = revisions_of(site)
    issue = f"{revisions[-1].rev}, {revisions[-1].date}: {revisions[-1].what}" if revisions else "none stated"
    names = ", ".join(f"{door} ({plural(n, 'stop')})" for door, n in stopped.items())
    return Section(
        key="cover",
        title="Door wiring packet",
        blocks=blocks(
            Notes(HAZARDS, caption="Hazards: read before any work", numbered=True, caution=True),
            Notes((f"NOT FOR INSTALLATION: {names}.",) if stopped else (), across=1, caption="Stopped doors", caution=True),
            Facts(
                (
                    *((("Volume", volume),) if volume else ()),
                    ("Doors", plural(sum(d in wirings for d in site.doors), "door")),
                    ("Revision", issue),
                    ("Units", f"{site.house.units}; paper {site.house.paper}"),
                    ("Standby", site.standby or "none stated"),
                    ("Findings", ", ".join(f"{sum(f.level == level for f in findings)} {level}" for level in RANK)),
                ),
                caption="This issue",
            ),
            Facts(tuple((subject.replace("-", " "), code) for subject, code in site.codes.items()),
                  caption="Code basis and edition, as the site names them"),
            Facts(tuple(signed), caption="Responsible"),
            Facts(tuple(said), caption="Contacts"),
        ),
    )  # fmt: skip


def index(
    site: Site, wirings: Mapping[str, Wiring], findings: Sequence[Finding], digests: Mapping[str, str],
    opened: Collection[str], others: Sequence[Section],
) -> Section:  # fmt: skip
    """Doors, what they share, and the site's sections (`others`).

    `digests` are the content hashes of doors and of what they share; `opened` the keys of the sections that they have.
    """

    def page(of: str, key: str) -> Cell:
        return PageOf(f"{of}-{key}") if f"{of}-{key}" in opened else "–"

    own = by_door(findings)
    rows: list[tuple[Cell, ...]] = []
    for door in (d for d in wired(site).values() if d.id in wirings):
        stops = stops_of(own.get(door.id, ()))
        revisions = revisions_of(site, door)
        rows.append(
            (
                Strong(door.id),
                GoTo(door.name, f"{door.id}-data") if f"{door.id}-data" in opened else door.name,
                revisions[-1].rev if revisions else "",
                digests[door.id][:SHOWN].upper(),
                Strong(f"NOT FOR INSTALLATION: {plural(stops, 'stop')}") if stops else "",
                *(page(door.id, key) for key in SECTIONS),
            )
        )
    return Section(
        key="index",
        title="Index",
        blocks=blocks(
            Table(
                "Doors, and what they share",
                (
                    Column("Door", 18),
                    Column("Name", 70),
                    Column("Rev", 12),
                    Column("Content", 24),
                    Column("Status", 50),
                    Column("Data", 18, "right"),
                    Column("Wiring", 18, "right"),
                    Column("Termination", 24, "right"),
                    Column("Power", 18, "right"),
                    Column("Test", 18, "right"),
                    Column("Faults", 18, "right"),
                    Column("Retest", 18, "right"),
                    Column("Redline", 18, "right"),
                ),
                tuple(rows),
            ),
            _of_site(others),
        ),
    )


def volume_index(
    site: Site, findings: Sequence[Finding], volumes: Mapping[str, int], others: Sequence[Section]
) -> Section:
    """In which volume each door is; and the site's sections, with the pages of this volume."""
    own = by_door(findings)
    rows: list[tuple[Cell, ...]] = []
    for door in site.doors.values():
        stops, revisions = stops_of(own.get(door.id, ())), revisions_of(site, door)
        status = Strong(f"NOT FOR INSTALLATION: {plural(stops, 'stop')}") if stops else ""
        rows.append((Strong(door.id), door.name, revisions[-1].rev if revisions else "", status, str(volumes[door.id])))
    return Section(
        key="index",
        title="Index",
        blocks=blocks(
            _of_site(others),
            Table(
                "Doors",
                (
                    Column("Door", 18),
                    Column("Name", 100),
                    Column("Rev", 12),
                    Column("Status", 62),
                    Column("Volume", 20, "right"),
                ),
                tuple(rows),
            ),
        ),
    )


def _of_site(sections: Sequence[Section]) -> Table:
    return Table(
        "Site",
        (Column("Sheet", 246), Column("Page", 18, "right")),
        tuple((GoTo(section.title, section.key), PageOf(section.key)) for section in sections),
    )


def history(site: Site, wirings: Mapping[str, Wiring]) -> Section:
    rows: list[tuple[Cell, ...]] = [("Site", r.rev, r.date, r.what, r.by or "") for r in site.revisions]
    for door in (d for d in site.doors.values() if d.id in wirings):
        rows += [(door.id, r.rev, r.date, r.what, r.by or "") for r in door.revisions]
    for of, said in ((of, wiring.revised) for of, wiring in wirings.items()):
        if said is not None:
            parts = (("marked", named(said.wires)), ("removed", "; ".join(said.gone)))
            what = "; ".join(f"{word}: {wires}" for word, wires in parts if wires)
            rows.append((of, said.rev, "", f"conductors since {said.since}: {what}", ""))
    return Section(
        key="history",
        title="Revision history",
        blocks=blocks(
            Table(
                "",
                (Column("Of", 20), Column("Rev", 14), Column("Date", 30), Column("What changed", 160), Column("By", 40)),
                tuple(rows),
            ),
            _found_on_site(),
        ),
    )


def all_findings(site: Site, wirings: Mapping[str, Wiring], findings: Sequence[Finding]) -> Section:
    """What stands in the way of any door, and all that the review says of the site; a door's notes stand on its data sheet."""
    rows: list[tuple[Cell, ...]] = []
    for f in in_order(f for f in findings if f.door is None or f.level != "note"):
        level, code, *rest = finding_row(f)
        marked = named(d for d in site.doors if d in wirings and d in f.doors)
        rows += [(level, code, f.door or marked or "site", *rest)]
    titles = (("Level", 8), ("Code", 18), ("Door", 16), ("What", 50), ("What to do", 46), ("Source", 24))
    return Section(
        key="findings",
        title="Findings",
        blocks=blocks(
            Table("", tuple(Column(*title) for title in titles), tuple(rows))
            if rows
            else Notes(("The review found nothing that stops or warns.",), across=1)
        ),
    )


def _found_on_site() -> Table:
    """Room for what was found different on the wall; goes back into the specs."""
    titles = (("Door", 20), ("Wire or device", 40), ("What is different on the wall, and why", 120), ("By", 26), ("Date", 26))
    row: tuple[Cell, ...] = (*(Write(),) * len(titles), Tick())
    return Table(
        "Found different on site (back into the specs, then print anew)",
        (*(Column(*title) for title in titles), Column("in spec", 16, "middle")),
        (row,) * 8,
        by_hand=True,
    )


def shared_devices(site: Site, wirings: Mapping[str, Wiring]) -> Section:
    rows: list[tuple[Cell, ...]] = []
    used: dict[str, list[str]] = defaultdict(list)
    for door in (door for door in site.doors if door in wirings):
        for ref in wirings[door].devices:
            used[ref].append(door)
    for ref, device in site.shared.items():
        fed = [str(t) for r in device.relations if r.kind in ("from", "through", "obeys") for t in r.targets]
        rows.append(
            (
                Strong(ref),
                device.sheet.name,
                device.place,
                ", ".join(fed),
                typeset(listed({**({} if site.redacted else device.set), **device.mount})),
                by_whom(device.by),
                ", ".join(used[ref]),
            )
        )
    return Section(
        key=f"{SITE}-data",
        title="Shared devices",
        blocks=blocks(
            Table(
                "",
                (
                    Column("Device", 16),
                    Column("What it is", 60),
                    Column("Place", 26),
                    Column("From, through, obeys", 44),
                    Column("Set, mount", 44),
                    Column("By", 32),
                    Column("Doors", 44),
                ),
                tuple(rows),
            )
        ),
    )


def sign_off(site: Site, wirings: Mapping[str, Wiring], findings: Sequence[Finding]) -> Section:
    """The people who sign for the whole, then a line for each door that is not stopped."""
    own = by_door(findings)
    rows: list[tuple[Cell, ...]] = []
    for door in (d for d in site.doors.values() if d.id in wirings):
        stops = stops_of(own.get(door.id, ()))
        if stops:
            rows.append((Strong(door.id), door.name, Strong(f"NOT FOR INSTALLATION: {plural(stops, 'stop')}"), "", "", "", ""))
        else:
            rows.append((Strong(door.id), door.name, "", Tick(), Write(), Write(), Write()))
    people = ("Technician", "Owner", "Fire-alarm contractor", "Electrician", "Authority having jurisdiction")
    return Section(
        key="sign-off",
        title="Sign-off",
        blocks=blocks(
            Table(
                "The whole",
                (Column("Who", 50), Column("Name", 70), Column("Signature", 80), Column("Date", 40)),
                tuple((who, Write(), Write(), Write()) for who in people),
                by_hand=True,
            ),
            Table(
                "Doors",
                (
                    Column("Door", 18),
                    Column("Name", 64),
                    Column("Status", 58),
                    Column("test record complete", 22, "middle"),
                    Column("Technician", 44),
                    Column("Date", 26),
                    Column("Retest due", 26),
                ),
                tuple(rows),
                by_hand=True,
            ),
        ),
    )

"""The cable schedule of the site: what to order, what is pulled together, and every jacket and link door by door."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from wiregen.packet.content import Cell, Column, Section, Strong, Table, Tick, blocks
from wiregen.packet.pulls import Bundle, Pull, at_door, bundles, pulls, trunks
from wiregen.packet.reels import Reel, reels, slack
from wiregen.packet.wording import length, named
from wiregen.quantities import number, typeset
from wiregen.reading.model import Site
from wiregen.reading.shared import wired
from wiregen.wiring.model import Wiring


def cable_totals(site: Site, wirings: Mapping[str, Wiring]) -> Section:
    """What to order, and what lies in the runs of the site; no cable by itself."""
    listed = list(pulls(site, wirings))
    told = blocks(_reels(site, list(reels(site, listed))), _trunks(site, trunks(site, listed)))
    return Section(key="cables", title="Cables of the site", blocks=told)


def cable_schedule(site: Site, wirings: Mapping[str, Wiring]) -> Section:
    listed, of = list(pulls(site, wirings)), wired(site)
    rows: list[tuple[Cell, ...]] = []
    last = ""
    for p in listed:
        if p.door != last:
            rows.append((f"{p.door} {of[p.door].name}",))
            last = p.door
        rows.append(
            (
                Strong(f"{p.door} {p.ref}"),
                typeset(p.sheet.name or p.sheet.type),
                " – ".join(p.along),
                length(p.length, site.house, p.assumed),
                ", ".join(p.serves),
                f"{p.used} of {len(p.sheet.cores)}" + (f"; spare {', '.join(p.spares)}" if p.spares else ""),
                ", ".join(part for part in ("existing" if p.existing else "", p.by, p.screen) if part),
                Tick(2),
            )
        )
    return Section(
        key="cables",
        title="Cable schedule and pull list",
        blocks=blocks(
            _reels(site, list(reels(site, listed))),
            _pull_list(site, tuple(bundles(site, listed))),
            _trunks(site, trunks(site, listed)),
            Table(
                "Cables and links, door by door",
                (
                    Column("Cable", 24),
                    Column("Type", 40),
                    Column("Along", 48),
                    Column("Length", 28),
                    Column("Serves", 36),
                    Column("Cores used", 44),
                    Column("By, screen", 40),
                    Column("pulled tested", 15, "middle"),
                ),
                tuple(rows),
                by_hand=True,
            ),
        ),
    )


def _reels(site: Site, listed: Sequence[Reel]) -> Table:
    share = f"{number(100 * slack(site))} %"
    said = f"{share} slack" if site.slack else f"{share} slack where the house states none: common practice, no source"
    rows: list[tuple[Cell, ...]] = []
    for reel in listed:
        sheet = reel.sheet
        cut = "with its plugs on" if sheet.link else "no reel in its data sheet"
        if reel.reels is not None and sheet.reel:
            cut = f"{reel.reels} of {sheet.reel.text}"
            cut += f", and longer than one: {', '.join(reel.longer)}" if reel.longer else ""
        rows.append(
            (
                Strong(sheet.type),
                sheet.name,
                typeset(sheet.size.text),
                str(reel.pieces),
                length(reel.metres, site.house),
                length(reel.assumed, site.house) if reel.assumed else "none",
                length(reel.bought, site.house),
                cut,
            )
        )
    return Table(
        f"Reels: what to order, with {said}; no piece is jointed",
        (
            Column("Type", 36),
            Column("Name", 60),
            Column("Size", 24),
            Column("Pieces", 16, "right"),
            Column("Pulled", 24, "right"),
            Column("of it assumed", 26, "right"),
            Column("To order", 26, "right"),
            Column("Reels", 56),
        ),
        tuple(rows),
    )


def _pull_list(site: Site, listed: Sequence[Bundle]) -> Table:
    rows: list[tuple[Cell, ...]] = []
    last = ""
    for bundle in listed:
        heading = "At the doors" if at_door(site, bundle) else f"From {bundle.along[0]}"
        if heading != last:
            rows.append((heading,))
            last = heading
        by_type: dict[str, list[str]] = {}
        for pull in bundle.pulls:
            by_type.setdefault(pull.sheet.type, []).append(pull.ref)
        rows.append(
            (
                Strong(bundle.door),
                " – ".join(bundle.along),
                ", ".join(bundle.ways),
                "; ".join(f"{named(refs)} {type_}" for type_, refs in by_type.items()),
                str(len(bundle.pulls)),
                length(bundle.longest, site.house, any(pull.assumed for pull in bundle.pulls)),
                Tick(),
            )
        )
    return Table(
        "Pull list: what is pulled together",
        (
            Column("Door", 18),
            Column("From, over, to", 62),
            Column("Way", 36),
            Column("Cables", 100),
            Column("Pieces", 14, "right"),
            Column("Longest", 30, "right"),
            Column("pulled", 13, "middle"),
        ),
        tuple(rows),
        by_hand=True,
    )


def _trunks(site: Site, found: Mapping[str, Sequence[Pull]]) -> Table:
    return Table(
        "Runs of the site, with all that lies in them",
        (
            Column("Run", 50),
            Column("Way", 40),
            Column("Length", 26, "right"),
            Column("In it", 130),
            Column("Cables", 20, "right"),
        ),
        tuple(
            (
                Strong(f"{site.runs[place].parent} – {place}"),
                site.runs[place].way or "",
                length(site.runs[place].length.nominal, site.house, site.runs[place].length.assumed),
                ", ".join(f"{pull.door} {pull.ref}" for pull in through),
                str(len(through)),
            )
            for place, through in found.items()
        ),
    )

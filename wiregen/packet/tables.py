"""The tables of the packet as CSV (RFC 4180, UTF-8): what the sheets print, for other programs to read."""

from __future__ import annotations

import csv
import io
import re
from collections.abc import Iterable, Mapping, Sequence

from wiregen.packet.materials import materials
from wiregen.packet.schedule import Pull, pulls
from wiregen.packet.termination import beside, order_of_work
from wiregen.packet.wording import by_topic
from wiregen.reading.model import Site
from wiregen.reading.shared import wired
from wiregen.study.model import Figure, Study
from wiregen.wiring.model import End, Wiring

TERMINATIONS = (
    "door", "place", "wire", "from", "from lead", "to", "to lead", "colour", "cable", "core", "size", "length m", "function",
    "expected",
)  # fmt: skip
CABLES = (
    "door", "cable", "type", "along", "length m", "assumed", "serves", "cores", "used", "spare", "screen", "existing", "by",
)  # fmt: skip
FIGURES = (
    "door", "topic", "about", "figure", "value", "unit", "least", "most", "at least", "at most", "margin", "limit from",
    "formula", "inputs", "by hand", "note", "source",
)  # fmt: skip
MATERIALS = ("of", "type", "name", "quantity", "where", "by")

_NUMBER = re.compile(r"-[0-9.]+(e[+-][0-9]+)?")


def tables(site: Site, wirings: Mapping[str, Wiring], studies: Mapping[str, Study]) -> dict[str, str]:
    """File name → text."""
    doors = [d for d in wired(site) if d in wirings]
    items = ((i.heading, i.type, i.name, i.quantity, i.where, i.by) for i in materials(site, wirings))
    return {
        "terminations.csv": _text(TERMINATIONS, (row for d in doors for row in _terminations(d, wirings[d], studies[d]))),
        "cables.csv": _text(CABLES, (_cable(pull) for pull in pulls(site, wirings))),
        "figures.csv": _text(FIGURES, (row for d in doors for row in _figures(d, studies[d]))),
        "materials.csv": _text(MATERIALS, items),
    }


def _figures(door: str, study: Study) -> Iterable[Sequence[str]]:
    return (_figure(door, f) for figures in by_topic(study.figures).values() for f in figures)


def _figure(door: str, f: Figure) -> Sequence[str]:
    inputs = "; ".join(f"{name} = {value:.9g} {f.units.get(name, '')}".rstrip() for name, value in f.inputs.items())
    value, least, most, floor, ceiling, margin, hand = (
        "" if size is None else f"{size:.9g}" for size in (f.value, f.least, f.most, f.floor, f.ceiling, f.margin, f.hand)
    )
    return (
        door, f.topic, f.about, f.name, value, f.unit, least, most, floor, ceiling, margin, f.bound, f.formula, inputs, hand,
        f.note, f.source,
    )  # fmt: skip


def _cable(p: Pull) -> Sequence[str]:
    return (
        p.door, p.ref, p.sheet.type, " - ".join(p.along), _metres(p.length), _yes(p.assumed), ", ".join(p.serves),
        str(len(p.sheet.cores)), str(p.used), ", ".join(p.spares), p.screen, _yes(p.existing), p.by,
    )  # fmt: skip


def _metres(length: float) -> str:
    """Nothing for what begins and ends in one place."""
    return f"{length:.6g}" if length else ""


def _yes(said: bool) -> str:
    return "yes" if said else "no"


def _terminations(door: str, wiring: Wiring, study: Study) -> Iterable[Sequence[str]]:
    for place, conductors in order_of_work(wiring).items():
        for c in conductors:
            ends = [text for end in (c.a, c.b) for text in (str(end), _lead(wiring, end))]
            cable = (c.cable or c.kind, c.core or "", c.size, _metres(c.length))
            yield (door, place, c.wire, *ends, c.colour, *cable, c.function, beside(c, study.readings))


def _lead(wiring: Wiring, end: End) -> str:
    device = wiring.devices.get(end.device)
    return (device.sheet.terminal(end.terminal).colour or "") if device else ""


def _text(titles: Sequence[str], rows: Iterable[Sequence[str]]) -> str:
    out = io.StringIO(newline="")
    writer = csv.writer(out)
    writer.writerow(titles)
    writer.writerows([_harmless(cell) for cell in row] for row in rows)
    return out.getvalue()


def _harmless(cell: str) -> str:
    """A cell that a spreadsheet would take for a formula, with an apostrophe before it (OWASP, "CSV Injection").

    A plain number below 0 is none.
    """
    if _NUMBER.fullmatch(cell):
        return cell
    return f"'{cell}" if cell.lstrip(" ")[:1] in ("=", "+", "-", "@", "\t", "\r", "\n") else cell

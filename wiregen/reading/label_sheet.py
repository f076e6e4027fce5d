"""The sheets on which a site prints its labels: read, and held against the paper that they are printed on."""

from __future__ import annotations

from collections.abc import Iterator

from wiregen.reading.document import Table
from wiregen.reading.drafts import Draft
from wiregen.reading.model import LabelSheet, Problem
from wiregen.reading.quantity import band

PAPERS = {"A4": (0.210, 0.297), "letter": (0.2159, 0.2794)}  # m, upright: ISO 216, ANSI Y14.1
LEAST = (0.015, 0.006)  # m: less holds no lettering that a person reads
HAIR = 1e-6  # m, against rounding


def label_sheet(written: Table, house_paper: str) -> LabelSheet:
    def metres(key: str, otherwise: str) -> float:
        return band(str(written.get(key, written[otherwise])), "m").nominal

    return LabelSheet(
        paper=str(written.get("paper", house_paper)),  # type: ignore[arg-type]  # the schema's two words
        rows=int(written["rows"]),
        columns=int(written["columns"]),
        **{key: metres(key, key) for key in ("across", "down", "left", "top")},
        wide=metres("wide", "across"),
        tall=metres("tall", "down"),
    )


def of_labels(site: Draft) -> Iterator[Problem]:
    """That labels lie beside one another, hold lettering, and stay on their paper."""
    house = site.sound.get("house", Table())
    if not isinstance(written := house.get("labels"), Table):
        return
    sheet = label_sheet(written, str(house.get("paper", "A4")))
    wide, tall = PAPERS[sheet.paper]

    def problem(key: str, wrong: str, instead: str) -> Problem:
        return Problem(written.where_of(key), f"house, labels, {key}", wrong, instead)

    for key, label, pitch, across, least in (
        ("wide", sheet.wide, sheet.across, "across", LEAST[0]),
        ("tall", sheet.tall, sheet.down, "down", LEAST[1]),
    ):
        named = key if key in written else across
        if label > pitch + HAIR:
            yield problem(named, f"labels of {_mm(label)} lie over one another at {_mm(pitch)}", f"write {_mm(pitch)} or less")
        elif label < least - HAIR:
            yield problem(named, f"a label of {_mm(label)} holds no lettering", f"write {_mm(least)} or more")
    for key, count, end, room in (
        ("columns", sheet.columns, sheet.left + (sheet.columns - 1) * sheet.across + sheet.wide, wide),
        ("rows", sheet.rows, sheet.top + (sheet.rows - 1) * sheet.down + sheet.tall, tall),
    ):
        if not count:
            yield problem(key, f"a sheet of 0 {key} has no label", "write 1 or more")
        elif end > room + HAIR:
            yield problem(key, f"{count} {key} reach to {_mm(end)}, beyond {sheet.paper} with {_mm(room)}", "write fewer")


def _mm(metres: float) -> str:
    return f"{metres * 1000:.4g} mm"

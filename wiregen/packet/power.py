"""The power sheet of a door, or of what doors share: every figure by topic with its limit and what is left, and release curves.

It knows of a figure what the figure says of itself.  Formulas and inputs are for `wiregen study` and the record.
"""

from __future__ import annotations

from collections.abc import Sequence

from wiregen.packet.content import Cell, Facts, Notes, Section, Table, blocks
from wiregen.packet.figures import COLUMNS, called, fails, failure, lines, margin, on_paper, rows
from wiregen.packet.release import release_curves
from wiregen.packet.wording import TOPICS, by_topic, plural
from wiregen.quantities import typeset
from wiregen.reading.model import Door, Site
from wiregen.study.model import Figure, Study

TIGHT = 3  # how many of the figures with least left open the sheet


def power_sheet(site: Site, door: Door, study: Study) -> Section:
    figures = tuple(on_paper(figure, site.house) for figure in study.figures)
    topics = by_topic(filter(_of_use, figures))
    notes = dict.fromkeys(f.note for of_topic in topics.values() for f in of_topic if f.note)
    noted = {note: n for n, note in enumerate(notes, 1)}
    table: list[tuple[Cell, ...]] = []
    for topic, of_topic in topics.items():
        table += [(TOPICS[topic],), *rows(lines(of_topic, noted), noted)]
    return Section(
        key=f"{door.id}-power",
        title="Power sheet",
        blocks=blocks(
            Notes(tuple(map(failure, filter(fails, figures))), across=1, caption="Figures that do not hold", caution=True),
            _summary(door, figures),
            Table("", COLUMNS, tuple(table)),
            release_curves(study.releases),
            Notes(tuple(map(typeset, study.missing)), caption="Not computed"),
            Notes(tuple(map(typeset, noted)), across=3, caption="Defaults and assumptions, by number", numbered=True),
        ),
    )


def _of_use(figure: Figure) -> bool:
    """Whether somebody at the door needs it: what is bound to something, what is left, how long, and which class."""
    return figure.margin is not None or figure.topic in ("budget", "battery") or figure.unit in ("s", "h", "class")


def _summary(door: Door, figures: Sequence[Figure]) -> Facts:
    limited = [f for f in figures if f.margin is not None]
    failing = sum(map(fails, limited))
    verdict = f"{plural(failing, 'does', 'do')} not hold" if failing else "all hold" if limited else "none"
    tightest = sorted((f for f in limited if not fails(f)), key=lambda f: f.margin or 0.0)[:TIGHT]
    return Facts(
        (
            ("Figures", f"{len(figures)}, of them {len(limited)} with a limit: {verdict}; the rest stands in wiregen study"),
            ("Least left", "; ".join(f"{called(f)} {margin(f)}" for f in tightest) or "no figure with a limit"),
            ("Least, most", "worst cases over all tolerances: volts of the source, length, temperature, coil, resistors"),
            ("The bar", "from least to most, its notch at nominal; a stroke across it is what it must keep to"),
            ("Worked out", f"formula, inputs, source of each figure: wiregen study, --door {door.id}, and record.json"),
            ("To confirm", "wire sizes, fuses, circuit classes and fill: by a licensed electrician, to the local code"),
        ),
        caption="In short",
    )

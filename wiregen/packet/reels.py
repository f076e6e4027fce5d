"""What to buy of each cable: pieces, length with slack, and reels that the pieces can be cut from without a joint."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass

from wiregen.packet.pulls import Pull
from wiregen.reading.model import CableSheet, Site

SLACK = 0.10  # of what is pulled, where the house does not say: common practice, no source


@dataclass(frozen=True)
class Reel:
    """A type of cable.  `metres` is what is pulled, `assumed` so much of it that is a guess; `bought` has the slack in.

    `reels` is how many are needed of the size that the data sheet gives; None where it gives none, or for links, which come
    with their plugs on.  `longer` are the pieces that no reel holds.
    """

    sheet: CableSheet
    pieces: int
    metres: float
    assumed: float
    bought: float
    reels: int | None
    longer: tuple[str, ...]


def slack(site: Site) -> float:
    return site.slack.most if site.slack else SLACK


def reels(site: Site, listed: Iterable[Pull]) -> Iterator[Reel]:
    """Of all that is new, by type; a link is bought as long as it is pulled."""
    by_type: dict[str, list[Pull]] = {}
    for pull in listed:
        if not pull.existing:
            by_type.setdefault(pull.sheet.type, []).append(pull)
    for _, of in sorted(by_type.items()):
        sheet, longer_by = of[0].sheet, 1.0 if of[0].link else 1.0 + slack(site)
        holds = sheet.reel.nominal if sheet.reel and not of[0].link else None
        pieces = [(pull.length * longer_by, f"{pull.door} {pull.ref}") for pull in of]
        yield Reel(
            sheet,
            len(of),
            sum(pull.length for pull in of),
            sum(pull.length for pull in of if pull.assumed),
            sum(length for length, _ in pieces),
            cut_from([length for length, _ in pieces if length <= holds], holds) if holds else None,
            tuple(name for length, name in pieces if holds and length > holds),
        )


def cut_from(pieces: Iterable[float], holds: float) -> int:
    """How many reels the pieces are cut from, none of them jointed: the longest first, each from the first that has it left.

    At most 11/9 of the fewest that could do, and one more (first fit decreasing, D. S. Johnson, 1973).
    """
    left: list[float] = []
    for piece in sorted(pieces, reverse=True):
        at = next((n for n, room in enumerate(left) if room >= piece - 1e-9), None)
        if at is None:
            left.append(holds - piece)
        else:
            left[at] -= piece
    return len(left)

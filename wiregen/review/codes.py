"""Numbers of published codes that a rule may hold a door to, and only where the site names that code and edition.

Read in excerpts or from memory, never in the originals: the status stands beside each clause, and every finding that rests
on one says that another edition may differ.
"""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping
from dataclasses import dataclass

SENSOR_CLAUSES = {  # sensor-released locks: which clause of which edition
    ("IBC", "2012"): "1008.1.9.8",
    ("IBC", "2015"): "1010.1.9.8",
    ("IBC", "2018"): "1010.1.9.9",
    ("IBC", "2021"): "1010.2.12",  # from memory
    ("IBC", "2024"): "1010.2.11",  # from memory
    ("NFPA 101", "2012"): "7.2.1.6.2",
    ("NFPA 101", "2015"): "7.2.1.6.2",
}
BUTTON_HEIGHT = (40 * 0.0254, 48 * 0.0254)  # m above the floor
BUTTON_WITHIN = 5 * 0.3048  # m from the door
BUTTON_TIME = 30.0  # s that it interrupts the power, whatever the access system does
NAMED = re.compile(r"\b(IBC|NFPA 101)\b[\s-]*((?:19|20)\d\d)?")


@dataclass(frozen=True)
class Clause:
    """A clause that the site has bound itself to; `number` is empty where the edition's was not read."""

    code: str
    edition: str
    number: str

    def __str__(self) -> str:
        edition = self.edition or "edition not named"
        return f"{self.code} {edition}, {self.number or 'clause on sensor-released locks'}; another edition may differ"


def sensor_clauses(codes: Mapping[str, str]) -> Iterator[Clause]:
    """The clauses on sensor-released locks among the codes that a site names."""
    seen = set()
    for text in codes.values():
        for code, edition in NAMED.findall(text):
            if (code, edition) not in seen:
                seen.add((code, edition))
                yield Clause(code, edition, SENSOR_CLAUSES.get((code, edition), ""))

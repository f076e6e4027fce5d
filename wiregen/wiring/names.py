"""Designations for what wiring adds from the stock, clear of those that the author gave.

Class letters from memory of IEC 81346-2:2009 (R: restricting or stabilising, which covers diode, varistor, resistor and
inrush limiter alike) and IEEE 315 clause 22 (CR diode, RV varistor, RT thermal resistor, R resistor).
"""

from __future__ import annotations

from collections.abc import Iterable

LETTERS = {
    "iec": {},
    "ieee": {"diode": "CR", "tvs": "CR", "zener": "VR", "varistor": "RV", "limiter": "RT"},
}


class Names:
    """Gives out designations: class letter and the lowest number that nobody has."""

    def __init__(self, letters: str, taken: Iterable[str]) -> None:
        self._letters = LETTERS[letters]
        self._taken = set(taken)

    def next(self, kind: str) -> str:
        """A designation for an added part of that kind (diode, varistor, limiter, resistor ...)."""
        return self.numbered(self._letters.get(kind, "R"))

    def numbered(self, letter: str) -> str:
        number = 1
        while f"{letter}{number}" in self._taken:
            number += 1
        ref = f"{letter}{number}"
        self._taken.add(ref)
        return ref

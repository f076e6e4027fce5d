"""A coil that a contact switches, what lies across it, and the volts that stand there while its current dies away."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from wiregen.reading.model import Band, DataSheet, Part
from wiregen.study.copper import Supplied
from wiregen.study.decay import VARISTOR, VARISTOR_AMPS, VARISTOR_EXPONENT
from wiregen.study.formula import Value
from wiregen.study.load import amps, coil_of
from wiregen.study.model import Figure
from wiregen.wiring.model import Calmer, Wiring

FORWARD = Band(0.8, 0.6, 1.0, "V", "0.8 V")  # silicon diode at an ampere or less: common practice, no source
SPARK = Band(300, 150, 400, "V", "300 V")  # an opening contact: common practice, no source

NOTES = {
    "diode": "0.6 to 1.0 V forward: common practice, no source",
    "varistor": f"I ~ V ^ {VARISTOR_EXPONENT:g}, its clamp volts taken as those at 1 mA: common practice, no source",
    "spark": "the spark of the opening contact taken as 150 to 400 V above the source: common practice, no source",
}


@dataclass(frozen=True)
class Winding:
    """What the time of a release is worked out from."""

    inductance: Band
    resistance: Band
    volts: Band
    lets_go: Band

    @property
    def last(self) -> float:
        """Amps at which it has surely let go."""
        return self.lets_go.least / self.resistance.most


@dataclass(frozen=True)
class Coil:
    """A load that a contact switches, with what tames it.  `part` is None where its data sheet names no coil."""

    at: Supplied
    sheet: DataSheet
    part: Part | None
    volts: Band
    amps: Figure | None
    calmers: tuple[Calmer, ...]

    @property
    def name(self) -> str:
        return f"{self.at.device}.{self.at.load.name}"

    @property
    def alternating(self) -> bool:
        return self.at.load.current == "ac"

    @property
    def winding(self) -> Winding | None:
        """None where the data sheet lacks a value, and for alternating current."""
        part = self.part
        if self.alternating or part is None or not (part.inductance and part.resistance and part.lets_go):
            return None
        return Winding(part.inductance, part.resistance, self.volts, part.lets_go)

    def inside(self, calmer: Calmer) -> Part | None:
        """The part that does it, of the calmer's own data sheet or inside the lock; None where no data sheet names it."""
        ends = {self.at.load.first, self.at.load.second}
        parts = calmer.sheet.inside if calmer.sheet else tuple(p for p in self.sheet.inside if set(p.between) == ends)
        return next((p for p in parts if p.kind == calmer.word), None)

    def clamp(self, kind: str, part: Part | None) -> Value | None:
        """Volts across the coil with a part of that kind while its current dies away; None where they are not known.

        A varistor's fall with the current: its band is from those at the let-go current to those at the whole of it.
        """
        if kind in ("diode", "spark"):
            return FORWARD if kind == "diode" else SPARK
        if part is None or part.clamps is None or kind not in ("zener", "tvs", "varistor"):
            return None
        if kind != "varistor" or self.amps is None:
            return part.clamps
        last = self.winding.last if self.winding else self.amps.least / 10
        through = Band((self.amps.value + last) / 2, last, self.amps.most, "A", "")
        return VARISTOR.figure(
            "clamp volts",
            self.name,
            clamps=part.clamps,
            amps=through,
            one_milliampere=VARISTOR_AMPS,
            exponent=VARISTOR_EXPONENT,
        )


def coils(wiring: Wiring, loads: Sequence[Supplied]) -> tuple[Coil, ...]:
    """Every coil of the door's loads, and every load that has a calmer; in their order."""
    found = []
    for at in loads:
        sheet = wiring.devices[at.device].sheet
        tamed = tuple(c for c in wiring.calmers if (c.lock, c.coil) == (at.device, at.load.name))
        part = coil_of(sheet.inside, at.load)
        if at.volts and (tamed or part):
            found.append(Coil(at, sheet, part, at.volts, amps(wiring, at), tamed))
    return tuple(found)


def called(calmer: Calmer) -> str:
    """What a calmer is called in the name of a figure."""
    return f"{calmer.ref} ({calmer.word})" if calmer.ref else f"the {calmer.word} inside"

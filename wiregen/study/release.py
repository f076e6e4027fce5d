"""When a lock lets go after its contact opens: with its calmer, without, and with what else the site's stock holds."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np

from wiregen.reading.model import Band, Part, Site
from wiregen.study.coil import FORWARD, NOTES, SPARK, Coil, Winding, called
from wiregen.study.decay import CLAMPED, RELEASE, STORED, TAU, fall, ring, rung_figure, varistor_volts
from wiregen.study.model import Curve, Figure, Release

COMPARED = "for comparison"


@dataclass(frozen=True)
class Way:
    """One way in which the current of a coil can die away; `kind` is that of the calmer, or spark where there is none."""

    label: str
    kind: str
    part: Part | None = None
    note: str = ""

    @property
    def notes(self) -> str:
        return "; ".join(note for note in (self.note, NOTES.get(self.kind, "")) if note)


def releases(site: Site, coil: Coil) -> tuple[tuple[Figure, ...], Release | None, str]:
    """Times, energies and curves of one coil; else None and why there are none, with where to add what is missing."""
    if why := _why_not(coil):
        return (), None, why
    winding = coil.winding
    ways = _ways(site, coil)
    if winding is None or not ways:
        return (), None, ""
    figures = (*(_time(coil, winding, way) for way in ways), *_energies(coil, winding, ways[0]))
    shown = [_curve(winding, way) for way in ways if not way.note.startswith(COMPARED)]
    longest = max(curve.seconds[-1] for curve in shown)
    return figures, Release(coil.at.device, tuple(_until(curve, longest) for curve in shown), winding.last or None), ""


def _why_not(coil: Coil) -> str:
    device, type_ = coil.at.device, coil.sheet.type
    why = f"release time of {device}: "
    if coil.alternating:
        return why + "on alternating current it depends on where in the wave the contact opens"
    if any(c.word == "inside" for c in coil.calmers):
        return why + f"its data sheet {type_} does not tell what is fitted inside (calm: {{fitted: inside}})"
    for calmer in coil.calmers:
        if calmer.word not in ("limiter", "rc") and coil.clamp(calmer.word, coil.inside(calmer)) is None:
            sheet = calmer.sheet.type if calmer.sheet else type_
            return why + f"data sheet {sheet} gives no clamp volts (inside: - {{{calmer.word}: ..., clamps: ...}})"
    if coil.part is None:
        return why + f"its data sheet {type_} names no coil (inside: - {{coil: ..., inductance: ...}})"
    if coil.part.kind == "coil" and coil.winding is None:
        return why + f"its data sheet {type_} gives no inductance (inside: - {{coil: ..., inductance: ...}})"
    return ""


def _ways(site: Site, coil: Coil) -> list[Way]:
    has = [Way(f"with {called(c)}", c.word, coil.inside(c)) for c in coil.calmers if c.word != "limiter"]
    there = {way.kind for way in has}
    never = coil.sheet.calm.never if coil.sheet.calm else ()
    other: dict[str, Way] = {}
    for sheet in site.stock.calm:
        one = sheet.inside[0] if sheet.inside else None
        if one and one.kind not in there and (one.kind == "rc" or coil.clamp(one.kind, one) is not None):
            note = f"{COMPARED}; {coil.sheet.type} must never have one" if one.kind in never else COMPARED
            other.setdefault(one.kind, Way(f"with a {sheet.type} instead", one.kind, one, note))
    return [*has, Way("without calmer", "spark"), *other.values()]


def _time(coil: Coil, winding: Winding, way: Way) -> Figure:
    name, part = f"release time {way.label}", way.part
    inductance, resistance, volts, lets_go = winding.inductance, winding.resistance, winding.volts, winding.lets_go
    if way.kind == "rc" and part and part.resistance and part.capacitance:
        return rung_figure(
            name, coil.name, inductance, resistance, part.resistance, part.capacitance, volts, lets_go, note=way.notes
        )
    return RELEASE.figure(
        name, coil.name, inductance=inductance, resistance=resistance, volts=volts, clamp=coil.clamp(way.kind, part) or SPARK,
        lets_go=lets_go, note=way.notes,
    )  # fmt: skip


def _energies(coil: Coil, winding: Winding, way: Way) -> Iterator[Figure]:
    inductance, resistance = winding.inductance, winding.resistance
    yield TAU.figure("time constant of the coil", coil.name, inductance=inductance, resistance=resistance)
    if coil.amps is None:
        return
    yield STORED.figure("energy in the coil", coil.name, inductance=inductance, amps=coil.amps)
    if (clamp := coil.clamp(way.kind, way.part)) is not None:
        yield CLAMPED.figure(
            f"energy of each release {way.label}", coil.name, inductance=inductance, resistance=resistance, clamp=clamp,
            amps=coil.amps, note=way.notes,
        )  # fmt: skip


def _curve(winding: Winding, way: Way) -> Curve:
    henries, ohms, volts = winding.inductance.nominal, winding.resistance.nominal, winding.volts.nominal
    part = way.part
    if way.kind == "rc" and part and part.resistance and part.capacitance:
        return ring(way.label, henries, ohms, part.resistance.nominal, part.capacitance.nominal, volts)
    clamps: Band = {"diode": FORWARD, "spark": SPARK}.get(way.kind) or (part.clamps if part and part.clamps else SPARK)
    if way.kind == "varistor":
        return fall(way.label, henries, ohms, volts / ohms, lambda i: varistor_volts(clamps.nominal, i))
    return fall(way.label, henries, ohms, volts / ohms, lambda i: np.full_like(i, clamps.nominal))


def _until(curve: Curve, seconds: float) -> Curve:
    """The curve with its last current held to `seconds`, so that several share an axis."""
    if curve.seconds[-1] >= seconds:
        return curve
    return Curve(curve.label, (*curve.seconds, seconds), (*curve.amps, curve.amps[-1]))

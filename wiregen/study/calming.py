"""What tames a coil or an inrush: what it must stand, what the opening contact sees with it, and what a limiter costs."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import replace

from wiregen.reading.model import Part, Site
from wiregen.study.coil import NOTES, SPARK, Coil, called, coils
from wiregen.study.copper import Supplied
from wiregen.study.formula import Formula
from wiregen.study.model import Figure, Release
from wiregen.study.release import releases
from wiregen.wiring.model import Calmer, Wiring

RESERVE = 10  # times the circuit's volts that a diode should stand: common guidance, no source
ONE_WAY = ("diode", "zener")

_VOLTS = {"volts": "V"}
REVERSE = Formula("times * volts", "V", {"times": "", **_VOLTS}, "10 times the volts of the circuit, common guidance")
PEAK = Formula("sqrt(2) * volts", "V", _VOLTS, "peak of a sine wave")
WORKING = Formula("volts", "V", _VOLTS, "volts of the source")
SWITCHED = Formula("amps", "A", {"amps": "A"}, "the coil's own current")
SWITCHED_PEAK = Formula("sqrt(2) * amps", "A", {"amps": "A"}, "the coil's own current at the peak of a sine wave")
ACROSS = Formula(
    "volts + clamp", "V", {**_VOLTS, "clamp": "V"}, "volts of the source, and those across the coil in series with it"
)
RINGS = Formula(
    "volts + amps * sqrt(inductance / capacitance)", "V", {**_VOLTS, "amps": "A", "inductance": "H", "capacitance": "F"},
    "all of ½ L I² gone over into ½ C V², on top of the source",
)  # fmt: skip
STEP = Formula("amps * ohms", "V", {"amps": "A", "ohms": "ohm"}, "the coil's own current through the resistor")
RUSH = Formula("volts / (cold + esr)", "A", {**_VOLTS, "cold": "ohm", "esr": "ohm"}, "Ohm's law, the capacitor empty")
COLD = Formula("volts / amps", "ohm", {**_VOLTS, "amps": "A"}, "least cold ohms: volts over the most amps allowed")
CHARGE = Formula("0.5 * capacitance * volts ** 2", "J", {"capacitance": "F", **_VOLTS}, "½ C V²")
COST = Formula("warm * amps", "V", {"warm": "ohm", "amps": "A"}, "Ohm's law")
HEAT = Formula("warm * amps ** 2", "W", {"warm": "ohm", "amps": "A"}, "I² R")


def calming(
    site: Site, wiring: Wiring, loads: Sequence[Supplied]
) -> tuple[tuple[Figure, ...], tuple[Release, ...], tuple[str, ...]]:
    """Figures, release curves where a coil has an inductance, and what is missing for them."""
    figures: list[Figure] = []
    curves: list[Release] = []
    missing: list[str] = []
    for coil in coils(wiring, loads):
        for calmer in coil.calmers:
            part = coil.inside(calmer)
            figures += _limiter(coil, calmer, part) if calmer.word == "limiter" else _across(coil, calmer, part)
            missing += _unrated(coil, calmer, part)
        if coil.part:
            name = "volts across the opening contact without calmer"
            figures.append(ACROSS.figure(name, coil.name, volts=_working(coil), clamp=SPARK, note=NOTES["spark"]))
        of_release, curve, why = releases(site, coil)
        figures += of_release
        curves += [curve] if curve else []
        missing += [why] if why else []
    return tuple(replace(f, topic="calming") for f in figures), tuple(curves), tuple(missing)


def _working(coil: Coil) -> Figure:
    return (PEAK if coil.alternating else WORKING).figure("working volts", coil.name, volts=coil.volts)


def _unrated(coil: Coil, calmer: Calmer, part: Part | None) -> Iterator[str]:
    if calmer.word in ONE_WAY and (part is None or part.amps is None or part.reverse is None):
        type_ = calmer.sheet.type if calmer.sheet else coil.sheet.type
        what = f"what {called(calmer)} at {coil.at.device} stands: its data sheet {type_} gives no amps and volts"
        yield f"{what} (inside: - {{{calmer.word}: ..., rating: 1 A 400 V}})"


def _across(coil: Coil, calmer: Calmer, part: Part | None) -> Iterator[Figure]:
    """What a part across the coil must stand, and what the opening contact sees with it."""
    who, word = called(calmer), calmer.word
    working, amps = _working(coil), SWITCHED_PEAK if coil.alternating else SWITCHED
    if word in ONE_WAY:
        yield replace(
            REVERSE.figure(f"reverse volts that {who} should stand", coil.name, times=RESERVE, volts=coil.volts.most),
            ceiling=part.reverse if part else None, bound="its rating", cure=f"a diode of {RESERVE * coil.volts.most:.0f} V",
        )  # fmt: skip
    if word in (*ONE_WAY, "tvs") and coil.amps:
        yield replace(
            amps.figure(f"amps through {who} at release", coil.name, amps=coil.amps),
            ceiling=part.amps if part else None, bound="its rating", cure=f"a {word} of more amps",
        )  # fmt: skip
    if word in ("tvs", "varistor") and part and part.clamps:
        yield replace(
            working,
            name=f"working volts at {who}",
            ceiling=part.clamps.least,
            bound="the volts at which it begins to conduct",
            cure="one that clamps at more volts",
        )
    if word == "rc" and part and part.resistance and coil.amps:
        yield STEP.figure(f"volts across {who} as the contact opens", coil.name, amps=coil.amps, ohms=part.resistance)
        if coil.part and coil.part.inductance and part.capacitance:
            yield RINGS.figure(
                f"volts across the opening contact with {who}", coil.name, volts=coil.volts, amps=coil.amps,
                inductance=coil.part.inductance, capacitance=part.capacitance,
            )  # fmt: skip
    elif (clamp := coil.clamp(word, part)) is not None:
        yield ACROSS.figure(
            f"volts across the opening contact with {who}", coil.name, volts=working, clamp=clamp, note=NOTES.get(word, "")
        )


def limited_rush(at: Supplied, part: Part) -> Figure | None:
    """Amps that a cold limiter lets into a load; None where its cold ohms or the volts are not known."""
    if part.cold is None or at.volts is None:
        return None
    esr = at.load.esr or 0.0
    note = "" if at.load.esr else "the series resistance of its capacitor is not given and counts as nothing"
    return RUSH.figure(
        "inrush through the cold limiter", f"{at.device}.{at.load.name}", volts=at.volts, cold=part.cold, esr=esr, note=note
    )


def _limiter(coil: Coil, calmer: Calmer, part: Part | None) -> Iterator[Figure]:
    """What a series limiter does cold, and what it costs warm."""
    at, who = coil.at, called(calmer)
    if part is None:
        return
    if rush := limited_rush(at, part):
        yield rush
    if part.cold and at.output.peak:
        name = f"least cold ohms of {who} for {at.source}.{at.output.name}"
        yield replace(
            COLD.figure(name, coil.name, volts=coil.volts, amps=at.output.peak.amps),
            ceiling=part.cold.least,
            bound="its cold ohms",
            cure="a limiter of more cold ohms",
        )
    if at.load.capacitance:
        name = f"energy that {who} takes at each start"
        yield CHARGE.figure(name, coil.name, capacitance=at.load.capacitance, volts=coil.volts)
    if coil.amps:
        yield replace(
            SWITCHED.figure(f"amps through {who} at hold", coil.name, amps=coil.amps),
            ceiling=part.amps, bound="its rating", cure="a limiter of more amps",
        )  # fmt: skip
    if part.warm and coil.amps:
        yield replace(
            COST.figure(f"volts that {who} costs at hold", coil.name, warm=part.warm, amps=coil.amps),
            ceiling=coil.volts.least - at.load.range.least if at.load.range else None,
            bound=f"what the source gives at least, less what {at.device} needs", cure="a limiter of fewer warm ohms",
        )  # fmt: skip
        yield HEAT.figure(f"heat of {who} at hold", coil.name, warm=part.warm, amps=coil.amps)

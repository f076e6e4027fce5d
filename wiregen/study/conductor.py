"""Resistance of a conductor from its size, make-up and temperature; what it loses going and coming; how far it carries."""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence
from dataclasses import replace
from functools import lru_cache

from wiregen.reading.model import Band, CableSheet, Run
from wiregen.study.formula import Formula
from wiregen.study.model import Figure

# Annealed copper of 100 % IACS at 20 °C, as the copper wire tables give it (NBS Handbook 100)
MASS_RESISTIVITY = 0.15328  # ohm g/m2
DENSITY = 8.89e6  # g/m3
ALPHA = 0.00393  # 1/K, referred to 20 °C: NBS Handbook 100
RESISTIVITY = Formula(
    "mass_resistivity / density", "ohm m", {"mass_resistivity": "ohm g/m2", "density": "g/m3"}, "NBS Handbook 100"
)(mass_resistivity=MASS_RESISTIVITY, density=DENSITY)

# Most ohm/km of a plain copper core at 20 °C by size in mm2: IEC 60228, tables 1 to 3.  Class 1 is solid, 2 stranded, 5 and 6
# flexible; 1 and 2 are alike, and so are 5 and 6.
IEC_RIGID = {0.5: 36.0, 0.75: 24.5, 1.0: 18.1, 1.5: 12.1, 2.5: 7.41}
IEC_FLEXIBLE = {0.5: 39.0, 0.75: 26.0, 1.0: 19.5, 1.5: 13.3, 2.5: 7.98}
IEC_ALPHA = 0.004  # 1/K: the temperature factors of IEC 60228 are 1 / (1 + 0.004 (t - 20))

# How much longer strands are than the core that they make up.  ASTM B8 allows 2 % for the lay (from memory); the solid and
# the stranded column of NEC chapter 9 table 8 are 2.0 to 2.6 % apart.
SOLID = Band(1.0, 1.0, 1.0, "1", "solid")
STRANDED = Band(1.02, 1.02, 1.03, "1", "stranded")
UNTOLD = Band(1.02, 1.0, 1.03, "1", "solid or stranded")

# What a conductor may be at where its run says nothing: common practice, no source
INDOORS = Band(20, 10, 40, "K", "10..40 °C")
OUTDOORS = Band(20, -20, 50, "K", "-20..50 °C")

_KELVIN = {"alpha": "1/K", "celsius": "°C", "reference": "°C"}
PER_METRE = Formula(
    "resistivity * lay / area * (1 + alpha * (celsius - reference))", "ohm/m",
    {"resistivity": "ohm m", "lay": "", "area": "m2", **_KELVIN},
    "resistance of copper, NBS Handbook 100",
)  # fmt: skip
PER_METRE_IEC = Formula(
    "table * (1 + alpha * (celsius - reference))", "ohm/m", {"table": "ohm/m", **_KELVIN},
    "IEC 60228: most ohm/km of the class at 20 °C, and its temperature factor",
)  # fmt: skip
CORE = Formula("per_metre * length", "ohm", {"per_metre": "ohm/m", "length": "m"}, "one core, end to end")
LOSS = Formula(
    "2 * per_metre * length * amps", "V", {"per_metre": "ohm/m", "length": "m", "amps": "A"}, "Ohm's law, going and coming"
)
LONGEST = Formula(
    "loss / (2 * per_metre * amps)", "m", {"loss": "V", "per_metre": "ohm/m", "amps": "A"}, "Ohm's law, going and coming"
)
AREA = Formula(
    "2 * resistivity * length * amps / loss", "m2", {"resistivity": "ohm m", "length": "m", "amps": "A", "loss": "V"},
    "Ohm's law, going and coming",
)  # fmt: skip


def ohms_per_metre(sheet: CableSheet, celsius: Band | float) -> Figure:
    """Ohm/m of one core of that cable or wire, least and most over `celsius`.  Never refuses: a size is always given."""
    return copper(sheet.size, sheet.stranded, celsius, sheet.type)


@lru_cache(maxsize=1024)
def copper(size: Band, made: str | None, celsius: Band | float, about: str = "") -> Figure:
    """Ohm/m of a copper core of that section in m2, made up as `made` says ("solid", "class 5", "7 x 0.2 mm"; None: untold).

    A size of IEC 60228 counts with the most that its class allows, and at least with what solid copper of that section
    has; any other with the resistivity of copper.
    """
    name, squares = "one metre of core", round(size.nominal * 1e6, 6)
    most = (IEC_FLEXIBLE if _class(made) in (5, 6) else IEC_RIGID).get(squares)
    if most is not None and not size.text.endswith("AWG"):
        table = Band(most / 1000, RESISTIVITY / size.nominal, most / 1000, "ohm", f"{most} ohm/km")
        told = PER_METRE_IEC.figure(name, about, table=table, alpha=IEC_ALPHA, celsius=celsius, reference=20)
        note = "" if made else "the data sheet does not say how a core is made up; counted as class 1 or 2"
        return replace(told, topic="conductor", note=note)
    lay = UNTOLD if made is None else SOLID if _class(made) == 1 else STRANDED
    told = PER_METRE.figure(
        name, about, resistivity=RESISTIVITY, lay=lay, area=size, alpha=ALPHA, celsius=celsius, reference=20,
        source=f"{size.text} by ASTM B258" if size.text.endswith("AWG") else "",
    )  # fmt: skip
    note = {SOLID: "", STRANDED: "2 to 3 % for the lay of the strands"}.get(lay, "0 to 3 % for strands: the sheet says neither")
    return replace(told, topic="conductor", note=note)


def _class(made: str | None) -> int | None:
    """The class of IEC 60228 that the make-up names; 1 for solid; None where it names none."""
    if made and (named := re.search(r"class (\d)", made)):
        return int(named[1])
    return 1 if made and "solid" in made else None


def temperature(runs: Mapping[str, Run], along: Sequence[str]) -> Band:
    """Between what degrees a cable along these places lies: what their runs say, else indoors or outdoors."""
    runs_along = [runs[p] for p in along if p in runs and (runs[p].parent in along or len(along) == 1)]
    told = [run.temperature or (OUTDOORS if run.outdoor else INDOORS) for run in runs_along] or [INDOORS]
    least, most = min(t.least for t in told), max(t.most for t in told)
    nominal = min(max(20.0, least), most)
    return Band(nominal, least, most, "K", f"{least:g}..{most:g} °C")


def smallest(stock: Sequence[CableSheet], length: float, amps: float, loss: float, celsius: Band | float) -> CableSheet | None:
    """The thinnest cable of the stock that loses at most `loss` volts over `length` metres at `amps`; None where none does."""
    for sheet in sorted(stock, key=lambda s: (s.size.nominal, len(s.cores), s.type)):
        if LOSS(per_metre=ohms_per_metre(sheet, celsius).most, length=length, amps=amps) <= loss:
            return sheet
    return None

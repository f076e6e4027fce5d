"""A formula of the study: written once as text, and that text is what is worked out and what is printed.

So a printed figure can always be worked out again from what is printed beside it: the formula, its inputs and its source.
"""

from __future__ import annotations

import math
import re
from collections.abc import Mapping
from dataclasses import dataclass, field
from functools import lru_cache
from keyword import iskeyword
from types import CodeType

from wiregen.reading.model import Band
from wiregen.study.model import Figure

# What a formula may call; everything else in it is a name of an input, a number or an operator.
CALLS = {name: getattr(math, name) for name in ("sqrt", "log", "exp", "ceil", "floor", "pi", "inf")} | {"min": min, "max": max}

NAMES = {"__builtins__": {}, **CALLS}

Value = Band | Figure | float


@lru_cache(maxsize=4096)
def _compiled(text: str) -> CodeType:
    return compile(text, "<formula>", "eval")


@dataclass(frozen=True)
class Formula:
    """`text` is a Python expression over the names in `inputs`, each with its unit; `source` says where it comes from.

    An empty unit is a pure number.  Units are SI ("ohm/m", "m2", "A h") or what the source counts in, where it says so.
    """

    text: str
    unit: str
    inputs: Mapping[str, str]
    source: str
    _code: CodeType = field(init=False, repr=False, compare=False)

    def __post_init__(self) -> None:
        code = _compiled(self.text)
        strange = set(code.co_names) - self.inputs.keys() - CALLS.keys()
        unused = self.inputs.keys() - set(code.co_names)
        if strange or unused:
            raise ValueError(f"{self.text!r}: inputs without unit {sorted(strange)}, not used {sorted(unused)}")
        object.__setattr__(self, "_code", code)

    def __call__(self, **values: float) -> float:
        """The value for these inputs, one number.  Raises TypeError where an input is missing or not asked for."""
        if values.keys() != self.inputs.keys():
            raise TypeError(f"{self.text!r} takes {sorted(self.inputs)}, not {sorted(values)}")
        return float(eval(self._code, NAMES, values))

    def figure(self, name: str, about: str = "", *, note: str = "", source: str = "", **values: Value) -> Figure:
        """The figure over bands, figures or plain numbers: nominal, and its least and most over all their bands.

        Which end of each band makes the value grow is found by moving that input alone; so the formula must not turn round
        within a band.  `note` says which default or assumption stands in it; `source` adds to that of the formula.
        """
        bands = {name: _band(value) for name, value in values.items()}
        nominal = {name: band[0] for name, band in bands.items()}
        low, high = dict(nominal), dict(nominal)
        for name_, (_, least, most) in bands.items():
            if least == most:
                continue
            down, up = self(**{**nominal, name_: least}), self(**{**nominal, name_: most})
            low[name_], high[name_] = (least, most) if down <= up else (most, least)
        return Figure(
            name=name, value=self(**nominal), unit=self.unit, least=self(**low), most=self(**high), formula=self.text,
            inputs=nominal, units=dict(self.inputs), source="; ".join(s for s in (self.source, source) if s), about=about,
            note=note,
        )


def _band(value: Value) -> tuple[float, float, float]:
    match value:
        case Band():
            return value.nominal, value.least, value.most
        case Figure():
            return value.value, value.least, value.most
    return value, value, value


def identifier(text: str) -> str:
    """The text as a name that an input may have: `Y1.coil` is Y1_coil."""
    name = re.sub(r"\W", "_", text)
    return name if name.isidentifier() and not iskeyword(name) and name not in CALLS else f"of_{name}"


def total(unit: str, parts: Mapping[str, str], source: str) -> Formula:
    """The sum of the named parts, each in that unit; 0 where there is none.  `parts` are names to units."""
    return Formula(" + ".join(parts) or "0", unit, dict(parts), source)

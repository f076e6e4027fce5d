"""Values and their units as people read them, on paper and in messages."""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence
from math import inf, isinf

from wiregen.study.model import Figure

# Unit of a value → what it is printed in: (of so much and more, printed unit), largest first.
_PRINTED: Mapping[str, Sequence[tuple[float, str]]] = {
    **{unit: ((1e6, f"M{sign}"), (1e3, f"k{sign}"), (1.0, sign)) for unit, sign in (("V", "V"), ("ohm", "Ω"))},
    "W": ((1e3, "kW"), (1.0, "W"), (1e-3, "mW")),
    "A": ((1.0, "A"), (1e-3, "mA")),  # no thousandths of volts and ohms, as a meter shows them
    **{unit: ((1.0, unit), (1e-3, f"m{unit}"), (1e-6, f"µ{unit}"), (1e-9, f"n{unit}"), (1e-12, f"p{unit}")) for unit in "sJFH"},
    "m2": ((1e-6, "mm²"),),
    "ohm/m": ((1e-3, "Ω/km"),),
}


def typeset(text: str) -> str:
    """A text of a data sheet with units as they are printed: mm² for mm2, Ω for ohm, N·m, 2 × 1.5."""
    text = re.sub(r"(?<=\d) x (?=\d)", " × ", text)
    text = re.sub(r"(?<![A-Za-z])(k|m|M)?ohm(?![A-Za-z])", r"\1Ω", text)
    return text.replace("mm2", "mm²").replace("N m", "N·m")


def number(value: float, figures: int = 3) -> str:
    """So many figures, no trailing noughts, an exponent only for what is very small."""
    text = f"{value:.{figures}g}"
    return text if "e+" not in text else f"{float(text):.0f}"


def scale(value: float, unit: str) -> tuple[float, str]:
    """What a value is divided by before it is printed, and the unit that is printed behind it."""
    steps = _PRINTED.get(unit, ((1.0, "" if unit == "1" else typeset(unit)),))
    if value == 0 or isinf(value):
        return next((step for step in steps if step[0] == 1.0), steps[-1])
    return next((step for step in steps if abs(value) >= step[0] * 0.9995), steps[-1])


def as_told(value: float, unit: str, factor: float | None = None) -> float:
    """The value that a reader of the printed one takes it for: what is drawn of it says no more than what is written."""
    if isinf(value):
        return value
    factor = scale(value, unit)[0] if factor is None else factor
    return float(number(value / factor)) * factor


def quantity(value: float, unit: str, figures: int = 3) -> str:
    """"300 mA", "2.2 kΩ", "class 3"."""
    if unit == "class":
        return f"class {number(value)}"
    if value == inf:
        return "open" if unit == "ohm" else "no limit"
    factor, printed = scale(value, unit)
    return f"{number(value / factor, figures)} {printed}".rstrip()


def spread(least: float, most: float, unit: str) -> str:
    """From least to most: "11.4 to 12.6 V", "up to 1 Ω", "over 1 MΩ"; one value where both are one."""
    if most == inf:
        return f"over {quantity(least, unit)}"
    if least == most:
        return quantity(most, unit)
    if least == 0:
        return f"up to {quantity(most, unit)}"
    if unit == "class":
        return f"{number(least)} to {quantity(most, unit)}"
    factor, printed = scale(max(abs(least), abs(most)), unit)
    if number(least / factor) == number(most / factor):
        return quantity(most, unit)
    return f"{number(least / factor)} to {number(most / factor)} {printed}".rstrip()


def bound(figure: Figure) -> str:
    """What the worst of a figure must keep to: "at least 10.2 V", "10.8 to 13.2 V"; empty where it is bound to nothing."""
    floor, ceiling = figure.floor, figure.ceiling
    if floor is not None and ceiling is not None:
        return spread(floor, ceiling, figure.unit)
    if floor is not None:
        return f"at least {quantity(floor, figure.unit)}"
    return f"at most {quantity(ceiling, figure.unit)}" if ceiling is not None else ""


def percent(part: float) -> str:
    """With its sign, in whole per cent; one that is nearly nothing in tenths."""
    return f"{100 * part:+.{0 if abs(part) >= 0.095 else 1}f} %"

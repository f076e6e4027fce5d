"""Which IEC 60757 letters an ink colour can be taken for, by hue and lightness alone."""

from __future__ import annotations

import colorsys

from tests.proof.page import Colour


def _basic(rgb: Colour) -> set[str]:
    hue, light, _ = colorsys.rgb_to_hls(*rgb)
    hue *= 360
    spread = max(rgb) - min(rgb)
    if spread < 0.09:
        names = {
            "BK": light < 0.2,
            "GY": 0.35 < light < 0.9,
            "WH": light > 0.9,
            "SR": 0.6 < light < 0.9,
            "bare": 0.3 < light < 0.9,
            "natural": light > 0.6,
        }
    elif hue < 15 or hue >= 345:
        names = {"RD": light < 0.6, "PK": light >= 0.6, "BN": light < 0.36}
    elif hue < 45:
        names = {"OG": light >= 0.4, "BN": light < 0.45, "GD": light < 0.6, "bare": True, "natural": light > 0.75}
    elif hue < 70:
        names = {"YE": light > 0.35, "GD": light < 0.6, "natural": light > 0.6, "bare": light < 0.75}
    elif hue < 165:
        names = {"GN": True}
    elif hue < 195:
        names = {"TQ": True}
    elif hue < 250:
        names = {"BU": True, "SR": spread < 0.2, "GY": spread < 0.15}
    elif hue < 310:
        names = {"VT": True}
    else:
        names = {"PK": light > 0.5, "VT": light <= 0.5, "RD": light <= 0.45}
    return {name for name, fits in names.items() if fits}


def letters_of(colour: Colour, tracer: Colour | None) -> set[str]:
    """Every colour code that the drawn colours may stand for."""
    base = _basic(colour)
    if tracer is None:
        return base
    over = _basic(tracer)
    both = {f"{b}-{t}" for b in base for t in over}
    return both | ({"GNYE"} if {"GN-YE", "YE-GN"} & both else set())

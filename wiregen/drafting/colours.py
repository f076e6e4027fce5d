"""Colours of insulation: the letters of IEC 60757, their names, and the ink that shows them.

Ink is a shade that keeps apart on paper, not the RAL shade of the insulation.  Everything that colour says, letters say too.
"""

from __future__ import annotations

Rgb = tuple[float, float, float]

NAMES = {  # IEC 60757, in the order of its table
    "BK": "black",
    "BN": "brown",
    "RD": "red",
    "OG": "orange",
    "YE": "yellow",
    "GN": "green",
    "BU": "blue",
    "VT": "violet",
    "GY": "grey",
    "WH": "white",
    "PK": "pink",
    "GD": "gold",
    "TQ": "turquoise",
    "SR": "silver",
    "GNYE": "green-yellow",
}
OTHER = {"bare": "bare", "natural": "natural"}  # no insulation, or insulation that is not dyed

_INK = {
    "BK": 0x101010, "BN": 0x7A4416, "RD": 0xD4111E, "OG": 0xF28200, "YE": 0xF7D900, "GN": 0x0B8F3C, "BU": 0x1055B8,
    "VT": 0x7B2D95, "GY": 0xB4B4B4, "WH": 0xFFFFFF, "PK": 0xF7A3C4, "GD": 0xC79A1E, "TQ": 0x1FB5AD, "SR": 0xD3D8DC,
    "GNYE": 0x0B8F3C, "bare": 0xD9B48A, "natural": 0xF0E4C8,
}  # fmt: skip
DARK: Rgb = (0.13, 0.13, 0.13)  # casings


def _split(value: int) -> Rgb:
    return (value >> 16) / 255, (value >> 8 & 255) / 255, (value & 255) / 255


def base_and_tracer(colour: str) -> tuple[str, str | None]:
    """ "WH-RD" is a white lead with a red tracer; GNYE is green with yellow by itself."""
    if colour == "GNYE":
        return "GN", "YE"
    base, _, tracer = colour.partition("-")
    return base, tracer or None


def ink(letters: str) -> Rgb:
    """The ink of one colour; KeyError for letters that are not in the table."""
    return _split(_INK[letters])


def luminance(rgb: Rgb) -> float:
    """Relative luminance 0..1 (WCAG 2.1, "relative luminance")."""
    linear = (v / 12.92 if v <= 0.04045 else ((v + 0.055) / 1.055) ** 2.4 for v in rgb)
    return sum(k * v for k, v in zip((0.2126, 0.7152, 0.0722), linear, strict=True))


def contrast(rgb: Rgb) -> float:
    """Contrast ratio against white paper, 1..21 (WCAG 2.1, "contrast ratio")."""
    return 1.05 / (luminance(rgb) + 0.05)


def is_cased(colour: str) -> bool:
    """Whether a line of this colour needs a dark casing: lighter than 3 to 1 on paper (WCAG 2.1, 1.4.11), or traced.

    With a tracer the casing keeps the line whole where a white dash lies in a dark one.
    """
    base, tracer = base_and_tracer(colour)
    return tracer is not None or base == "bare" or contrast(ink(base)) < 3


def name_of(colour: str) -> str:
    """ "white, red tracer" for WH-RD."""
    if colour in NAMES or colour in OTHER:
        return NAMES.get(colour) or OTHER[colour]
    base, tracer = base_and_tracer(colour)
    return f"{name_of(base)}, {name_of(tracer)} tracer" if tracer else base

"""The one type family of all paper, shipped with the program (Source Sans, OFL), registered with reportlab by name.

A size is given in points; a capital is CAP of it high (660 of 1000 units, by the font's own OS/2 table).
"""

from __future__ import annotations

from functools import cache, lru_cache
from importlib.resources import files
from io import BytesIO
from typing import Any

REGULAR = "SourceSansPro-Regular"
BOLD = "SourceSansPro-Bold"
CAP = 0.66


@cache
def register() -> None:
    """Make both faces known to reportlab; to be called before anything is drawn or measured."""
    from reportlab.pdfbase.pdfmetrics import registerFont
    from reportlab.pdfbase.ttfonts import TTFont

    for name in (REGULAR, BOLD):
        registerFont(TTFont(name, BytesIO(files(__name__).joinpath(f"{name}.ttf").read_bytes())))


@lru_cache(maxsize=65536)
def width(text: str, size: float, bold: bool = False) -> float:
    """Width of a line of text in points."""
    from reportlab.pdfbase.pdfmetrics import stringWidth

    register()
    return float(stringWidth(text, BOLD if bold else REGULAR, size))


def fix_encoding(document: Any) -> None:
    """Gives each character of both faces its code and each face its name in a new reportlab document, used or not.

    So ink that was set in one document means the same in any other, and every document holds both faces whole.
    """
    from reportlab.pdfbase.pdfmetrics import getFont

    register()
    for name in (REGULAR, BOLD):
        font = getFont(name)
        font.splitString("".join(map(chr, sorted(font.face.charToGlyph))), document)
        font.getSubsetInternalName(0, document)

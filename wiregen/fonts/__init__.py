"""The one type family of all paper, shipped with the program (Source Sans, OFL), registered with reportlab by name.

A size is given in points; a capital is CAP of it high (660 of 1000 units, by the font's own OS/2 table).
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from copy import copy
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
        font = TTFont(name, BytesIO(files(__name__).joinpath(f"{name}.ttf").read_bytes()))
        font.face.makeSubset = _once(font.face.makeSubset)
        registerFont(font)


def _once(make: Callable[[tuple[int, ...]], bytes]) -> Callable[[Sequence[int]], bytes]:
    """The embedded part of a face is made once for all documents, as each takes the same parts."""
    kept = cache(make)
    return lambda codes: kept(tuple(codes))


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
        font.state[document] = copy(_encoded(name))
        font.getSubsetInternalName(0, document)


@cache
def _encoded(name: str) -> Any:
    """What reportlab notes of a document that uses each character of a face: nothing is added to it any more."""
    from reportlab.pdfbase.pdfmetrics import getFont
    from reportlab.pdfbase.ttfonts import TTFont

    font: TTFont = getFont(name)
    nobody = _Nobody()
    font.splitString("".join(map(chr, sorted(font.face.charToGlyph))), nobody)
    return font.state[nobody]


class _Nobody:
    """Stands for a document."""

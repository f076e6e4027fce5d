"""Prints a door's wiring sheets to PDF bytes, nothing but the sheets."""

from __future__ import annotations

import io
from collections.abc import Sequence

from reportlab.graphics import renderPDF
from reportlab.graphics.shapes import Drawing
from reportlab.pdfgen.canvas import Canvas

from wiregen.drafting.frame import field_for
from wiregen.drafting.layout import lay_out
from wiregen.drafting.sheet import draw_sheets
from wiregen.fonts import REGULAR, register
from wiregen.reading.model import Door, Site
from wiregen.wiring.model import Wiring


def print_door(site: Site, door: Door, wiring: Wiring) -> bytes:
    """The wiring sheets of one door."""
    layouts = lay_out(wiring, field_for(site.house), site.house)
    return print_sheets(draw_sheets(site, door, wiring, layouts, (), "0" * 64))


def print_sheets(sheets: Sequence[Drawing]) -> bytes:
    register()
    out = io.BytesIO()
    canvas = Canvas(out, invariant=1, pageCompression=0, initialFontName=REGULAR)
    for sheet in sheets:
        canvas.setPageSize((sheet.width, sheet.height))
        renderPDF.draw(sheet, canvas, 0, 0)
        canvas.showPage()
    canvas.save()
    return out.getvalue()

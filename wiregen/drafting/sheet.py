"""Draws the wiring sheets of one door: each page a `reportlab.graphics` drawing, for the PDF and for the SVG file alike."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from functools import cache

from reportlab.graphics.shapes import Drawing

from wiregen.drafting.areas import areas
from wiregen.drafting.boxes import draw_devices, draw_places, lettering
from wiregen.drafting.canvas import Canvas
from wiregen.drafting.copper import draw_copper
from wiregen.drafting.flow import Block, Column, Parts, flow, pour
from wiregen.drafting.frame import frame_of, notes_rect, paper_size
from wiregen.drafting.gaps import gaps_in
from wiregen.drafting.model import Layout, Rect
from wiregen.drafting.notes import blocks_for
from wiregen.drafting.revised import draw_mark
from wiregen.drafting.titleblock import draw_code, draw_frame, draw_title_block, heading_for, rule
from wiregen.reading.model import Door, House, Site
from wiregen.review.model import Finding
from wiregen.wiring.model import Wiring

AGAIN = 5  # times that notes are set, each with what the one before has shown


@dataclass(frozen=True)
class Uncoded:
    """A sheet without the code in its title block, which tells the hash of what is drawn: all before that, and after it."""

    before: Canvas
    after: Canvas
    code: str  # what stands before the hash


def draw_sheets(
    site: Site, door: Door, wiring: Wiring, layouts: Sequence[Layout], findings: Sequence[Finding], digest: str
) -> tuple[Drawing, ...]:
    """The wiring sheets of a door; `digest` is its content hash in hexadecimal."""
    return coded(draw_uncoded(site, door, wiring, layouts, findings), site.house, digest)


def coded(sheets: Sequence[Uncoded], house: House, digest: str) -> tuple[Drawing, ...]:
    """Sheets with the code of that content hash."""
    drawings = []
    for sheet in sheets:
        canvas = Canvas(*paper_size(house))
        draw_code(canvas, house, f"{sheet.code} {digest[:8].upper()}")
        canvas.drawing.contents = [*sheet.before.drawing.contents, *canvas.drawing.contents, *sheet.after.drawing.contents]
        drawings.append(canvas.drawing)
    return tuple(drawings)


def draw_uncoded(
    site: Site, door: Door, wiring: Wiring, layouts: Sequence[Layout], findings: Sequence[Finding]
) -> tuple[Uncoded, ...]:
    """The wiring sheets of a door, one a layout, and a sheet of notes after them where those do not fit beside the drawing.

    `findings` are those that mark this door.
    """
    house = site.house
    stops = sum(f.level == "stop" for f in findings)
    canvases = [Canvas(*paper_size(house)) for _ in layouts]
    for canvas, layout in zip(canvases, layouts, strict=True):
        _draw_layout(canvas, layout, wiring, house)
    noted = _noted(site, door, wiring, layouts)
    canvases += [Canvas(*paper_size(house)) for _ in range(len(layouts), len(noted))]
    for number, canvas in enumerate(canvases):
        canvas.drawing.contents += noted[number].drawing.contents
    sheets = []
    for number, canvas in enumerate(canvases, 1):
        document = "Wiring sheet" if number <= len(layouts) else "Wiring notes"
        heading = heading_for(site, door, document, number, len(canvases), stops)
        draw_frame(canvas, house, heading)
        rule(canvas, house)
        sheets.append(Uncoded(canvas, Canvas(*paper_size(house)), heading.code))
        draw_title_block(sheets[-1].after, house, heading)
    return tuple(sheets)


def _noted(site: Site, door: Door, wiring: Wiring, layouts: Sequence[Layout]) -> dict[int, Canvas]:
    """The notes alone, by page: those of each area on its own pages, what they do not hold behind all of them."""
    parts = tuple(areas(wiring))
    part = {ref: n for n, area in enumerate(parts) for ref in area.devices}
    pages: list[list[int]] = [[] for _ in parts]
    for n, layout in enumerate(layouts):
        pages[next((part[device.ref] for device in layout.devices), 0)].append(n)
    shown = {mark.wire for layout in layouts for mark in layout.marks}
    noted: dict[int, Canvas] = {}
    behind = len(layouts)
    for area, own in zip(parts, pages, strict=True):
        noted |= _notes(blocks_for(site, door, area, shown), {n: layouts[n] for n in own}, behind, site.house)
        behind = max(behind, max(noted, default=-1) + 1)
    return noted


def _notes(blocks: Sequence[Block], layouts: Mapping[int, Layout], behind: int, house: House) -> dict[int, Canvas]:
    """By page.  Set again where a block is cut, until each part knows of the others.  Further pages count from `behind`."""
    gaps = cache(lambda n: gaps_in(layouts[n]))  # the same however often notes are set
    parts = Parts()
    for _ in range(AGAIN):
        canvases = _set_notes(blocks, tuple(layouts), behind, gaps, house, parts)
        if parts.cut == parts.before:
            return canvases
        parts = Parts(parts.cut)
    return _set_notes(blocks, tuple(layouts), behind, gaps, house, Parts())


def _set_notes(
    blocks: Sequence[Block], pages: Sequence[int], behind: int, gaps: Callable[[int], tuple[Rect, ...]], house: House,
    parts: Parts,
) -> dict[int, Canvas]:  # fmt: skip
    """`gaps`: the room that is left on each of these pages."""
    canvases = {n: Canvas(*paper_size(house)) for n in pages}
    columns = [Column.of(n, box) for n in pages for box in _strip(house)]
    rest = flow(blocks, columns, canvases, parts)
    if rest:
        columns += [Column.of(n, box, apart=True) for n in pages for box in gaps(n)]
        rest = pour(flow(rest, columns, canvases, parts), columns, canvases, parts)
    while rest:
        columns = [Column.of(behind, box) for box in _whole(house)]
        canvases[behind] = Canvas(*paper_size(house))
        behind += 1
        rest = pour(rest, columns, canvases, parts)
    return canvases


def _draw_layout(canvas: Canvas, layout: Layout, wiring: Wiring, house: House) -> None:
    draw_places(canvas, layout)
    draw_devices(canvas, layout, wiring, house.symbols)
    draw_copper(canvas, layout)
    for text in lettering(layout):
        canvas.write(text.text, text.at, text.size, text.align, text.bold)
    for mark in layout.marks:
        draw_mark(canvas, mark)


def _strip(house: House) -> tuple[Rect, ...]:
    """The columns of notes beside the title block."""
    box, count, gap = notes_rect(house), 3, 3.0
    width = (box.w - gap * (count + 1)) / count
    return tuple(Rect(box.x + gap + n * (width + gap), box.y + 1.1, width, box.h - 1.5) for n in range(count))


def _whole(house: House) -> tuple[Rect, ...]:
    """The columns of a sheet of notes."""
    frame, strip, count, gap = frame_of(house), notes_rect(house), 4, 5.0
    width = (frame.w - gap * (count + 1)) / count
    low = strip.y + strip.h + 3
    return tuple(Rect(frame.x + gap + n * (width + gap), low, width, frame.y + frame.h - 4 - low) for n in range(count))

"""Sections set in type: each becomes pages, the same wherever they are bound."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import partial
from io import BytesIO
from typing import Any

from reportlab.graphics import renderPDF
from reportlab.graphics.shapes import Drawing
from reportlab.lib.units import mm
from reportlab.platypus import BaseDocTemplate, Flowable, Frame, NextPageTemplate, PageBreak, PageTemplate, Spacer

from wiregen.fonts import REGULAR, register
from wiregen.packet.content import Section
from wiregen.packet.flow import GAP, flow
from wiregen.packet.page import Page
from wiregen.packet.paper import BINDING, EDGE, FOOT, PAPERS, PageCanvas, Running, furnish, room


@dataclass(frozen=True)
class Part:
    """A section as it is printed: running head and foot, bookmarks with their levels, and its drawing, a page of its own."""

    section: Section
    running: Running
    bookmarks: tuple[tuple[str, int], ...] = ()
    drawing: Drawing | None = None


class _Opens(Flowable):  # type: ignore[misc]
    """Marks where a section begins."""

    def __init__(self, part: Part) -> None:
        super().__init__()
        self.part = part

    def wrap(self, _width: float, _height: float) -> tuple[float, float]:
        return 0, 0

    def draw(self) -> None:
        self.canv.opens(self.part.section.key, self.part.bookmarks)


def _furnish(part: Part, paper: tuple[float, float], canvas: PageCanvas, _: BaseDocTemplate) -> None:
    if part.drawing is not None:
        renderPDF.draw(part.drawing, canvas, 0, 0)
    furnish(canvas, paper, part.running, drawn=part.drawing is not None)


def typeset(parts: Sequence[Part], house_paper: str) -> tuple[Page, ...]:
    """The pages of all parts, each beginning a new page."""
    if not parts:
        return ()
    register()
    paper = PAPERS[house_paper]
    frame = (BINDING, EDGE + FOOT, *room(house_paper))
    document = BaseDocTemplate(BytesIO(), pagesize=paper, initialFontName=REGULAR)
    story: list[Flowable] = []
    for number, part in enumerate(parts):
        document.addPageTemplates(
            PageTemplate(
                id=part.section.key,
                frames=[Frame(*frame, leftPadding=0, rightPadding=0, topPadding=0, bottomPadding=0)],
                onPage=partial(_furnish, part, paper),
                pagesize=paper,
            )
        )
        if number:
            story += [NextPageTemplate(part.section.key), PageBreak()]
        story.append(_Opens(part))
        for nth, block in enumerate(part.section.blocks):
            story += [Spacer(0, GAP), flow(block, frame[2])] if nth else [flow(block, frame[2])]
        if not part.section.blocks:
            story.append(Spacer(0, 1 * mm))  # a page with nothing in its frame would be left out
    made: list[PageCanvas] = []

    def canvas(*args: Any, **options: Any) -> PageCanvas:
        made.append(PageCanvas(*args, **options))
        return made[-1]

    document.build(story, canvasmaker=canvas)
    return tuple(made[-1].set)

"""Sections set in type and printed into one PDF: same values in, same bytes out."""

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
from wiregen.packet.flow import flow
from wiregen.packet.paper import BINDING, EDGE, FOOT, HEAD, PAPERS, PacketCanvas, Running, furnish


@dataclass(frozen=True)
class Part:
    """A section as it is printed: its running head and foot, its bookmark and the level of it, and its drawing."""

    section: Section
    running: Running
    level: int = 0
    bookmark: str = ""
    drawing: Drawing | None = None


class _Opens(Flowable):  # type: ignore[misc]
    """Marks where a section begins."""

    def __init__(self, part: Part) -> None:
        super().__init__()
        self.part = part

    def wrap(self, _width: float, _height: float) -> tuple[float, float]:
        return 0, 0

    def draw(self) -> None:
        self.canv.opens(self.part.section.key, self.part.bookmark or self.part.section.title, self.part.level)


def _furnish(part: Part, paper: tuple[float, float], canvas: PacketCanvas, _: BaseDocTemplate) -> None:
    if part.drawing is not None:
        renderPDF.draw(part.drawing, canvas, 0, 0)
    furnish(canvas, paper, part.running, head=part.drawing is None)


def press(parts: Sequence[Part], house_paper: str, title: str, author: str, subject: str) -> bytes:
    """One PDF of all parts, each beginning a new page.  Bookmarks follow the levels; links lead to the sections' keys."""
    register()
    paper = PAPERS[house_paper]
    wide, tall = paper
    frame = (BINDING, EDGE + FOOT, wide - BINDING - EDGE, tall - 2 * EDGE - HEAD - FOOT)
    out = BytesIO()
    document = BaseDocTemplate(
        out, pagesize=paper, title=title, author=author, subject=subject, creator="wiregen", producer="wiregen",
        invariant=1, pageCompression=0, initialFontName=REGULAR, lang="en",
    )
    story: list[Flowable] = []
    for number, part in enumerate(parts):
        template = PageTemplate(
            id=part.section.key,
            frames=[Frame(*frame, leftPadding=0, rightPadding=0, topPadding=0, bottomPadding=0)],
            onPage=partial(_furnish, part, paper),
            pagesize=paper,
        )
        document.addPageTemplates(template)
        if number:
            story += [NextPageTemplate(part.section.key), PageBreak()]
        story.append(_Opens(part))
        for block in part.section.blocks:
            story += flow(block, frame[2])
        if part.drawing is not None:
            story.append(Spacer(0, 1 * mm))
    document.build(story, canvasmaker=_canvas)
    return out.getvalue()


def _canvas(*args: Any, **options: Any) -> PacketCanvas:
    return PacketCanvas(*args, **{**options, "initialFontName": REGULAR})



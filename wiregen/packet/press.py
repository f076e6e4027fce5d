"""Pages bound into one PDF: page numbers, links and bookmarks stamped, each face embedded once; same in, same bytes out."""

from __future__ import annotations

from collections.abc import Collection, Mapping, Sequence
from io import BytesIO

from reportlab.pdfgen.canvas import Canvas

from wiregen.fonts import REGULAR, fix_encoding, register
from wiregen.packet.page import Page
from wiregen.packet.paper import PAPERS

ROMAN = ((50, "l"), (40, "xl"), (10, "x"), (9, "ix"), (5, "v"), (4, "iv"), (1, "i"))


def press(
    pages: Sequence[Page], house_paper: str, title: str, author: str, subject: str, ahead: Sequence[Page] = (),
    only: Collection[int] | None = None,
) -> bytes:  # fmt: skip
    """One PDF of all pages.  Bookmarks follow their levels; links lead to the sections' keys.

    With `only`, no more than the pages of those numbers, which they carry as among all; `ahead` go before them with Roman
    numbers of their own.  Raises KeyError where a number or a link stands for a section that is not bound with it.
    """
    register()
    out = BytesIO()
    canvas = Canvas(out, pagesize=PAPERS[house_paper], invariant=1, pageCompression=0, initialFontName=REGULAR, lang="en")
    fix_encoding(canvas._doc)
    for write, value in (
        (canvas.setTitle, title), (canvas.setAuthor, author), (canvas.setSubject, subject), (canvas.setCreator, "wiregen"),
        (canvas.setProducer, "wiregen"),
    ):  # fmt: skip
        write(value)
    canvas.showOutline()
    page_of = {opens.key: number for number, page in enumerate(pages, 1) for opens in page.opens}
    bound = set(page_of.values() if only is None else only)
    for number, page in enumerate(ahead, 1):
        _stamp(canvas, page, _roman(number), _roman(len(ahead)), page_of, bound)
        canvas.showPage()
    for number, page in enumerate(pages, 1):
        if only is None or number in only:
            _stamp(canvas, page, str(number), str(len(pages)), page_of, bound)
            canvas.showPage()
    canvas.save()
    return out.getvalue()


def _roman(number: int) -> str:
    text = ""
    for value, letters in ROMAN:
        text, number = text + letters * (number // value), number % value
    return text


def _stamp(
    canvas: Canvas, page: Page, own: str, pages: str, page_of: Mapping[str, int], bound: Collection[int]
) -> None:
    canvas._code.append(page.ink)
    for number in page.numbers:
        page_number = str(page_of[number.of]) if number.of else own
        words = number.words.replace("{page}", page_number).replace("{pages}", pages)
        canvas.saveState()
        canvas.setFont(REGULAR, number.size)
        if number.upwards:
            canvas.rotate(90)
            canvas.drawString(number.y, -number.x, words)
        else:
            canvas.drawRightString(number.x, number.y, words)
        canvas.restoreState()
    for link in page.links:
        if page_of[link.key] in bound:
            canvas.linkRect("", link.key, link.corners)
    for opens in page.opens:
        canvas.bookmarkPage(opens.key, fit="Fit")
        for title, level in opens.bookmarks:
            name = f"{opens.key} {level}"  # one name a bookmark: several may stand on one page
            canvas.bookmarkPage(name, fit="Fit")
            canvas.addOutlineEntry(title, name, level, closed=1)

"""Reads release chains back off the printed page: boxes in order, terminals in them, wire numbers between them."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Any

from tests.packet.pages import MM, opened

OVER = 5.0 * MM  # from a line up to the top edge of the boxes on it
DESIGNATION, LETTER = 3.5 * MM, 2.5 * MM  # heights of capitals
CAP = 0.66  # of the size of the face


@dataclass(frozen=True)
class Box:
    """A thing as it stands on paper: its designation, the words in its box, and the line on which it stands."""

    ref: str
    marks: tuple[str, ...]
    page: int
    level: float
    x0: float
    x1: float
    field: bool


@dataclass(frozen=True)
class Row:
    """What stands on one level: boxes from left to right, and all words that look like wire numbers around the line."""

    boxes: tuple[Box, ...]
    words: tuple[tuple[float, str], ...]

    def wires(self, after: float, before: float) -> set[str]:
        """The numbers printed between two places of the line."""
        return {text for x, text in self.words if after <= x < before}


def rows(pdf: bytes, door: str) -> list[Row]:
    """All levels of the release pages of a door, in order."""
    found = []
    with opened(pdf) as document:
        for number, page in enumerate(document.pages):
            head = page.crop((0, 0, page.width, 30 * MM)).extract_text()
            if head.startswith(f"{door} ") and "Egress and release chain" in head:
                found += list(_on_page(page, number))
    return found


def _on_page(page: Any, number: int) -> Iterator[Row]:
    words = page.extract_words(keep_blank_chars=True, x_tolerance=2.5, extra_attrs=["size", "fontname"])
    small = page.extract_words(keep_blank_chars=False, x_tolerance=1.5, extra_attrs=["size"])
    rects = [r for r in page.rects if r["height"] > 8 * MM]
    fields = [w for w in small if w["text"] == "tested"]
    boxes: dict[float, list[Box]] = {}
    for word in words:
        if "Bold" not in word["fontname"] or abs(word["size"] * CAP - DESIGNATION) > 0.4 * MM or word["top"] < 19 * MM:
            continue
        # a thing is drawn in the middle of its lettering
        x = word["x0"]
        below = [r for r in rects if r["top"] > word["top"] and (-1 < r["x0"] - x < 9 * MM or r["x0"] <= x <= r["x1"])]
        if not below:
            continue
        box = min(below, key=lambda r: (round(r["top"]), abs(r["x0"] - word["x0"])))
        if box["top"] - word["bottom"] > 14 * MM:
            continue
        inside = tuple(
            w["text"]
            for w in small
            if box["x0"] <= w["x0"] and w["x1"] <= box["x1"] + 1 and box["top"] <= w["top"] and w["bottom"] <= box["bottom"] + 3
        )
        field = any(0 < f["top"] - box["bottom"] < 35 * MM and abs(f["x0"] - word["x0"]) < 3 * MM for f in fields)
        level = round(box["top"] + OVER, 0)
        boxes.setdefault(level, []).append(Box(word["text"], inside, number, level, box["x0"], box["x1"], field))
    for level in sorted(boxes):
        near = [w for w in small if -16 * MM < w["top"] - level < 3 * MM and abs(w["size"] * CAP - LETTER) < 0.2 * MM]
        in_row = tuple(sorted(boxes[level], key=lambda b: b.x0))
        yield Row(in_row, tuple((w["x0"], w["text"]) for w in near if w["text"] != "site"))

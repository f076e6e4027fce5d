"""Sizes that placing shares with drawing: how wide a text is, and how much room the parts of a sheet want.  Millimetres."""

from __future__ import annotations

import re
from functools import lru_cache

from wiregen import fonts
from wiregen.drafting.ink import LETTER, SMALL, TERMINAL

_MM = 72 / 25.4
_UNIT = re.compile(r"(\d) ([^\s,;.)]{1,3})(?=[\s,;.)]|$)")  # a number keeps its unit

GRID = 2.5  # all rows lie on it
ABOVE = 0.9  # from the axis of a conductor to the baseline of its label
CLEARANCE = 0.5  # between a terminal's circle and a label
LABEL_ROOM = TERMINAL / 2 + CLEARANCE + 0.8  # what a label's zone is wider than its text
TITLE_ABOVE = 4.2  # from the axis of a cable's first core to the baseline of the cable's title, over that core's label
OVAL = 3.0  # width of a jacket mark
OVAL_OVER = 0.9  # how far it reaches beyond its outermost cores
TRACK = 3.0  # pitch of vertical pieces in a channel
SYMBOL = 10.0  # width that a box keeps free between marks and name for what is drawn inside
DETAIL = SMALL  # capitals of names and titles


@lru_cache(maxsize=8192)
def width(text: str, height: float = LETTER, bold: bool = False) -> float:
    """Width of a line of text whose capitals are `height` mm."""
    return fonts.width(text, height * _MM / fonts.CAP, bold) / _MM


@lru_cache(maxsize=8192)
def wrap(text: str, room: float, height: float = SMALL) -> tuple[str, ...]:
    """The words of a text in lines no wider than `room`, a longer word in a line of its own."""
    lines: list[str] = []
    for word in _UNIT.sub("\\1\u00a0\\2", text).split(" "):
        if lines and width(f"{lines[-1]} {word}", height) <= room:
            lines[-1] += f" {word}"
        else:
            lines.append(word)
    return tuple(line.replace("\u00a0", " ") for line in lines)

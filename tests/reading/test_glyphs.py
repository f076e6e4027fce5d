"""The ranges of printable characters against the fonts themselves."""

from __future__ import annotations

import unicodedata
from pathlib import Path

import pytest
from fontTools.ttLib import TTFont

from wiregen.reading.glyphs import covered, unprintable

FONTS = Path(__file__).parents[2] / "wiregen" / "fonts"


def test_coverage_is_what_both_fonts_have() -> None:
    both = set.intersection(*(set(TTFont(path).getBestCmap()) for path in sorted(FONTS.glob("*.ttf"))))
    stacked = ("Cc", "Cf", "Cn", "Co", "Mn", "Zl", "Zp")  # invisible, unassigned, or set over another letter
    expected = {point for point in both if point >= 0x7F and unicodedata.category(chr(point)) not in stacked}
    assert covered() == expected
    assert set(range(0x20, 0x7F)) <= both


@pytest.mark.parametrize(
    "text", ["Ω µ ² ≤ ± ° ×", "Łódź, Győr, Čáslav, Ørsted, Nuñez, Æther", "a – b — ‘c’ “d” …", "<A&B> 'x' \"y\""]
)
def test_printed_right(text: str) -> None:
    assert unprintable(text) is None


@pytest.mark.parametrize(
    "point", [0x0, 0x7, 0x7F, 0x85, 0xAD, 0x200B, 0x200F, 0x202E, 0x2066, 0x2028, 0xFEFF, 0x5D0, 0x627, 0x4E2D, 0x1F600, 0xE000]
)
def test_refused(point: int) -> None:
    assert unprintable(f"a{chr(point)}b")

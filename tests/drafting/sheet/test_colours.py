"""Letters of insulation colours and the ink that shows them."""

import re
from pathlib import Path

import pytest

from wiregen.drafting.colours import NAMES, base_and_tracer, contrast, ink, is_cased, name_of

# IEC 60757:2021, letter codes, typed from its table.
IEC_60757 = {
    "BK": "black", "BN": "brown", "RD": "red", "OG": "orange", "YE": "yellow", "GN": "green", "BU": "blue", "VT": "violet",
    "GY": "grey", "WH": "white", "PK": "pink", "GD": "gold", "TQ": "turquoise", "SR": "silver", "GNYE": "green-yellow",
}  # fmt: skip
DEVICES = Path(__file__).parents[3] / "door_specs" / "devices"


def test_letters_are_those_of_iec_60757() -> None:
    assert NAMES == IEC_60757


def test_every_colour_of_the_demo_has_ink() -> None:
    words = {w for f in DEVICES.glob("*.yaml") for w in re.findall(r"\b(?:[A-Z]{2}-[A-Z]{2}|[A-Z]{2})\b", f.read_text())}
    known = {w for w in words if set(base_and_tracer(w)) - {None} <= set(NAMES)}
    assert len(known) > 15
    for colour in known:
        assert all(0 <= v <= 1 for v in ink(base_and_tracer(colour)[0]))


def test_base_and_tracer_are_told_apart() -> None:
    assert base_and_tracer("WH-RD") == ("WH", "RD")
    assert base_and_tracer("RD-WH") == ("RD", "WH")
    assert base_and_tracer("GNYE") == ("GN", "YE")
    assert name_of("WH-RD") == "white, red tracer"
    assert name_of("GNYE") == "green-yellow"


def test_what_is_pale_on_paper_has_a_casing() -> None:
    """WCAG 2.1, 1.4.11: graphics need a contrast of 3 to 1."""
    assert contrast((1, 1, 1)) == pytest.approx(1.0)
    assert contrast((0, 0, 0)) == pytest.approx(21.0)
    for letters in NAMES:
        base = base_and_tracer(letters)[0]
        assert is_cased(letters) or contrast(ink(base)) >= 3
    assert all(is_cased(c) for c in ("WH", "YE", "PK", "GY", "SR", "bare", "natural", "BK-WH"))
    assert not any(is_cased(c) for c in ("BK", "BN", "RD", "GN", "BU", "VT"))

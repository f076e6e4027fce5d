"""Parts inside a data sheet: each kind that its schema knows is read, with the values that the study works with."""

from __future__ import annotations

import json
import shutil
from pathlib import Path
from typing import Any

import pytest

from wiregen.reading.load import load_site
from wiregen.reading.model import DataSheet, Part

ROOT = Path(__file__).parents[2]
DEFS: dict[str, Any] = json.loads((ROOT / "schemas" / "data-sheet.json").read_text("utf-8"))["$defs"]
KINDS = sorted(name.removeprefix("part-") for name in DEFS if name.startswith("part-"))


def _read(folder: Path, *parts: dict[str, Any]) -> tuple[Part, ...]:
    """The parts of the lock of a good site that has these inside, between its two terminals."""
    shutil.copytree(ROOT / "tests" / "bad_input" / "good", folder / "site")
    shutil.copytree(ROOT / "door_specs" / "devices", folder / "devices")
    path = folder / "site" / "devices" / "try-lock.yaml"
    text = path.read_text(encoding="utf-8")
    inside = "".join(f"  - {json.dumps(part, ensure_ascii=False)}\n" for part in parts)
    head, _, rest = text.partition("inside:\n")
    path.write_text(f"{head}inside:\n{inside}{rest.partition(chr(10))[2]}", encoding="utf-8")
    sheet = load_site(folder / "site").sheets["try-lock"]
    assert isinstance(sheet, DataSheet)
    return sheet.inside


@pytest.mark.parametrize("kind", KINDS)
def test_every_kind_is_read(tmp_path: Path, kind: str) -> None:
    (example,) = DEFS[f"part-{kind}"]["examples"]
    (part,) = _read(tmp_path, {**example, kind: ["1", "2"]})
    assert part.kind == kind
    assert part.between == ("1", "2")
    for key in example.keys() - {kind}:
        assert getattr(part, key.replace("-", "_")) is not None


def test_a_rating_is_read_as_amps_and_volts(tmp_path: Path) -> None:
    diode, limiter = _read(
        tmp_path,
        {"diode": ["2", "1"], "rating": "1 A 400 V"},
        {"limiter": ["1", "2"], "cold": "10 ohm", "warm": "0.6 ohm", "rating": "2 A"},
    )
    assert (diode.amps, diode.reverse) == (1, 400)
    assert (limiter.amps, limiter.reverse) == (2, None)

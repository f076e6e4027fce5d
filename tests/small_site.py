"""Small sites for tests: given texts, with just the data sheets of the demo that they name."""

from __future__ import annotations

import re
import shutil
from collections.abc import Mapping
from pathlib import Path

ROOT = Path(__file__).resolve().parents[1]
DEVICES = ROOT / "door_specs" / "devices"


def lay_out_site(folder: Path, site: str, doors: Mapping[str, str]) -> Path:
    """Writes `folder`/site.yaml and doors/NAME.yaml, and beside them the data sheets whose type the texts name."""
    (folder / "doors").mkdir(parents=True)
    (folder / "site.yaml").write_text(site, encoding="utf-8")
    for name, text in doors.items():
        (folder / "doors" / f"{name}.yaml").write_text(text, encoding="utf-8")
    (folder / "devices").mkdir()
    waiting = {word for text in (site, *doors.values()) for word in re.findall(r"[\w.-]+", text)}
    while waiting:
        for word in sorted(waiting):
            if (DEVICES / f"{word}.yaml").is_file():
                shutil.copy(DEVICES / f"{word}.yaml", folder / "devices")
        sheets = [path.read_text("utf-8") for path in (folder / "devices").glob("*.yaml")]
        bases = {base for sheet in sheets for base in re.findall(r"^like: (\S+)", sheet, re.M)}
        waiting = {base for base in bases if not (folder / "devices" / f"{base}.yaml").exists()}
    return folder

"""Sites of many doors for the bench: copies of the demo's, each with its own closets, ids, lengths and ports."""

from __future__ import annotations

import re
import shutil
from collections.abc import Sequence
from pathlib import Path
from random import Random

SPECS = Path(__file__).parents[1] / "door_specs"
DEMO = SPECS / "fernhill"


def many_doors(folder: Path, doors: int) -> Path:
    """A site of that many doors below `folder`, plausible and always the same: the demo's 22 kinds of doors again and again,
    with two closets and a machine room for each 22.

    No two doors print the same: ids, lengths, ports and places differ.
    """
    site = folder / f"doors-{doors}"
    (site / "doors").mkdir(parents=True)
    (site / "kits").mkdir()
    shutil.copytree(SPECS / "devices", folder / "devices", dirs_exist_ok=True)
    specs, kits = ({p.stem: p.read_text("utf-8") for p in sorted((DEMO / of).glob("*.yaml"))} for of in ("doors", "kits"))
    specs |= {name: specs.pop(name) for name in ("D116", "D117")}  # a pair, which only a whole copy has
    demo = (DEMO / "site.yaml").read_text("utf-8")
    before, rest = demo.split("runs:", 1)
    runs, rest = rest.split("shared:\n", 1)
    shared, joint = rest.split("joint:\n", 1)
    parts: dict[str, list[str]] = {"runs": [], "shared": [], "joint": []}
    for number, first in enumerate(range(0, doors, len(specs))):
        random, copy = Random(number), Copy(number, re.findall(r"^  ([A-Z]+\d+):", shared, re.MULTILINE), tuple(kits))
        parts["runs"].append(copy.of(runs.strip().removeprefix("{").removesuffix("}")))
        parts["shared"].append(copy.of(shared))
        if first + len(specs) <= doors:
            parts["joint"].append(copy.of(joint))
        for name, text in kits.items():
            (site / "kits" / f"{copy.of(name)}.yaml").write_text(copy.of(text), encoding="utf-8")
        for name, text in list(specs.items())[: doors - first]:
            (site / "doors" / f"{copy.of(name)}.yaml").write_text(_shorter(copy.of(text), random), encoding="utf-8")
    both = f"joint:\n{''.join(parts['joint'])}" if parts["joint"] else ""
    text = f"{before}runs: {{{', '.join(parts['runs'])}}}\nshared:\n{''.join(parts['shared'])}{both}"
    (site / "site.yaml").write_text(text, encoding="utf-8")
    return site


def _shorter(text: str, random: Random) -> str:
    """With lengths of up to two metres less."""
    return re.sub(r"(\d+) m\b", lambda m: f"{max(1, int(m[1]) - random.randint(0, 2))} m", text)


class Copy:
    """Texts of the demo as one copy of it has them: its own ids of doors, shared devices, closets, kits and joints."""

    def __init__(self, number: int, refs: Sequence[str], kits: Sequence[str]) -> None:
        self._number = number
        seen: dict[str, int] = {}
        self._refs: dict[str, str] = {}
        for ref in refs:
            letters = ref.rstrip("0123456789")
            seen[letters] = seen.get(letters, -1) + 1
            self._refs[ref] = f"{letters}{1000 + 10 * number + seen[letters]}"
        named = ("closet-1", "closet-2", "machine-room", "airlock", "stair-2", *kits)
        self._names = re.compile(rf"(?<![\w-])({'|'.join(named)})(?![\w-])")
        self._known = re.compile(rf"(?<![\w.-])({'|'.join(refs)})(?=[.:,\]}}\s])")

    def of(self, text: str) -> str:
        text = re.sub(r"\bD1(\d\d)\b", lambda m: f"D{self._number + 1}{m[1]}", text)
        text = self._names.sub(lambda m: f"{m[1]}-{self._number}", text)
        return self._known.sub(lambda m: self._refs[m[1]], text)

"""A small site of quick doors, and random edits of its files as people make them."""

from __future__ import annotations

import re
from pathlib import Path
from random import Random
from typing import Any

import yaml

from tests.small_site import lay_out_site

SITE = """
site: Tern Weir
codes: {egress: local code}
stock:
  power: [cable-2x1.0, cable-4x1.0]
  signal: [cable-6x0.22, cable-12x0.22]
  line: cable-4x0.22s
  link: link-cat6
  wire: wire-1.0
  calm: [diode-1a]
  splice: crimp
  strip: lever
use: {grant: 5 s, per-hour: 12, longest: 30 s}
contacts: {electrician: "P. Sedge, 0555 0101"}
signed: {owner: Tern Weir, drawn: P. Sedge, approved: O. Reed}
revisions:
  - {rev: A, date: 2026-11-02, what: first issue}
shared:
  N1: {type: poe-switch-16, at: closet-1, from: mains}
"""

DOOR = """door: E{n}
name: Store {n}
leave-by: handle
want: {{idle: held, grant: free, controller-dead: held, power-dead: held, fire: held}}
runs: {{box: [closet-1, 2{n} m], frame: [box, 3 m]}}
devices:
  A1: {{type: inner-controller, at: box, from: N1.p-{n}}}
  Y1: {{type: strike-12, at: frame, from: A1.out, through: [A1.relay], mount: {{height: 1050 mm}}}}
  B1: {{type: contact-plain, at: frame, tells: A1.door}}
notes: ["The frame of store {n} is of steel"]
"""


def quick_site(folder: Path, doors: int = 2) -> Path:
    """Doors of a controller, a strike and a contact each."""
    return lay_out_site(folder, SITE, {f"E{n}": DOOR.format(n=n) for n in range(1, doors + 1)})


def edit(site: Path, random: Random) -> str:
    """One edit of one file, as a person might make it, a sensible one or not; says what was done."""
    places = (site / "doors", site / "doors", site / "doors", site / "devices", site)
    path = random.choice(sorted(random.choice(places).glob("*.yaml")))
    text = path.read_text("utf-8")
    kind = random.choice(("value", "value", "value", "value", "form", "comment", "rename", "drop"))
    if kind == "form":
        path.write_text(yaml.safe_dump(yaml.load(text, yaml.BaseLoader), sort_keys=False, width=40), encoding="utf-8")
    elif kind == "comment":
        path.write_text(f"# looked at by {random.randrange(1000)}\n\n{text}", encoding="utf-8")
    elif kind == "rename" and path.parent != site:
        path.rename(path.with_name(f"{path.stem}-{random.randrange(1000)}.yaml"))
    else:
        loaded: Any = yaml.load(text, yaml.BaseLoader)
        spots = list(_spots(loaded))
        holder, key = random.choice(spots)
        if kind == "drop":
            del holder[key]
        else:
            holder[key] = _other(str(holder[key]), random)
        path.write_text(yaml.safe_dump(loaded, sort_keys=False), encoding="utf-8")
    return f"{kind} in {path.name}"


def _spots(value: Any) -> list[tuple[Any, Any]]:
    """Every plain value with what holds it."""
    inner = list(value.items()) if isinstance(value, dict) else list(enumerate(value)) if isinstance(value, list) else []
    found = [(value, key) for key, each in inner if isinstance(each, str)]
    return found + [spot for _, each in inner for spot in _spots(each)]


def _other(text: str, random: Random) -> str:
    """Another number in it, or one more word."""
    number = re.search(r"\d+", text)
    if number:
        return text[: number.start()] + str(int(number.group()) + random.randint(1, 3)) + text[number.end() :]
    return text.removesuffix(" again") if text.endswith(" again") else f"{text} again"

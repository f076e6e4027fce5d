"""One small door wired from text, with data sheets of the demo and of the test."""

from __future__ import annotations

import textwrap
from collections.abc import Mapping
from pathlib import Path

from tests.small_site import lay_out_site
from tests.wiring import points
from wiregen.reading.load import load_site
from wiregen.reading.model import Site
from wiregen.wiring.model import Wiring
from wiregen.wiring.wire import wire_door

SITE = """
site: Small
codes: {egress: none of its own}
house: {break: plus}
stock: {power: [cable-2x1.0, cable-4x1.0], signal: [cable-4x0.22, cable-12x0.22], line: [cable-4x0.22s, cable-8x0.22s],
  link: link-cat6, wire: wire-0.75, calm: [diode-1a, varistor-24, limiter-2], line-end: line-end-1k-1k,
  splice: crimp, strip: lever}
revisions: [{rev: A, date: 2026-11-02, what: first}]
shared:
  N1: {type: poe-switch-16, at: closet-1, from: mains}
  PP1: {type: patch-24, at: closet-1}
  FB1: {type: fuse-board-8, at: closet-1}
  FA1: {type: fire-contact-8, at: closet-1}
  E1: {type: earth-bar, at: closet-1}
"""

DOOR = """
door: D1
name: Small door
leave-by: {leave}
want: {want}
runs: {{box: [closet-1, 20 m], frame: [box, 3 m], inside: [box, 4 m], outside: [box, 5 m]{runs}}}
exposed: [outside]
{more}
devices:
  A1: {{type: inner-controller, at: box, from: N1.p-1}}
{devices}
"""


def site_of(
    folder: Path,
    devices: str,
    *,
    want: str = "{idle: held, grant: free}",
    leave: str = "handle",
    runs: str = "",
    more: str = "",
    site: str = SITE,
    sheets: Mapping[str, str] | None = None,
    others: Mapping[str, str] | None = None,
) -> Site:
    """A site with one door D1 that has a controller A1 in the box, and whatever `devices` says (lines of YAML)."""
    lines = textwrap.indent(textwrap.dedent(devices).strip(), "  ")
    door = DOOR.format(devices=lines, want=want, leave=leave, runs=f", {runs}" if runs else "", more=textwrap.dedent(more))
    if not lines.strip():
        door = door.rstrip()
    where = lay_out_site(folder / "small", site, {"D1": door, **(others or {})})
    for name, text in (sheets or {}).items():
        (where / "devices" / f"{name}.yaml").write_text(textwrap.dedent(text), encoding="utf-8")
    return load_site(where)


def wire(folder: Path, devices: str, **more: object) -> Wiring:
    site = site_of(folder, devices, **more)  # type: ignore[arg-type]
    return wire_door(site, site.doors["D1"])


def joined(wiring: Wiring) -> set[frozenset[str]]:
    return points.of_real(points.of_wiring(wiring).all(), wiring)


def together(wiring: Wiring, *names: str) -> bool:
    """True if copper makes these terminals one point."""
    return any(set(names) <= point for point in joined(wiring))

"""A small site with all that the sheets of a site tell: shared fuse, patch panel, mains, battery, settings, parties, labels."""

from __future__ import annotations

import tempfile
from functools import cache
from pathlib import Path

from tests.small_site import lay_out_site
from wiregen.build import Examined, examine

SITE = """site: Quern Mill
contacts: {owner: "T. Sedge, ext. 77123", network: B. Rush}
house: {units: metric, paper: A4, slack: 5 %, labels: {rows: 9, columns: 3, across: 64 mm, down: 30 mm, left: 9 mm, top: 12 mm}}
stock: {power: [cable-2x1.0, cable-4x1.0], signal: [cable-4x0.22, cable-6x0.22], line: cable-4x0.22s, link: link-cat6,
  wire: wire-1.0, calm: [diode-1a, varistor-24], line-end: line-end-1k-1k, splice: crimp, strip: lever}
standby: 4 h
runs: {closet-2: [closet-1, 30 m]}
shared:
  N1: {type: poe-switch-16, at: closet-1, from: mains, by: network firm}
  PP1: {type: patch-24, at: closet-1, by: network firm}
  BT1: {type: battery-24-38, at: closet-1}
  G1: {type: supply-24-8, at: closet-1, from: {mains: mains, battery: BT1}, obeys: {fire: FA1.c-1}, set: {fire: in use},
       by: {supply: installer, mount: installer, terminate: electrician, test: R. Teasel}}
  FB1: {type: fuse-board-8, at: closet-1, from: G1.out}
  FB2: {type: fuse-board-8, at: closet-2, from: G1.aux}
  FA1: {type: fire-contact-8, at: closet-1, by: fire contractor}
  E1: {type: earth-bar, at: closet-1, by: electrician}
"""

DOOR = """door: {id}
name: Store {id}
leave-by: button
want: {{idle: held, grant: free, controller-dead: free, power-dead: free, fire: free}}
runs: {{box: [{closet}, 20 m], frame: [box, 3 m], inside: [box, 6 m], outside: [box, 4 m]}}
exposed: [outside]
devices:
  A1: {{type: inner-controller, at: box, from: N1.p-{port}{through}}}
  U1: {{type: reader-osdp, at: outside, from: A1.reader, speaks: A1.line, set: {{address: {address}, line-end: in}}}}
  Y1: {{type: magnet-24, at: frame, from: {fuse}, through: [{fire}S1.pole-1, A1.relay], tells: {{bond: A1.aux-1}}}}
  S1: {{type: button-30s, at: inside, mount: {{height: 1100 mm}}}}
  B1: {{type: contact-plain, at: frame, tells: A1.door}}
"""

DOORS = {
    "D1": DOOR.format(id="D1", closet="closet-1", port=3, through=", through: [PP1.p-7]", address=41, fuse="FB1.f-2", fire=""),
    "D2": DOOR.format(id="D2", closet="closet-1", port=4, through="", address=42, fuse="FB1.f-2", fire=""),
    "D3": DOOR.format(id="D3", closet="closet-2", port=5, through="", address=43, fuse="FB2.f-1", fire="FA1.c-2, "),
}


def folder(at: Path) -> Path:
    return lay_out_site(at / "mill", SITE, DOORS)


@cache
def mill() -> Examined:
    with tempfile.TemporaryDirectory() as at:
        return examine(folder(Path(at)))

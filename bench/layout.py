"""Placing and routing against elkjs: crossings, bends, straight conductors, processor time, side by side.

    python -m bench.layout [SITE ...]        (default: the two demo sites; needs node, and npm install in bench/elk)

elkjs gets the same graph: devices as rectangles of our size with a port for each circle that we draw, free in side and
order; junctions as nodes of the size of a dot; its best of 20 seeds.  Every crossing on the page counts for both.
"""

from __future__ import annotations

import json
import platform
import subprocess
import sys
import time
from collections.abc import Sequence
from itertools import pairwise
from pathlib import Path

from wiregen import __version__
from wiregen.drafting.frame import field_for
from wiregen.drafting.graph import graph_of
from wiregen.drafting.ink import DOT
from wiregen.drafting.layout import lay_out
from wiregen.drafting.model import Layout
from wiregen.reading.load import load_site
from wiregen.reading.model import House
from wiregen.wiring.model import Wiring
from wiregen.wiring.wire import wire_door

HERE = Path(__file__).parent
RUN = {"text": True, "capture_output": True, "check": True}
SITES = ("door_specs/fernhill", "door_specs/annex")


def crossings(pages: Sequence[Layout]) -> int:
    """Points where two lines cross, bars included."""
    total = 0
    for page in pages:
        lines = [(r.wire, a, b) for r in page.routes for a, b in pairwise(r.points)]
        lines += [(str(b.end), p, q) for b in page.bars for p, q in pairwise(b.points)]
        upright = [(n, a, b) for n, a, b in lines if abs(a[0] - b[0]) < 1e-6]
        level = [(n, a, b) for n, a, b in lines if abs(a[0] - b[0]) >= 1e-6]
        for n, a, b in upright:
            for m, c, d in level:
                inside_x = min(c[0], d[0]) + 1e-6 < a[0] < max(c[0], d[0]) - 1e-6
                inside_y = min(a[1], b[1]) + 1e-6 < c[1] < max(a[1], b[1]) - 1e-6
                total += n != m and inside_x and inside_y
    return total


def graph_for_elk(wiring: Wiring, pages: Sequence[Layout]) -> dict[str, object]:
    graph = graph_of(wiring)
    boxes = {d.ref: d.box for page in pages for d in page.devices}
    nodes: list[dict[str, object]] = []
    for node in graph.nodes:
        box = boxes[node.ref]
        ports = [f"{n}/{which}" for n, which in node.nets]
        nodes.append({"id": node.ref, "width": box.w, "height": box.h, "ports": ports})
    nodes += [{"id": str(j.end), "width": DOT, "height": DOT, "ports": []} for j in graph.joints]
    edges = []
    for n, net in enumerate(graph.nets):
        ends = [f"{n}/{w}" if net.ends[w] >= 0 else str(net.at[w]) for w in (0, 1)]
        edges.append({"id": net.wire, "from": ends[0], "to": ends[1]})
    return {"name": wiring.door, "nodes": nodes, "edges": edges}


def timed(wiring: Wiring, house: House) -> tuple[tuple[Layout, ...], float]:
    """The pages, and milliseconds of processor time: the middle one of five runs."""
    field, spent = field_for(house), []
    for _ in range(5):
        start = time.process_time()
        pages = lay_out(wiring, field, house)
        spent.append((time.process_time() - start) * 1000)
    return pages, sorted(spent)[2]


def main(sites: Sequence[str]) -> None:
    ours, graphs = [], []
    for folder in sites:
        site = load_site(Path(folder))
        for door in site.doors.values():
            wiring = wire_door(site, door)
            pages, ms = timed(wiring, site.house)
            routes = [r for p in pages for r in p.routes]
            straight, bends = sum(len(r.points) == 2 for r in routes), sum(len(r.points) - 2 for r in routes)
            ours.append((door.id, len(pages), len(routes), crossings(pages), bends, straight, ms))
            graphs.append(graph_for_elk(wiring, pages))
    elk = json.loads(subprocess.run(["node", "run.mjs"], cwd=HERE / "elk", input=json.dumps(graphs), **RUN).stdout)  # type: ignore[call-overload]
    print(f"wiregen {__version__}, Python {platform.python_version()}; elkjs {elk['version']}, node {elk['node']}")
    print("door   pages lines | crossings: ours elkjs | bends: ours elkjs | straight | processor ms: ours elkjs ratio")
    total = [0.0] * 8
    for (name, pages, lines, cross, bends, straight, ms), other in zip(ours, elk["doors"], strict=True):
        print(
            f"{name:6} {pages:5} {lines:5} | {cross:15} {other['crossings']:5} | {bends:11} {other['bends']:5} |"
            f" {straight / lines:8.0%} | {ms:18.0f} {other['ms']:5.0f} {ms / other['ms']:5.1f}"
        )
        values = (pages, lines, cross, other["crossings"], bends, other["bends"], straight, ms / other["ms"])
        total = [t + v for t, v in zip(total, values, strict=True)]
    pages, lines, cross, theirs, bends, their_bends, straight, ratio = total
    print(
        f"all    {pages:5.0f} {lines:5.0f} | {cross:15.0f} {theirs:5.0f} | {bends:11.0f} {their_bends:5.0f} |"
        f" {straight / lines:8.0%} | mean ratio {ratio / len(ours):.1f}"
    )


if __name__ == "__main__":
    main(sys.argv[1:] or SITES)

"""The proof on real sheets that were spoilt on purpose: each single slip of the pen is found."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from functools import cache
from pathlib import Path

import pytest

from tests.demo import site_of
from tests.proof.expect import from_wiring
from tests.proof.ink import prove
from tests.proof.printing import print_sheets
from tests.random_doors import Seeded
from wiregen.drafting.frame import field_for
from wiregen.drafting.layout import lay_out
from wiregen.drafting.model import Layout, Point
from wiregen.drafting.sheet import draw_sheets
from wiregen.reading.model import Site
from wiregen.wiring.model import Wiring
from wiregen.wiring.wire import wire_door

SPECS = Path(__file__).parents[2] / "door_specs"
DOORS = ("D101", "D107")


@cache
def _site() -> Site:
    return site_of("fernhill")


@cache
def _laid_out(door: str) -> tuple[tuple[Layout, ...], Wiring]:
    wiring = wire_door(_site(), _site().doors[door])
    return lay_out(wiring, field_for(_site().house), _site().house), wiring


@cache
def _defects(door: str, layouts: tuple[Layout, ...]) -> frozenset[str]:
    _, wiring = _laid_out(door)
    sheets = draw_sheets(_site(), _site().doors[door], wiring, layouts, (), "0" * 64)
    return frozenset(f"{d.kind}: {d.what}" for d in prove(print_sheets(sheets), from_wiring(wiring)))


def _move_end(page: Layout, choose: Seeded) -> Layout:
    """A conductor led to the terminal beside its own."""
    pins = {pin.at: (device, pin) for device in page.devices for pin in device.pins if not pin.jack}
    ways = []
    for route in page.routes:
        device, pin = pins.get(route.points[-1], (None, None))
        if device and pin and len(route.points) > 1:
            ways += [
                (route, other.at) for other in device.pins if other.side == pin.side and other.end != pin.end and not other.jack
            ]
    route, at = choose.one(ways)
    moved = replace(route, points=_led_to(route.points, at))
    return replace(page, routes=tuple(moved if r is route else r for r in page.routes))


def _led_to(points: tuple[Point, ...], at: Point) -> tuple[Point, ...]:
    (x, y), (x2, _) = points[-2], points[-1]
    knee = x + (x2 - x) * 0.7
    return (*points[:-1], (knee, y), (knee, at[1]), at)


def _drop_route(page: Layout, choose: Seeded) -> Layout:
    route = choose.one([r for r in page.routes if not r.link])
    return replace(page, routes=tuple(r for r in page.routes if r is not route))


def _drop_dot(page: Layout, choose: Seeded) -> Layout:
    """A dot between others: at the end of a bar a line that only turns says the same."""
    bar = choose.one([b for b in page.bars if len(set(b.dots)) > 2])
    middle = sorted(set(bar.dots))[1]
    left = replace(bar, dots=tuple(d for d in bar.dots if d != middle))
    return replace(page, bars=tuple(left if b is bar else b for b in page.bars))


def _drop_link(page: Layout, choose: Seeded) -> Layout:
    return replace(page, routes=tuple(r for r in page.routes if not r.link))


def _swap_labels(page: Layout, choose: Seeded) -> Layout:
    wires = [r.wire for r in page.routes if not r.link]
    labels = [t for t in page.texts if t.text.split()[-1] in wires]
    one = choose.one(labels)
    other = choose.one([t for t in labels if t.text != one.text])
    said = {one: other.text, other: one.text}
    return replace(page, texts=tuple(t._replace(text=said[t]) if t in said else t for t in page.texts))


def _drop_label(page: Layout, choose: Seeded) -> Layout:
    long_ = [r.wire for r in page.routes if not r.link and len(r.points) == 2 and abs(r.points[0][0] - r.points[1][0]) > 60]
    label = choose.one([t for t in page.texts if t.text.split()[-1] in long_])
    return replace(page, texts=tuple(t for t in page.texts if t != label))


def _other_colour(page: Layout, choose: Seeded) -> Layout:
    route = choose.one([r for r in page.routes if not r.link])
    other = replace(route, colour="VT" if route.colour != "VT" else "GN")
    return replace(page, routes=tuple(other if r is route else r for r in page.routes))


def _other_tracer(page: Layout, choose: Seeded) -> Layout:
    route = choose.one([r for r in page.routes if not r.link and "-" not in r.colour and r.colour != "bare"])
    other = replace(route, colour=f"{route.colour}-{'RD' if route.colour != 'RD' else 'WH'}")
    return replace(page, routes=tuple(other if r is route else r for r in page.routes))


def _second_on_top(page: Layout, choose: Seeded) -> Layout:
    route = choose.one([r for r in page.routes if not r.link])
    on_top = replace(route, points=tuple((x + 0.2, y + 0.2) for x, y in route.points))
    return replace(page, routes=(*page.routes, on_top))


def _swap_marks(page: Layout, choose: Seeded) -> Layout:
    device = choose.one([d for d in page.devices if len({p.mark for p in d.pins if not p.jack}) > 1])
    one = choose.one([p for p in device.pins if not p.jack])
    other = choose.one([p for p in device.pins if not p.jack and p.mark != one.mark])
    said = {one.mark: other.mark, other.mark: one.mark}
    pins = tuple(replace(p, mark=said.get(p.mark, p.mark)) for p in device.pins)
    return replace(page, devices=tuple(replace(d, pins=pins) if d is device else d for d in page.devices))


def _no_chain_line(page: Layout, choose: Seeded) -> Layout:
    return replace(page, exposed_line=())


SLIPS: dict[str, Callable[[Layout, Seeded], Layout]] = {
    "end at the next terminal": _move_end,
    "conductor left out": _drop_route,
    "dot left out": _drop_dot,
    "link left out": _drop_link,
    "labels exchanged": _swap_labels,
    "label left out": _drop_label,
    "ink of another colour": _other_colour,
    "tracer that is none": _other_tracer,
    "second line on top": _second_on_top,
    "marks exchanged": _swap_marks,
    "chain line left out": _no_chain_line,
}


@pytest.mark.parametrize("slip", SLIPS)
@pytest.mark.parametrize("door", DOORS)
def test_slip_is_found(door: str, slip: str) -> None:
    pages, _ = _laid_out(door)
    before = _defects(door, pages)
    tried = 0
    for n, page in enumerate(pages):
        try:
            spoilt = SLIPS[slip](page, Seeded(n))
        except IndexError:
            continue  # nothing on this page to spoil in that way
        if spoilt == page:
            continue
        after = _defects(door, (*pages[:n], spoilt, *pages[n + 1 :]))
        assert after - before, f"{door}, page {n + 1}: {slip} was not found"
        tried += 1
    assert tried or len(pages) == 0 or slip in ("link left out", "chain line left out", "dot left out")

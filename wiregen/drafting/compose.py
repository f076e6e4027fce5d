"""From an arrangement and its widths to ink: boxes, terminals, lines, bars, ovals, regions, letters."""

from __future__ import annotations

from collections import Counter, defaultdict
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from itertools import combinations, pairwise

from wiregen.drafting.arrange import Arrangement
from wiregen.drafting.face import NARROWER, PAD, PITCH, Face, face_of
from wiregen.drafting.graph import Net
from wiregen.drafting.ink import DESIGNATION, LETTER, MARK_GAP, SMALL, TERMINAL
from wiregen.drafting.jackets import Mark, marks, title_of, title_width
from wiregen.drafting.metrics import ABOVE, CLEARANCE, GRID, OVAL, OVAL_OVER, TITLE_ABOVE, TRACK, width
from wiregen.drafting.model import Bar, Jacket, Layout, Off, Pin, PlacedDevice, Point, Rect, Route, Side, Text
from wiregen.drafting.names import REACH, Names, apart, meet, text_box
from wiregen.drafting.placed import words_told
from wiregen.drafting.plan import Half, Planner, Zone
from wiregen.drafting.regions import chain_lines, regions
from wiregen.drafting.spread import AIR, NAME, Spread, Spreader
from wiregen.drafting.stacking import beside
from wiregen.wiring.model import End, Wiring


def _spreader(planner: Planner, found: Arrangement, wiring: Wiring, ovals: list[Mark]) -> Spreader:
    titles: dict[tuple[int, Half], float] = {}
    for mark in ovals:
        key: tuple[int, Half] = (mark.channel, mark.half)
        titles[key] = max(titles.get(key, 0.0), 0.1 if mark.again else title_width(wiring, mark.cable, planner.style.folded))
    near = {(mark.channel, mark.half) for mark in ovals if mark.near}
    return Spreader(planner, found, titles, near, (r for mark in ovals for r in mark.rows))


@dataclass(frozen=True)
class Draft:
    """An arrangement that the sheet is wide enough for: where the ovals go, and how wide everything is."""

    planner: Planner
    found: Arrangement
    ovals: list[Mark]
    spreader: Spreader
    widths: Spread


def wide_enough(planner: Planner, found: Arrangement, wiring: Wiring, room: float) -> bool:
    """Whether an arrangement fits a room so wide."""
    return _spreader(planner, found, wiring, marks(found)).left_over(room) >= 0


def draft(planner: Planner, found: Arrangement, wiring: Wiring, field: Rect) -> Draft | None:
    """None if the sheet is too narrow."""
    ovals = marks(found)
    spreader = _spreader(planner, found, wiring, ovals)
    widths = spreader.spread(field.w, field.x)
    return None if widths is None else Draft(planner, found, ovals, spreader, widths)


def compose(
    draft: Draft, wiring: Wiring, field: Rect, elsewhere: Mapping[End, Sequence[int]], strict: bool
) -> tuple[Layout, int] | None:
    """The page, and how much of its lettering lacks room (see `_Page.faults`).

    `elsewhere`: the other pages that have a junction of this one.  `strict`: None as soon as anything lacks room.
    """
    page = _Page(draft, wiring, field, elsewhere)
    drawn = page.layout(draft.ovals, strict)
    return None if drawn is None or (strict and page.faults) else (drawn, page.faults)


SPLIT, STRUCK = 0.45, 0.4  # mm from a line inside a box to the baseline of a designation over it, and to any letters at least
LONE = 13.5  # mm from the end of a conductor at a terminal to a label of it
ONCE = (2.2, 3.0)  # a conductor may have one label if it is no longer than so many labels, and so many mm more


class _Page:
    def __init__(self, draft: Draft, wiring: Wiring, field: Rect, elsewhere: Mapping[End, Sequence[int]]) -> None:
        self.planner, self.found, self.spreader, self.widths = draft.planner, draft.found, draft.spreader, draft.widths
        self.wiring, self.field, self.elsewhere = wiring, field, elsewhere
        self.graph, self.plan, self.choice = self.planner.graph, self.found.plan, self.found.plan.choice
        self.texts: list[Text] = []
        self.titles: list[tuple[Mark, float, float]] = []
        self.faults = 0  # conductors that miss a label, texts without room, ovals with a wrong title, boxes that meet
        self.guest_row: dict[tuple[int, int], float] = {}

    def y(self, steps: float) -> float:
        return self.field.y + self.field.h - GRID * steps

    def row(self, row: int) -> float:
        return self.y(self.found.heights.row[row])

    def track(self, channel: int, zone: Zone, index: int) -> float | None:
        """x of a vertical piece."""
        track = self.found.tracks[channel, zone].track[index]
        at = self.widths.channels[channel]
        start = {"left": at.left, "middle": at.middle + 0.5, "right": at.right}[zone]
        return None if track is None else start + TRACK * (track + 0.5)

    def layout(self, ovals: list[Mark], strict: bool) -> Layout | None:
        devices = self.devices()
        bars = self.bars()
        routes = self.routes()
        jackets = [self.jacket(m) for m in ovals]
        jackets += self.bent_jackets({n for m in ovals for n in m.nets}, {m.cable for m in ovals})
        areas = regions(self.planner, self.found, self.spreader, self.widths, self.field, bars)
        chain = chain_lines(areas, self.field)
        names = Names(self.field, devices, routes, bars, jackets, areas, chain, self.texts)
        self.faults += names.struck(self.texts)
        if strict and self.faults:
            return None
        names.regions(areas, [d.box for d in devices])
        for (mark, x, top), oval in zip(self.titles, jackets, strict=True):
            foldings = (True,) if self.planner.style.folded else (False, True)
            ways = [title_of(self.wiring, mark.cable, folded) for folded in foldings]
            names.title(oval, [(mark.cable,)] if mark.again else ways, x, top, self.channel_room(mark))
            if strict and names.forced:
                return None
        self.late_labels(routes, names)
        if strict and self.faults:
            return None
        offs: list[Off] = []
        for bar in bars:
            offs += names.bar(bar, self.elsewhere.get(bar.end, ()))
            if strict and names.forced:
                return None
        enclosures = tuple(names.enclosures(self.groups(bars)))
        offs += names.references()
        self.faults += names.forced + names.mistaken()
        self.faults += sum(meet(a.box, b.box) for a, b in combinations(enclosures, 2))
        return Layout(
            page=1, pages=1, field=self.field, devices=tuple(devices), bars=tuple(bars), routes=tuple(routes),
            jackets=tuple(jackets), regions=tuple(areas), exposed_line=chain,
            texts=(*self.texts, *names.made), offs=tuple(offs), enclosures=enclosures,
        )  # fmt: skip

    # ---- devices ----------------------------------------------------------------------------------------------------

    def devices(self) -> list[PlacedDevice]:
        placed = []
        for column, units in enumerate(self.plan.units):
            for unit, (top, bottom) in zip(units, self.found.heights.edges[column], strict=True):
                if unit.node is None:
                    continue
                x, w = self.widths.box[unit.node]
                box = Rect(x, self.y(bottom), w, GRID * (bottom - top))
                pins: list[Pin] = []
                for side, rows in (("left", unit.left), ("right", unit.right)):
                    pins += [p for r in rows if (p := self.pin(unit.node, r, side, box)) is not None]
                guests = self.planner.guests.get(unit.node, [])
                for guest in guests:
                    guest_box, host_pins, guest_pins = self.guest(unit.node, guest, pins, box)
                    pins += host_pins
                    placed.append(self.device(guest, guest_box, guest_pins))
                placed.append(self.device(unit.node, box, pins))
        return sorted(placed, key=lambda d: [n.ref for n in self.graph.nodes].index(d.ref))

    def device(self, node: int, box: Rect, pins: list[Pin]) -> PlacedDevice:
        lefts = [width(p.mark) + MARK_GAP for p in pins if p.side == "left"]
        rights = [width(p.mark) + MARK_GAP for p in pins if p.side == "right"]
        face = self.spreader.faces[node]
        if lefts and not rights and not face.over:
            tall = int(box.h / GRID + 1e-6)
            faces = (face_of(self.graph.nodes[node], False, beside) for beside in NARROWER)
            fit = (each for each in dict.fromkeys(faces) if each.height <= max(tall, face.height))
            ways = [self._placed(node, box, pins, each) for each in fit]
            return max(ways, key=lambda placed: words_told(self.graph.nodes[node].sheet, placed))
        return self._placed(node, box, pins, face)

    def _placed(self, node: int, box: Rect, pins: list[Pin], face: Face) -> PlacedDevice:
        lefts = [width(p.mark) + MARK_GAP for p in pins if p.side == "left"]
        rights = [width(p.mark) + MARK_GAP for p in pins if p.side == "right"]
        x = box.x + PAD
        if lefts and not face.over:
            x = box.x + box.w - PAD - face.title_width - max(rights, default=0.0)
        y = box.y + box.h - PAD - DESIGNATION
        if lefts and rights and not face.over:  # lines run to the circles on the right: the designation stands over one of them
            rows = sorted((p.at[1] for p in pins if p.side == "right"), reverse=True)
            lines = [(y, y + DESIGNATION), *((y - PITCH * n, y - PITCH * n + SMALL) for n in range(1, len(face.title) + 1))]
            ways = (0.0, *(row + SPLIT - y for row in rows if row + SPLIT < y))
            y += min(ways, key=lambda w: sum(a + w - STRUCK < row < b + w + STRUCK for a, b in lines for row in rows))
        return PlacedDevice(self.graph.nodes[node].ref, box, tuple(pins), face.title, (x, y))

    def pin(self, node: int, row: int, side: str, box: Rect) -> Pin | None:
        n = self.plan.row_net[row]
        if n < 0:
            return None
        net = self.graph.nets[n]
        which = next(w for w in (0, 1) if self.plan.ports.get(((n, w), side)) == row and net.ends[w] == node)
        at = (box.x if side == "left" else box.x + box.w, self.row(row))
        column = self.choice.column[node]
        half, channel = ("left", column) if side == "right" else ("right", column - 1)
        if half in self.widths.channels[channel].ports:
            self.end_label(net.label, at, side)
        mark = beside(self.graph.nodes[node].sheet, net.at[which].terminal)
        return Pin(net.at[which], mark, at, "left" if side == "left" else "right", net.link)

    def end_label(self, label: str, at: Point, side: str) -> None:
        reach = TERMINAL / 2 + CLEARANCE
        if side == "left":
            self.texts.append(Text(label, (at[0] - reach, at[1] + ABOVE), LETTER, "right"))
        else:
            self.texts.append(Text(label, (at[0] + reach, at[1] + ABOVE), LETTER))

    def guest(self, host: int, guest: int, pins: list[Pin], box: Rect) -> tuple[Rect, list[Pin], list[Pin]]:
        """A calmer beside its lock: its leads run level to terminals that are drawn a second time on that side."""
        x, w = self.widths.box[guest]
        right = x > box.x
        host_x, guest_x = (box.x + box.w, x) if right else (box.x, x + w)
        sides: tuple[Side, Side] = ("right", "left") if right else ("left", "right")
        host_pins: list[Pin] = []
        guest_pins: list[Pin] = []
        for n, which in self.graph.nodes[guest].nets:
            net = self.graph.nets[n]
            theirs = net.at[1 - which]
            y = next((p.at[1] for p in pins if p.end == theirs), None)
            if y is None:
                y = box.y + box.h - GRID * (1 + 2 * len(host_pins))
            host_pins.append(Pin(theirs, beside(self.graph.nodes[host].sheet, theirs.terminal), (host_x, y), sides[0]))
            mark = beside(self.graph.nodes[guest].sheet, net.at[which].terminal)
            guest_pins.append(Pin(net.at[which], mark, (guest_x, y), sides[1]))
            self.guest_row[n, which] = y
            self.texts.append(Text(net.label, ((host_x + guest_x) / 2, y + ABOVE), LETTER, "middle"))
        face = self.spreader.faces[guest]
        top = max(p.at[1] for p in guest_pins) + GRID * (face.height if face.over else 1)
        low = min(min(p.at[1] for p in guest_pins) - GRID, top - GRID * face.height)
        return Rect(x, low, w, top - low), host_pins, guest_pins

    def late_labels(self, routes: list[Route], names: Names) -> None:
        """Labels at ends for which no zone was kept: along the conductor as near to its end as there is room, else anywhere
        on it; on one between two terminals that takes one only, in its middle."""
        written: dict[str, list[Text]] = defaultdict(list)
        for text in self.texts:
            written[text.text].append(text)
        for net, route in zip(self.graph.nets, routes, strict=True):
            if net.link:
                continue
            mine, points, wide = written[net.label], route.points, width(net.label)
            tips = [(points[0], points[1], net.ends[0] >= 0), (points[-1], points[-2], net.ends[1] >= 0)]
            for tip, toward, terminal in sorted(tips, key=lambda t: not t[2]):
                if _length(points) > wide + LONE and not _near(mine, tip):
                    mine += names.along(net.label, tip, toward, LONE - 0.5 if terminal else REACH)
            if _told(mine, net, points):
                continue
            for a, b in pairwise(points):
                if len(mine) < 2:
                    mine += names.along(net.label, a, b, abs(a[0] - b[0]))
            if len(mine) == 1 and min(net.ends) >= 0 and len(points) == 2:
                old = mine[0]
                middle = old._replace(at=((points[0][0] + points[1][0]) / 2, points[0][1] + ABOVE), align="middle")
                if old in self.texts and _told([middle], net, points) and names.moved(old, middle):
                    self.texts[self.texts.index(old)] = mine[0] = middle
            self.faults += not _told(mine, net, points)

    # ---- lines -------------------------------------------------------------------------------------------------------

    def bars(self) -> list[Bar]:
        found = []
        for (channel, zone), pieces in sorted(self.plan.pieces.items()):
            for n, piece in enumerate(pieces):
                if piece.joint is None:
                    continue
                x = self.track(channel, zone, n)
                assert x is not None
                legs = [*piece.left, *piece.right]
                ys = sorted({self.row(r) for r, _ in legs})
                points = tuple((x, y) for y in ((ys[0], ys[-1]) if len(ys) > 1 else (ys[0],)))
                colour = self.graph.nets[legs[0][1]].colour
                joint = self.graph.joints[piece.joint]
                found.append(Bar(joint.end, points, colour, tuple((x, y) for y in ys)))
                zones = self.widths.channels[channel]
                if zone == "middle":
                    for r, net in piece.left:
                        if "left" in zones.legs or r not in self.spreader.inner_rows:
                            self.bar_label(net, (zones.border_left - AIR, self.row(r)), "right")
                    for r, net in piece.right:
                        if "right" in zones.legs or r not in self.spreader.inner_rows:
                            self.bar_label(net, (zones.legs_right + AIR, self.row(r)), "left")
                elif zone == "left":
                    end = zones.left + TRACK * self.found.tracks[channel, zone].count
                    for r, net in piece.right:
                        self.bar_label(net, (end + AIR, self.row(r)), "left")
                else:
                    for r, net in piece.left:
                        self.bar_label(net, (zones.right - AIR, self.row(r)), "right")
        return found

    def bar_label(self, net: int, at: Point, align: str) -> None:
        self.texts.append(Text(self.graph.nets[net].label, (at[0], at[1] + ABOVE), LETTER, align))  # type: ignore[arg-type]

    def routes(self) -> list[Route]:
        return [Route(net.wire, self.route(n), net.colour, net.link) for n, net in enumerate(self.graph.nets)]

    def route(self, n: int) -> tuple[Point, ...]:
        """From end a to end b."""
        net = self.graph.nets[n]
        ends: list[Point] = []
        for which in (0, 1):
            end = net.ends[which]
            if end < 0:
                continue
            left, wide = self.widths.box[end]
            for side, x in (("left", left), ("right", left + wide)):
                if ((n, which), side) in self.plan.ports:
                    ends.append((x, self.row(self.plan.ports[(n, which), side])))
            if (n, which) in self.guest_row or (n, 1 - which) in self.guest_row:
                y = self.guest_row.get((n, which), self.guest_row.get((n, 1 - which), 0.0))
                other_left, _ = self.widths.box[net.ends[1 - which]]
                ends.append((left + wide if other_left > left else left, y))
        points: list[Point] = []
        for channel, zone, index in self.plan.paths[n]:
            piece = self.plan.pieces[channel, zone][index]
            legs = [r for r, net_of in (*piece.left, *piece.right) if net_of == n]
            at = self.track(channel, zone, index)
            if at is not None:  # else it runs straight on
                points += [(at, self.row(r)) for r in legs]
        if len(ends) == 2 and not self.plan.paths[n]:
            return tuple(ends)
        return self._sorted(n, points, ends)

    def _sorted(self, n: int, points: list[Point], ends: list[Point]) -> tuple[Point, ...]:
        """Joins the pieces of a path, which come from left to right, to its ends, from end a to end b."""
        net = self.graph.nets[n]
        start = ends[0] if net.ends[0] >= 0 else None
        stop = ends[-1] if net.ends[1] >= 0 else None
        level = net.ends[0] >= 0 and net.ends[1] >= 0 and self.choice.column[net.ends[0]] == self.choice.column[net.ends[1]]
        spot_a, spot_b = (self.planner.spot(self.choice, e) for e in net.ends)
        backwards = spot_a > spot_b
        if spot_a == spot_b and not level:
            order = {"left": 0, "middle": 1, "right": 2}
            backwards = order[self.choice.joint[~net.ends[0]][1]] > order[self.choice.joint[~net.ends[1]][1]]
        if level and start and points and points[0][1] != start[1]:
            points.reverse()
        if backwards:
            points.reverse()
        whole = [*([start] if start else []), *points, *([stop] if stop else [])]
        return tuple(_slim(whole))

    def jacket(self, mark: Mark) -> Jacket:
        zones = self.widths.channels[mark.channel]
        ys = [self.row(r) for r in mark.rows]
        if mark.near:
            beyond = zones.right + TRACK * self.found.tracks[mark.channel, "right"].count if mark.half == "right" else 0.0
            x = beyond + NAME if mark.half == "right" else zones.left - OVAL - NAME
        else:
            x = zones.jacket_right + 0.75 if mark.half == "right" else zones.jacket_left + 0.75
        top = max(ys)
        self.titles.append((mark, x, top))
        return Jacket(mark.cable, Rect(x, min(ys) - OVAL_OVER, OVAL, top - min(ys) + 2 * OVAL_OVER))

    def bent_jackets(self, marked: set[int], titled: set[str]) -> Iterator[Jacket]:
        """Ovals of cables that run within a column: across the vertical line."""
        for n, net in enumerate(self.graph.nets):
            if not net.cable or n in marked:
                continue
            for channel, zone, index in self.plan.paths[n]:
                x = self.track(channel, zone, index)
                piece = self.plan.pieces[channel, zone][index]
                ys = [self.row(r) for r, m in (*piece.left, *piece.right) if m == n]
                if x is None or len(ys) < 2:
                    continue
                clear = self.clear(x, min(ys), max(ys), n)
                middle = (min(ys) + max(ys)) / 2 if clear is None else clear
                self.faults += clear is None
                half: Half = "right" if zone == "right" else "left"
                mark = Mark(net.cable, channel, half, False, (), (n,), net.cable in titled)
                self.titles.append((mark, x + OVAL, middle - TITLE_ABOVE - SMALL / 2))
                titled.add(net.cable)
                yield Jacket(net.cable, Rect(x - OVAL_OVER, middle - OVAL / 2, 2 * OVAL_OVER, OVAL))

    def clear(self, x: float, low: float, high: float, net: int) -> float | None:
        """The height nearest to the middle of an upright line where no other conductor crosses it; None if there is none."""
        level = [
            a[1]
            for n in range(len(self.graph.nets))
            if n != net
            for a, b in pairwise(self.route(n))
            if abs(a[1] - b[1]) < 1e-6 and min(a[0], b[0]) < x + OVAL and max(a[0], b[0]) > x - OVAL
        ]
        middle = (low + high) / 2
        spots = sorted((low + 0.5 * k for k in range(int((high - low) / 0.5) + 1)), key=lambda y: abs(y - middle))
        reach = OVAL / 2 + 0.5
        inside = [y for y in spots if low + reach <= y <= high - reach]
        return next((y for y in inside if all(abs(y - other) > reach for other in level)), None)

    def channel_room(self, mark: Mark) -> tuple[float, float]:
        """From where to where a title may stand: from the border of the place to the boxes."""
        zones = self.widths.channels[mark.channel]
        if not mark.rows:  # beside the oval on an upright line
            return max(zones.start - 60.0, self.field.x), min(zones.end + 60.0, self.field.x + self.field.w)
        return (zones.legs_right, zones.end) if mark.half == "right" else (zones.start, zones.border_left)

    def groups(self, bars: list[Bar]) -> list[tuple[str, float, float, list[Bar]]]:
        """Bars by box and zone, with the left edge and the width of the zone, or of a box's share of it."""
        spots = dict(zip((j.end for j in self.graph.joints), self.choice.joint, strict=True))
        groups: dict[tuple[str, int, Zone], list[Bar]] = defaultdict(list)
        for bar in bars:
            groups[bar.end.device, *spots[bar.end]].append(bar)
        boxes = Counter((channel, zone) for _, channel, zone in groups)
        found = []
        for (ref, channel, zone), inside in sorted(groups.items()):
            if boxes[channel, zone] > 1:
                xs = [bar.points[0][0] for bar in inside]
                found.append((ref, min(xs) - TRACK / 2, max(xs) - min(xs) + TRACK, inside))
                continue
            zones = self.widths.channels[channel]
            start = {"left": zones.left, "middle": zones.middle, "right": zones.right}[zone]
            wide = zones.border_right - zones.middle if zone == "middle" else self.found.tracks[channel, zone].count * TRACK
            found.append((ref, start, wide, inside))
        return found


def _length(points: Sequence[Point]) -> float:
    return sum(abs(a[0] - b[0]) + abs(a[1] - b[1]) for a, b in pairwise(points))


def _near(labels: Sequence[Text], tip: Point) -> bool:
    return any(apart(text_box(t), Rect(*tip, 0, 0)) <= LONE for t in labels)


def _told(labels: Sequence[Text], net: Net, points: Sequence[Point]) -> bool:
    """Whether a reader finds colour and number at each terminal, and at both ends of a long conductor."""
    tips = [tip for tip, end in zip((points[0], points[-1]), net.ends, strict=True) if end >= 0]
    wide = width(net.label.rstrip())  # without the blanks that keep room for a mark
    enough = len(labels) > 1 or _length(points) <= ONCE[0] * wide + ONCE[1]
    return bool(labels) and enough and all(_near(labels, tip) for tip in tips)


def _slim(points: list[Point]) -> list[Point]:
    """Without points that repeat, or that lie within a straight line."""
    kept: list[Point] = []
    for p in points:
        if kept and abs(kept[-1][0] - p[0]) < 1e-6 and abs(kept[-1][1] - p[1]) < 1e-6:
            continue
        if len(kept) > 1 and (
            (abs(kept[-2][0] - kept[-1][0]) < 1e-6 and abs(kept[-1][0] - p[0]) < 1e-6)
            or (abs(kept[-2][1] - kept[-1][1]) < 1e-6 and abs(kept[-1][1] - p[1]) < 1e-6)
        ):
            kept.pop()
        kept.append(p)
    return kept

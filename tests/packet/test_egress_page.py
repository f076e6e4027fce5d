"""The egress page of each door is read back and held against `Wiring.chains`: order, terminals, and each wire number.

The way back shares no code with what drew the page: printed numbers are looked up in the list of conductors, and their copper
must join each thing of a chain to the next.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Sequence
from dataclasses import replace
from functools import cache
from itertools import pairwise
from pathlib import Path

import pytest

from tests.packet.chain_reading import Box, Row, rows
from tests.packet.pages import pdf_of_door, texts
from tests.proof.reader import read_pages
from tests.random_doors import seeded_site
from wiregen.packet.chain_drawing import rows as drawn_rows
from wiregen.packet.content import Facts
from wiregen.packet.marking import running
from wiregen.packet.press import press
from wiregen.packet.release_chain import Release
from wiregen.packet.release_page import release_page
from wiregen.packet.tracing import release
from wiregen.packet.typeset import Part, typeset
from wiregen.reading.load import load_site
from wiregen.reading.model import Gives, Pass, Site, Takes
from wiregen.review.model import Finding
from wiregen.study.study import study_door
from wiregen.wiring.model import Chain, End, Wiring
from wiregen.wiring.wire import wire_door, wire_site

SPECS = Path(__file__).parents[2] / "door_specs"
SMALLEST = 1.8  # mm, ISO 3098's next size below 2.5 mm: nothing on paper has lower capitals


@cache
def _site(folder: str) -> tuple[Site, Wiring]:
    site = load_site(SPECS / folder)
    return site, wire_site(site)


@cache
def _wired(folder: str, door: str) -> Wiring:
    site, _ = _site(folder)
    return wire_door(site, site.doors[door])


def _printed(site: Site, wiring: Wiring, shared: Wiring) -> bytes:
    door = site.doors[wiring.door]
    page = release_page(site, door, wiring, shared)
    assert page is not None
    part = Part(page, running(site, door, page.title, "0" * 64))
    return press(typeset([part], site.house.paper), site.house.paper, title="", author="", subject="")


class Copper:
    """What is joined by the conductors that are named on paper, and inside devices."""

    def __init__(self, wiring: Wiring, shared: Wiring, named: Iterable[str]) -> None:
        self._of: dict[End, End] = {}
        numbers = set(named)

        def of_site(end: End) -> End:
            mine = end.device in wiring.boxes or getattr(wiring.devices.get(end.device), "origin", "site") != "site"
            return End(f"site/{end.device}", end.terminal) if mine else end

        for one in wiring.conductors:
            if one.wire in numbers:
                self._join(one.a, one.b)
        for one in shared.conductors:
            if one.wire in numbers:
                self._join(of_site(one.a), of_site(one.b))
        for group in (*wiring.ties, *(tuple(map(of_site, tie)) for tie in shared.ties)):
            for other in group[1:]:
                self._join(group[0], other)
        for ref, device in wiring.devices.items():
            for passing in device.sheet.groups.values():
                if isinstance(passing, Pass) and passing.between:
                    self._join(End(ref, passing.between[0]), End(ref, passing.between[1]))

    def _root(self, end: End) -> End:
        while end in self._of:
            end = self._of[end]
        return end

    def _join(self, a: End, b: End) -> None:
        if self._root(a) != self._root(b):
            self._of[self._root(a)] = self._root(b)

    def joins(self, a: End, b: End) -> bool:
        return self._root(a) == self._root(b)


Stop = tuple[str, End | None, End | None]  # designation, terminals where the line enters and leaves


def _stops(wiring: Wiring, shared: Wiring, chain: Chain) -> list[list[Stop]]:
    """A chain from its output over its contacts to the lock and back, alternatives together."""
    source = wiring.devices[chain.source].sheet.groups[chain.source_group]
    load = wiring.devices[chain.load].sheet.groups[chain.load_group]
    assert isinstance(source, Gives)
    assert isinstance(load, Takes)
    found: list[list[Stop]] = [[(chain.source, None, End(chain.source, source.first or ""))]]
    for pole in ("plus", "minus"):
        for link in chain.links:
            if link.pole == pole:
                found += [] if link.beside else [[]]
                found[-1].append((link.device, link.enters, link.leaves))
        if pole == "plus":
            to = End(chain.load, load.first or "")
            whole = Copper(wiring, shared, (c.wire for c in wiring.conductors))
            # a calmer that limits stands in series: one end of it at the lock, the other not at the lock's minus
            for calmer in wiring.calmers:
                if calmer.lock == chain.load and calmer.ref and calmer.sheet:
                    ends = [End(calmer.ref, terminal.mark) for terminal in calmer.sheet.terminals[:2]]
                    ends.sort(key=lambda end: whole.joins(end, to))
                    if whole.joins(ends[1], to) and not whole.joins(ends[0], End(chain.load, load.second or "")):
                        found.append([(calmer.ref, ends[0], ends[1])])
            found.append([(chain.load, to, End(chain.load, load.second or ""))])
    if any(link.pole == "minus" for link in chain.links):
        found.append([(chain.source, End(chain.source, source.second or ""), None)])
    return found


def _shows(box: Box, stop: Stop) -> bool:
    return box.ref == stop[0] and all(end is None or end.terminal in box.marks for end in stop[1:])


def misread(wiring: Wiring, shared: Wiring, page: Sequence[Row]) -> list[str]:
    """What of the chains of the locks does not stand on the page, in order and with wires that join."""
    wrong = []
    locks = {behaviour.lock for behaviour in wiring.behaviours}
    for chain in wiring.chains:
        if chain.load not in locks:
            continue
        stops = _stops(wiring, shared, chain)
        name = f"{wiring.door} {chain.load}"
        met = {ref for alternatives in stops for ref, _, _ in alternatives}
        # what feeds from beside, such as a battery, stands on a level of its own under the row in which it feeds
        on_page = [box for row in page for box in row.boxes if len(row.boxes) > 1 or box.ref in met]
        if not any(box.ref == chain.load for box in on_page):  # in a bank: all wires must stand there
            bank = re.compile(r"^\w+ to \w+$")
            if not any(bank.match(box.ref) and chain.load[0] == box.ref[0] for box in on_page):
                wrong.append(f"{name}: no lock")
            copper = Copper(wiring, shared, (text for row in page for _, text in row.words))
            wrong += [f"{name}: wires to {after[0][0]}" for before, after in pairwise(stops)
                      if not copper.joins(before[0][2], after[0][1])]  # fmt: skip
            continue
        if any(len(alternatives) > 1 for alternatives in stops):
            wrong += _beside(wiring, shared, page, stops, name)
            continue
        plain = [alternatives[0] for alternatives in stops]
        starts = range(len(on_page) - len(plain) + 1)
        at = next((n for n in starts if all(map(_shows, on_page[n : n + len(plain)], plain))), None)
        if at is None:
            wrong.append(f"{name}: not in order")
            continue
        for n, (before, after) in enumerate(pairwise(plain), at):
            copper = Copper(wiring, shared, _between(page, on_page[n], on_page[n + 1]))
            if not (before[2] and after[1] and copper.joins(before[2], after[1])):
                wrong.append(f"{name}: wires from {before[0]} to {after[0]}")
    return wrong


def _between(page: Sequence[Row], one: Box, other: Box) -> set[str]:
    first, second = (next(row for row in page if box in row.boxes) for box in (one, other))
    if first is second:
        return first.wires(one.x1, other.x0)
    return first.wires(one.x1, 9999) | second.wires(0, other.x0)


def _beside(wiring: Wiring, shared: Wiring, page: Sequence[Row], stops: Sequence[Sequence[Stop]], name: str) -> list[str]:
    """Alternatives stand beneath one another, each with wires of its own on its level."""
    wrong = []
    for n, alternatives in enumerate(stops):
        for stop in alternatives:
            row = next((row for row in page for box in row.boxes if _shows(box, stop)), None)
            if row is None:
                wrong.append(f"{name}: {stop[0]} is not there")
            elif len(alternatives) > 1:
                copper = Copper(wiring, shared, (text for _, text in row.words))
                ends = ((stops[n - 1][0][2], stop[1]), (stop[2], stops[n + 1][0][1]))
                wrong += [f"{name}: wires at {stop[0]}" for a, b in ends if not (a and b and copper.joins(a, b))]
    return wrong


def _locked(folder: str, door: str) -> bool:
    return bool(_wired(folder, door).behaviours)


@pytest.mark.parametrize("folder", ["fernhill", "annex"])
def test_a_page_shows_each_chain_in_order_with_wires_that_join(folder: str) -> None:
    site, shared = _site(folder)
    locked = [door for door in site.doors if _locked(folder, door)]
    assert locked
    for door in locked:
        wiring = _wired(folder, door)
        assert misread(wiring, shared, rows(_printed(site, wiring, shared), door)) == [], door


def test_a_door_that_no_power_locks_has_no_page() -> None:
    site, shared = _site("fernhill")
    without = [door for door in site.doors if not _locked("fernhill", door)]
    assert without
    for door in without:
        assert release_page(site, site.doors[door], _wired("fernhill", door), shared) is None


@pytest.mark.parametrize("door", ["D104", "D106", "D107", "D116", "D124"])
def test_a_link_that_is_left_out_is_missed(door: str) -> None:
    site, shared = _site("fernhill")
    wiring = _wired("fernhill", door)
    locks = {behaviour.lock for behaviour in wiring.behaviours}
    tried = 0
    for n, chain in enumerate(wiring.chains):
        for link in chain.links if chain.load in locks else ():
            short = replace(chain, links=tuple(one for one in chain.links if one != link))
            mutant = replace(wiring, chains=(*wiring.chains[:n], short, *wiring.chains[n + 1 :]))
            assert misread(wiring, shared, rows(_printed(site, mutant, shared), door)), link
            tried += 1
    assert tried


@pytest.mark.parametrize("door", ["D103", "D104", "D106"])
def test_a_wire_that_is_left_out_is_missed(door: str) -> None:
    """Each conductor on the way of a chain in turn; the rest of the page knows no other way round."""
    site, shared = _site("fernhill")
    wiring = _wired("fernhill", door)
    traced = release(site, site.doors[door], wiring, shared)
    own = {wire.number for run in traced.chains for b in run.branches for wire in (*b.before, *b.after)}
    own &= {c.wire for c in wiring.conductors}
    assert own
    for number in sorted(own):
        mutant = replace(wiring, conductors=tuple(c for c in wiring.conductors if c.wire != number))
        assert misread(wiring, shared, rows(_printed(site, mutant, shared), door)), number


def test_contacts_have_fields_to_sign_in_and_none_where_the_door_is_stopped() -> None:
    site, shared = _site("fernhill")
    wiring = _wired("fernhill", "D104")
    boxes = [box for row in rows(_printed(site, wiring, shared), "D104") for box in row.boxes]
    signed = [box.ref for box in boxes if box.field]
    assert signed == ["S1", "S2", "A1", "FA1", "S2"]
    where = site.doors["D104"].where
    stop = Finding(code="X1", level="stop", message="a test", cure="none", source="", where=where, door="D104")
    study = study_door(site, site.doors["D104"], wiring, shared)
    stopped = texts(pdf_of_door(site, site.doors["D104"], wiring, study, (stop,), shared))
    pages = [page for page in stopped if "Egress and release chain" in page]
    assert pages
    assert not any("tested by date" in page for page in pages)


# ---- what acts upon a chain, written by hand from the relations of the demo doors -----------------------------------


def _release(door: str) -> Release:
    site, shared = _site("fernhill")
    return release(site, site.doors[door], _wired("fernhill", door), shared)


# Per door: who is worked, and through whose contacts; in the order of the letters.
ACTS = {
    "D101": ["K1: A1 K1"],
    "D102": ["G1: G1 FA1 G1"],
    "D103": [],
    "D104": ["G1: G1 FA1 G1", "A1: A1 S2 A1"],
    "D106": ["G3: G3 FA1 G3", "A1: A1 S2 A1"],
    "D107": ["G1: G1 FA1 G1", "K1: FB1 S2 A1 K1", "A1: A1 S1 A1", "A1: A1 S2 A1"],
    "D108": ["G3: G3 A1 G3", "G3: G3 FA1 G3"],
    "D112": ["Y1: Y1 A1 Y1"],
    "D116": ["A1: A1 S2 A1"],
    "D124": ["K90: FB4 FA1 S90 K90"],
}


@pytest.mark.parametrize("door", ACTS)
def test_what_acts_upon_a_chain(door: str) -> None:
    acting = _release(door).acting
    told = [f"{run.title.removeprefix('works ')}: {' '.join(b.thing.ref for b in run.branches)}" for run in acting]
    assert told == ACTS[door]


@pytest.mark.parametrize("folder", ["fernhill", "annex"])
def test_each_letter_at_a_thing_is_a_line_and_the_other_way_round(folder: str) -> None:
    site, shared = _site(folder)
    for door in site.doors:
        traced = release(site, site.doors[door], _wired(folder, door), shared)
        at_things = {a for run in (*traced.chains, *traced.acting) for b in run.branches for a in b.thing.acts}
        assert at_things == {run.letter for run in traced.acting}


# Designation: what its contact in the chain says, by the data sheet and the settings in the spec, written by hand.
SAYS = {
    ("D104", "S1"): ("opens when worked", "then stays so for 30 s", "idle: closed"),
    ("D104", "S2"): ("opens when S2 has no power", "opens on motion", "so when the controller has no power", "fed from A1 12V"),
    ("D104", "A1"): ("opens on a grant", "opens when A1 has no power", "so on motion"),
    ("D116", "FA1"): ("opens on fire alarm", "then stays so until reset"),
    ("D106", "S1"): ("opens when worked", "then stays so until reset"),
    ("D103", "S1"): ("closes when worked", "idle: open"),
    ("D102", "A90"): ("opens on a grant while A90 has power", "idle: closed"),
    ("D107", "K1"): (
        "opens when K1 has no power",
        "so when S1 is worked, on motion, on fire alarm, on a grant, when the controller has no power",
    ),
}


@pytest.mark.parametrize(("door", "ref"), SAYS)
def test_what_opens_a_contact(door: str, ref: str) -> None:
    things = [branch.thing for run in _release(door).chains for branch in run.branches]
    things = [thing for thing in things if thing.ref == ref and thing.look == "contact"]
    assert things
    assert set(SAYS[door, ref]) <= set(things[0].words)


def test_power_begins_at_mains_a_port_or_a_battery() -> None:
    origins = {(door, b.thing.ref) for door in ("D104", "D103", "D101") for b in _release(door).chains[0].stages[0]}
    assert origins == {("D104", "mains"), ("D104", "BT1"), ("D103", "mains"), ("D101", "mains")}


# ---- any door ------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize("seed", [3, 5])
def test_random_doors(seed: int, tmp_path: Path) -> None:
    site = load_site(seeded_site(tmp_path, seed, 8))
    shared = wire_site(site)
    read = 0
    for id_, door in site.doors.items():
        wiring = wire_door(site, door)
        if not wiring.behaviours:
            continue
        pdf = _printed(site, wiring, shared)
        assert misread(wiring, shared, rows(pdf, id_)) == []
        for page in read_pages(pdf):
            assert all(text.capitals > SMALLEST - 0.01 for text in page.texts)
            assert all(text.box.x0 > 0 and text.box.x1 < page.width - 9 for text in page.texts)
        read += 1
    assert read > 3


def test_a_narrow_page_wraps_a_chain_and_shrinks_nothing() -> None:
    traced = _release("D116")
    wide, narrow = (list(drawn_rows(traced.chains, room, "iec", signed=True)) for room in (750, 330))
    assert len(narrow) > len(wide)
    assert all(row.width <= room + 0.01 for room, found in ((750, wide), (330, narrow)) for row in found)
    shapes = [[shape for row in found for shape in row.contents] for found in (wide, narrow)]
    sizes = [{shape.fontSize for shape in of if hasattr(shape, "fontSize")} for of in shapes]
    assert sizes[0] == sizes[1]


def test_same_bytes() -> None:
    site, shared = _site("fernhill")
    wiring = _wired("fernhill", "D107")
    assert _printed(site, wiring, shared) == _printed(site, wire_door(site, site.doors["D107"]), wire_site(site))


# ---- what the tables say, written by hand from the specs and the data sheets of the demo -----------------------------


def _facts(door: str) -> dict[str, str]:
    site, shared = _site("fernhill")
    page = release_page(site, site.doors[door], _wired("fernhill", door), shared)
    assert page is not None
    return dict(row for block in page.blocks if isinstance(block, Facts) for row in block.rows)


@pytest.mark.parametrize("door", ["D103", "D124", "D125", "D126"])
def test_a_key_switch_that_lets_in_is_no_way_of_leaving(door: str) -> None:
    """D103 is left by its handle, the stair doors by their bar: S1 at the desk and S90 in the closet stay as they are."""
    assert _facts(door)["Somebody leaves"].endswith("whatever the lock does; Y1 held")


def test_a_door_that_nobody_leaves_has_no_row_for_it() -> None:
    assert "Somebody leaves" not in _facts("D121")


RESETS = {
    "D103": ["S1 at desk: turn the key back"],
    "D106": ["S1 at inside: key in the lower edge", "FA1 at closet-1: at the fire panel, by its own staff"],
    "D110": ["nothing to reset"],
    "D124": ["FA1 at closet-1: at the fire panel, by its own staff", "S90 at closet-2: turn the key back"],
}


@pytest.mark.parametrize("door", RESETS)
def test_all_that_stays_moved_is_named_with_where_it_is_reset(door: str) -> None:
    assert _facts(door)["Reset"].split("; ") == RESETS[door]


def test_outputs_say_whether_they_drop_on_fire_alarm() -> None:
    """G1 drops V+ and not AUX+, G3 of the lecture hall both bars (data sheets); FB4 hangs on AUX+ (site spec)."""
    said = {(door, word) for door in ("D102", "D108", "D110") for thing in _release(door).things for word in thing.words}
    fire = {(door, word) for door, word in said if word.endswith("on fire alarm") and "opens" not in word}
    assert fire == {
        ("D102", "V+ drops on fire alarm"),
        ("D108", "B1+ drops on fire alarm"),
        ("D108", "B2+ drops on fire alarm"),
        ("D110", "AUX+ stands on fire alarm"),
    }
    assert _facts("D110")["Fire alarm does"] == "nothing in this circuit; AUX+ of G1 stands"


def test_an_input_tells_what_is_set_to_act_with_it() -> None:
    """Trigger 2 of G3 is set to act with trigger 1 (spec of D108), and gives the second bar."""
    (trigger,) = (thing for thing in _release("D108").things if thing.enters == ("TR1",))
    assert trigger.words == ("gives B1+", "TR2 with it: gives B2+")


def test_a_bolt_without_a_spring_is_not_told_to_be_held_without_power() -> None:
    assert _facts("D112")["All power lost"] == "Y1 as it was, held or free"


@pytest.mark.parametrize("door", ["D102", "D107", "D110"])
def test_words_stay_within_their_row(door: str) -> None:
    """Also those of a supply that mains and battery feed, whose box reaches down to the battery's line."""
    for row in drawn_rows((*_release(door).chains, *_release(door).acting), 750, "iec", signed=True):
        assert all(0 <= shape.y <= row.height for shape in row.contents if hasattr(shape, "fontSize"))

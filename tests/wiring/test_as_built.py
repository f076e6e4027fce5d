"""As-built corrections: what is on the wall stands in the wiring; what contradicts the design is told, and never lost."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import pytest

from tests.wiring.small import site_of
from wiregen.reading.model import SpecError
from wiregen.wiring.model import Conductor, End, Wiring
from wiregen.wiring.wire import wire_design, wire_door

DEVICES = """
Y1: {type: strike-12, at: frame, from: A1.out, through: [A1.relay]}
B1: {type: contact-plain, at: frame, tells: A1.door}
S1: {type: motion, at: inside, from: A1.out, tells: {tell: A1.exit}}
"""


def built(folder: Path, *entries: str) -> tuple[Wiring, Wiring]:
    """The door as designed and as built."""
    site = site_of(folder, DEVICES, more="as-built: [" + ", ".join(f"{{{entry}}}" for entry in entries) + "]")
    return wire_design(site, site.doors["D1"]), wire_door(site, site.doors["D1"])


def wire(wiring: Wiring, number: str) -> Conductor:
    return next(c for c in wiring.conductors if c.wire == number)


def others(wiring: Wiring, *numbers: str) -> list[Conductor]:
    return [c for c in wiring.conductors if c.wire not in numbers]


def test_a_spare_core_is_used_and_the_other_is_spare(tmp_path: Path) -> None:
    design, wall = built(tmp_path, "wire: A113a, colour: GN, note: yellow core broken, by: R. Pike, date: 2026-12-03")
    was, now = wire(design, "A113a"), wire(wall, "A113a")
    assert (was.colour, was.core, now.colour, now.core) == ("YE", "YE", "GN", "GN")
    assert now.built is not None
    assert now.built.was == (("core", "YE"), ("colour", "YE"))
    assert (now.built.note, now.built.by, now.built.date) == ("yellow core broken", "R. Pike", "2026-12-03")
    assert was.cable is not None
    cores = dict(wall.cables[was.cable].cores)
    assert (cores["GN"], cores["YE"]) == ("A113a", None)
    assert others(design, "A113a") == others(wall, "A113a")


def test_two_wires_exchange_their_cores(tmp_path: Path) -> None:
    design, wall = built(tmp_path, "wire: A113a, colour: BK", "wire: A102c, colour: YE")
    pair = wire(design, "A113a"), wire(design, "A102c")
    assert pair[0].cable == pair[1].cable
    assert [wire(wall, c.wire).core for c in pair] == [c.core for c in pair[::-1]]


def test_a_measured_length_is_that_of_the_whole_cable(tmp_path: Path) -> None:
    design, wall = built(tmp_path, "wire: A113a, length: 4.5 m")
    cable = wire(design, "A113a").cable
    assert cable is not None
    assert (design.cables[cable].length, wall.cables[cable].length) == (3, 4.5)
    assert {c.length for c in wall.conductors if c.cable == cable} == {4.5}
    assert wire(wall, "A113a").built == replace(wire(wall, "A113a").built, was_length=(3.0, False))  # type: ignore[type-var]


def test_another_terminal_of_the_same_potential_is_shown_where_it_is(tmp_path: Path) -> None:
    design, wall = built(tmp_path, 'wire: A102g, from: "A1:0V3"')
    was, now = wire(design, "A102g"), wire(wall, "A102g")
    assert (was.a, now.a) == (End("A1", "0V2"), End("A1", "0V3"))
    assert now.built is not None
    assert (now.built.was, now.built.off) == ((("from", "A1:0V2"),), ())
    assert "0V3" in wall.devices["A1"].used
    assert "0V3" not in {u.terminal for u in wall.unused if u.device == "A1"}


def test_a_terminal_of_another_group_stays_as_designed_and_is_remembered(tmp_path: Path) -> None:
    design, wall = built(tmp_path, 'wire: A113a, from: "A1:AUX1"')
    now = wire(wall, "A113a")
    assert now.built is not None
    assert now.built.off == (("from", End("A1", "AUX1")),)
    assert replace(now, built=None) == wire(design, "A113a")
    assert wall.devices == design.devices


REFUSED = {
    "wire: A113b, colour: WH": ("wire: the door has no wire A113b", "did you mean A113a?"),
    "wire: A113a, colour: YE": ("colour: the design has the colour YE there already", "take the correction out"),
    "wire: A113a, colour: VT": ("colour: W3 (cable-4x0.22) has no core VT", "its cores: RD, BK, YE, GN"),
    "wire: A113a, colour: BK": ("colour: the core BK of W3 carries A102c", "correct that wire too; spare: RD, GN"),
    "wire: A113a, length: 3 m": ("length: the design has 3 m there already", "take the correction out"),
    'wire: A113a, from: "A1:DOOR"': ("from: the design has it on A1:DOOR there already", "take the correction out"),
    'wire: A113a, from: "A1:AUX3"': ("from: A1 (inner-controller) has no terminal AUX3", "did you mean AUX2?"),
    'wire: A113a, to: "B7:1"': ("to: there is no B7 on the sheets of this door", "there are: A1, Y1, B1, S1"),
    'wire: A102c, from: "A1:0V"': (
        "from: the design joins this end at X1:s2, in a box: there is no terminal that it could have missed",
        "tell it in a note",
    ),
    "wire: A113a, by: R. Pike": ("wire: nothing is said of it", "write from, to, colour, core, length or note"),
}


@pytest.mark.parametrize("entry", REFUSED)
def test_what_does_not_fit_the_design_has_its_message(entry: str, tmp_path: Path) -> None:
    with pytest.raises(SpecError) as refused:
        built(tmp_path, entry)
    (problem,) = refused.value.problems
    wrong, instead = REFUSED[entry]
    key, _, said = wrong.partition(": ")
    assert (problem.path.rpartition(", ")[2], problem.wrong) == (key, said)
    assert problem.instead.startswith(instead)
    text = Path(problem.where.file).read_text("utf-8").splitlines()[problem.where.line - 1]
    value = entry.partition(f"{key}: ")[2].split(",")[0]
    assert text[problem.where.column - 1 :].startswith(value), "the place is that of the value"


def test_one_wire_twice(tmp_path: Path) -> None:
    with pytest.raises(SpecError, match="A113a is corrected twice"):
        built(tmp_path, "wire: A113a, colour: WH", "wire: A113a, length: 4 m")

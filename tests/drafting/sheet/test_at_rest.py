"""Contacts are drawn de-energised (IEC 61082-1: circuits de-energised, parts at rest), read back from the drawing."""

from __future__ import annotations

from itertools import permutations

import pytest

from tests.drafting.sheet.hand import site
from tests.drafting.sheet.ink import joined
from wiregen.drafting.canvas import Canvas
from wiregen.drafting.inside import draw_inside
from wiregen.drafting.model import Rect
from wiregen.drafting.stacking import Row, mark_width
from wiregen.reading.model import Changeover, Condition, Contact, DataSheet, Terminal, Where

HERE = Where("by hand", 1, 1)
BOX = Rect(0, 0, 40, 20)


def sheet(group: Contact | Changeover) -> DataSheet:
    terminals = tuple(Terminal(m, n) for n, m in enumerate(group.marks, 1))
    return DataSheet(type="x", is_="relay", name="x", terminals=terminals, groups={group.name: group}, where=HERE)


def drawn(
    group: Contact | Changeover, left: tuple[str, ...], right: tuple[str, ...] = (), symbols: str = "iec"
) -> set[frozenset[str]]:
    canvas = Canvas(50, 30)
    rows = {m: Row("left", 17.5 - 5 * n, mark_width(m)) for n, m in enumerate(left)}
    rows |= {m: Row("right", 17.5 - 5 * n, mark_width(m)) for n, m in enumerate(right)}
    draw_inside(canvas, sheet(group), BOX, rows, symbols, None)
    at = {m: (BOX.x + r.start if r.side == "left" else BOX.x + BOX.w - r.start, r.y) for m, r in rows.items()}
    return joined(canvas.drawing, at)


def changeover(*conditions: Condition) -> Changeover:
    return Changeover(name="c", where=HERE, common="C", make="O", break_="B", moves_when=conditions)


def contact(*conditions: Condition) -> Contact:
    return Contact(name="c", where=HERE, between=("1", "2"), closed_when=conditions)


REST = {frozenset({"C", "B"}), frozenset({"O"})}


@pytest.mark.parametrize("symbols", ["iec", "ieee"])
@pytest.mark.parametrize("side", ["left", "right"])
def test_changeover_rests_on_its_break_side(side: str, symbols: str) -> None:
    group = changeover(Condition(("powered",)), Condition(("grant",)))
    orders = {order: (order, ()) if side == "left" else ((), order) for order in permutations("COB")}
    found = {order: drawn(group, *sides, symbols=symbols) for order, sides in orders.items()}
    assert found == dict.fromkeys(orders, REST)


@pytest.mark.parametrize("left", [("C",), ("O", "B"), ("C", "O"), ("B", "C"), ("B",), ("O",)])
@pytest.mark.parametrize("turned", [False, True])
def test_changeover_across_a_box(left: tuple[str, ...], turned: bool) -> None:
    right = tuple(m for m in ("B", "C", "O") if m not in left)
    group = changeover(Condition(("powered",)))
    assert drawn(group, *((right, left) if turned else (left, right))) == REST


def test_changeover_that_lacks_a_terminal_on_the_sheet() -> None:
    group = changeover(Condition(("powered",)))
    assert drawn(group, ("C", "B")) == {frozenset({"C", "B"})}
    assert drawn(group, ("C", "O")) == {frozenset({"C"}), frozenset({"O"})}


CLOSED, OPEN = {frozenset({"1", "2"})}, {frozenset({"1"}), frozenset({"2"})}


@pytest.mark.parametrize(
    ("conditions", "expected"),
    [
        ([Condition(("powered",))], OPEN),  # a relay drops out
        ([Condition(("pressed",))], OPEN),
        ([Condition(("pressed",), negated=True)], CLOSED),
        ([Condition(("motion",))], OPEN),
        ([Condition(("powered",)), Condition(("motion",), negated=True)], OPEN),  # held by a relay that has no power
        ([Condition(("shut",))], CLOSED),  # the door is shut
        ([Condition(("bonded",))], OPEN),  # a magnet without power does not hold
        ([Condition(("tampered",), negated=True)], CLOSED),
        ([Condition(("fire",))], OPEN),
    ],
)
def test_contact_at_rest(conditions: list[Condition], expected: set[frozenset[str]]) -> None:
    sides = ((("1", "2"), ()), ((), ("1", "2")), (("1",), ("2",)), (("2",), ("1",)))
    ways = [(side, symbols) for side in sides for symbols in ("iec", "ieee")]
    found = {way: drawn(contact(*conditions), *way[0], symbols=way[1]) for way in ways}
    assert found == dict.fromkeys(ways, expected)


@pytest.mark.parametrize("symbols", ["iec", "ieee"])
def test_every_contact_of_the_demo_data_sheets(symbols: str) -> None:
    seen = 0
    for data in site().sheets.values():
        if not isinstance(data, DataSheet):
            continue
        for group in data.groups.values():
            if isinstance(group, Changeover):
                moved = {w for c in group.moves_when for w in c.any_of} <= {"shut", "latched"}  # by the door itself
                home, away = (group.make, group.break_) if moved else (group.break_, group.make)
                expected = {frozenset({group.common, home}), frozenset({away})}
                assert drawn(group, group.marks, symbols=symbols) == expected, data.type
                seen += 1
            elif isinstance(group, Contact) and not group.line_end:
                found = drawn(group, group.between, symbols=symbols)
                mechanical = all(set(c.any_of) <= {"shut", "latched"} and not c.negated for c in group.closed_when)
                idle = all(c.negated for c in group.closed_when)
                assert (found == {frozenset(group.between)}) == (mechanical or idle), (data.type, group.name)
                seen += 1
    assert seen > 60

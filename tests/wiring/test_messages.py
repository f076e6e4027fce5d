"""What cannot be wired is a message that names what would fit and the YAML to write, never a guess."""

from __future__ import annotations

from pathlib import Path

import pytest

from tests.wiring.small import site_of
from wiregen.reading.model import SpecError
from wiregen.wiring.wire import wire_door

MESSAGES = {
    "two outputs fit": (
        "S1: {type: motion, at: inside, from: A1}",
        ["devices, S1, from", "2 groups of A1 would fit: out, reader", "S1: {from: A1.out}"],
    ),
    "two contacts of its own fit": (
        "S1: {type: call-point, at: inside, tells: A1.exit}\nS2: {type: motion, at: inside, from: A1.out, tells: A1.exit}",
        ["devices, S2, tells", "groups of S2 would fit: chain, tell", "S2: {tells: {chain: A1.exit}}"],
    ),
    "nothing fits": (
        "B1: {type: contact-plain, at: frame, tells: A1.out}",
        ["no group of B1 fits A1.out by `tells`", "B1 (contact-plain) offers tell (contact)", "A1 (inner-controller) offers"],
    ),
    "two poles could stand in the circuit": (
        "S1: {type: button-30s, at: inside}\nY1: {type: strike-12, at: frame, from: A1.out, through: [S1]}",
        ["3 contacts of S1 would fit", "S1.pole-1", "Y1: {through: [S1.pole-1]}"],
    ),
    "no contact in a circuit": (
        "Y1: {type: strike-12, at: frame, from: A1.out, through: [A1.door]}",
        ["A1.door is no contact, changeover or pass"],
    ),
    "nothing to stand in": (
        "Y1: {type: strike-12, at: frame, through: [A1.relay]}",
        ["nothing can be put into the circuit of Y1: its `from` is missing"],
    ),
    "in series with what tells nothing": (
        "B1: {type: contact-plain, at: frame}\nB2: {type: contact-plain, at: frame, tells: B1}",
        ["B2 stands in series with B1.tell, but B1.tell tells nothing itself", "B1: {tells: {tell: A1.INPUT}}"],
    ),
    "a contact in two circuits": (
        "Y1: {type: strike-12, at: frame, from: A1.out, through: [A1.relay]}\n"
        "Y2: {type: strike-24-free, at: frame, from: FB1.f-1, through: [A1.relay]}",
        ["A1.relay stands in two circuits, that of Y1.coil and that of Y2.coil: it would join them"],
    ),
    "a contact in a lock's circuit and on an input": (
        "S1: {type: button-30s, at: inside, tells: {pole-1: A1.exit}}\n"
        "Y1: {type: strike-12, at: frame, from: A1.out, through: [S1.pole-1, A1.relay]}",
        ["S1.pole-1 stands in two circuits"],
    ),
    "said at both ends": (
        "G5: {type: supply-24-local, at: box, from: mains, obeys: {fire: S1.tell}}\n"
        "S1: {type: push-pad, at: inside, tells: {tell: G5.fire}}",
        ["S1.tell and G5.fire are joined twice, here and at", "leave one of the two out"],
    ),
    "bridged": (
        "S1: {type: key-switch, at: box}\nY1: {type: strike-12, at: frame, from: A1.out, through: [S1.made or A1.relay]}",
        None,
    ),
    "a coil bridged": (
        'Y1: {type: strike-12, at: frame, from: A1.out}\nB1: {type: contact-plain, at: frame}',
        ["Y1:+ and Y1:- (coil) come to be one point: it would be bridged"],
    ),
}  # fmt: skip


@pytest.mark.parametrize("name", MESSAGES)
def test_the_message_says_what_would_fit(tmp_path: Path, name: str) -> None:
    lines, expected = MESSAGES[name]
    more = 'conductors: {add: [{from: "Y1:+", to: "Y1:-", why: a test}]}' if name == "a coil bridged" else ""
    site = site_of(tmp_path, lines, more=more)
    if expected is None:
        wire_door(site, site.doors["D1"])
        return
    with pytest.raises(SpecError) as caught:
        wire_door(site, site.doors["D1"])
    message = str(caught.value)
    for part in expected:
        assert part in message
    assert all(problem.where.file.endswith("D1.yaml") and problem.where.line > 1 for problem in caught.value.problems)


def test_all_problems_come_at_once(tmp_path: Path) -> None:
    site = site_of(
        tmp_path,
        "S1: {type: motion, at: inside, from: A1}\nB1: {type: contact-plain, at: frame, tells: A1.out}\n"
        "Y1: {type: strike-12, at: frame, through: [A1.relay]}",
    )
    with pytest.raises(SpecError) as caught:
        wire_door(site, site.doors["D1"])
    assert len(caught.value.problems) == 3


def test_closed_contacts_side_by_side_are_remarked_on(tmp_path: Path) -> None:
    lines = "B1: {type: contact-plain, at: frame, tells: A1.door}\nB2: {type: contact-plain, at: frame, tells: A1.door}"
    site = site_of(tmp_path, lines)
    remarks = wire_door(site, site.doors["D1"]).remarks
    assert [r.code for r in remarks] == ["contacts-in-parallel"]
    assert "B2: {tells: B1}" in remarks[0].text


def test_makes_side_by_side_are_not(tmp_path: Path) -> None:
    lines = "S1: {type: push-pad, at: inside, tells: A1.exit}\nS2: {type: push-pad, at: box, tells: A1.exit}"
    site = site_of(tmp_path, lines)
    assert wire_door(site, site.doors["D1"]).remarks == ()

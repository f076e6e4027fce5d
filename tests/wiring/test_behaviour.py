"""Which contact gives what is wanted, and what the lock then does in each state.

The facts of the trade tried here are common practice, no source, unless one stands beside them.
"""

from __future__ import annotations

from pathlib import Path

import pytest

from tests.wiring.small import SITE, site_of, together, wire
from wiregen.reading.model import SpecError
from wiregen.wiring.model import Behaviour, Wiring
from wiregen.wiring.wire import wire_door

FED = SITE.replace(
    "  FB1: {type: fuse-board-8, at: closet-1}",
    "  G1: {type: supply-24-8, at: closet-1, from: {mains: mains}, obeys: {fire: FA1.c-8}}\n"
    "  FB1: {type: fuse-board-8, at: closet-1, from: G1.out}\n"
    "  FB2: {type: fuse-board-8, at: closet-1, from: G1.aux}\n"
    "  G2: {type: supply-24-local, at: closet-1, from: mains}",
)


def of(wiring: Wiring, lock: str = "Y1") -> Behaviour:
    return next(b for b in wiring.behaviours if b.lock == lock)


def contact(wiring: Wiring, ref: str = "A1") -> tuple[str, str | None]:
    """The side of the relay in the lock's circuit, and what its sense is set to."""
    link = next(one for chain in wiring.chains for one in chain.links if one.device == ref)
    return str(link.side), wiring.devices[ref].settings.get("relay-sense")


# what a lock wants: type, source, want, and the contact that gives it
LOCKS = [
    ("strike-12", "A1.out", "{idle: held, grant: free, controller-dead: held, power-dead: held}", ("make", "moves on grant")),
    ("strike-24-free", "G2.out", "{idle: held, grant: free, controller-dead: held}", ("make", "moves on grant")),
    ("strike-24-free", "G2.out", "{idle: held, grant: free, controller-dead: free}", ("break", "rests on grant")),
    ("strike-24-held", "G2.out", "{idle: held, grant: free, controller-dead: held}", ("break", "moves on grant")),
    ("strike-24-held", "G2.out", "{idle: held, grant: free, controller-dead: free}", ("make", "rests on grant")),
    ("magnet-24", "G2.out", "{idle: held, grant: free, controller-dead: free, power-dead: free}", ("make", "rests on grant")),
    ("magnet-24", "G2.out", "{idle: held, grant: free, controller-dead: held}", ("break", "moves on grant")),
    ("magnet-12", "A1.out", "{idle: held, grant: free, controller-dead: free}", ("break", "moves on grant")),
]


@pytest.mark.parametrize(("lock", "source", "want", "expected"), LOCKS)
def test_fail_mode_alone_does_not_decide(tmp_path: Path, lock: str, source: str, want: str, expected: tuple[str, str]) -> None:
    """Lock mode against contact, by what is wanted when the controller dies."""
    wiring = wire(tmp_path, f"Y1: {{type: {lock}, at: frame, from: {source}, through: [A1.relay]}}", want=want, site=FED)
    assert contact(wiring) == expected
    behaviour = of(wiring)
    assert {state: behaviour.gives[state] for state in behaviour.wanted} == behaviour.wanted


def test_two_answers_take_the_relay_at_rest_and_say_so(tmp_path: Path) -> None:
    wiring = wire(tmp_path, "Y1: {type: magnet-12, at: frame, from: A1.out, through: [A1.relay]}", want=LOCKS[-1][2])
    assert "contact-at-rest" in [r.code for r in wiring.remarks]


def test_a_side_that_is_written_is_kept(tmp_path: Path) -> None:
    wiring = wire(tmp_path, "Y1: {type: magnet-12, at: frame, from: A1.out, through: [A1.relay.make]}", want=LOCKS[-1][2])
    assert contact(wiring) == ("make", "rests on grant")


def test_none_fits_is_a_message_with_the_states(tmp_path: Path) -> None:
    """Two strikes that want different things of one relay cannot both be served."""
    site = site_of(
        tmp_path,
        """
        A2: {type: intercom, at: box, from: N1.p-2}
        K1: {type: inside-board, at: box, from: A1.out}
        Y1: {type: magnet-24, at: frame, from: G2.out, through: [K1.relay.make]}
        """,
        want="{idle: held, grant: held}",
        site=FED,
    )
    wiring = wire_door(site, site.doors["D1"])  # nothing to choose: the review compares
    assert of(wiring).gives["idle"] == "free"
    site = site_of(
        tmp_path / "more",
        """
        K1: {type: relay-2p-24, at: box, from: G2.out, through: [A1.relay]}
        Y1: {type: magnet-24, at: frame, from: G2.out, through: [K1.c-1]}
        Y2: {type: strike-24-free, at: frame, from: G2.out, through: [A1.relay-2], want: {controller-dead: free}}
        Y3: {type: strike-24-free, at: frame, from: G2.out, through: [A1.relay-2], want: {controller-dead: held}}
        """,
        want="{idle: held, grant: free, controller-dead: free}",
        site=FED,
    )
    with pytest.raises(SpecError) as caught:
        wire_door(site, site.doors["D1"])
    message = str(caught.value)
    assert "no choice of make or break contact at A1.relay-2" in message
    assert "Y3: idle held, grant free, controller-dead held (the nearest gives free)" in message or "Y2" in message
    assert "A1.relay-2.break" in message


def test_a_relay_between_is_solved_with_its_coil(tmp_path: Path) -> None:
    """Opening the coil's circuit must free the magnets, also when only the sensor does it."""
    wiring = wire(
        tmp_path,
        """
        S2: {type: motion, at: inside, from: A1.out}
        S1: {type: button-30s, at: inside}
        K1: {type: relay-2p-24, at: box, from: G2.out, through: [S2.chain, A1.relay]}
        Y1: {type: magnet-24, at: frame, from: G2.out, through: [S1.pole-1, K1.c-1]}
        Y2: {type: magnet-24, at: frame, from: G2.out, through: [S1.pole-2, K1.c-2]}
        """,
        leave="[sensor, button]",
        want="{idle: held, grant: free, controller-dead: free, power-dead: free}",
        site=FED,
    )
    sides = {(link.device, link.group): link.side for chain in wiring.chains for link in chain.links}
    assert sides["K1", "c-1"] == sides["K1", "c-2"] == "make"
    assert of(wiring).gives["exit"] == of(wiring, "Y2").gives["exit"] == "free"
    # two magnets on one contact would hold one another up while their fields fall: each has a pole of its own
    assert not together(wiring, "Y1:+", "Y2:+")


def test_each_way_to_leave_must_free_alone(tmp_path: Path) -> None:
    """A sensor that only tells the controller does not free the door when its exit input is set to mask only."""
    lines = """
        S1: {type: button-30s, at: inside}
        S2: {type: motion, at: inside, from: A1.out, tells: {tell: A1.exit}}
        Y1: {type: magnet-24, at: frame, from: G2.out, through: [S1.pole-1, A1.relay]}
        """
    unlocks = wire(tmp_path / "unlock", lines, leave="[sensor, button]", want=LOCKS[5][2], site=FED)
    assert of(unlocks).gives["exit"] == "free"
    site = site_of(tmp_path / "mask", lines, leave="[sensor, button]", want=LOCKS[5][2], site=FED)
    text = (tmp_path / "mask" / "small" / "doors" / "D1.yaml").read_text("utf-8")
    assert site.doors
    text = text.replace("from: N1.p-1}", "from: N1.p-1, set: {exit: mask only}}")
    masked = wire(tmp_path / "again", lines, others={"D1": text}, site=FED)
    assert of(masked).gives["exit"] == "held"


def test_leaving_by_hand_works_what_is_on_the_leaf_and_no_switch_beside_the_door(tmp_path: Path) -> None:
    """A switch in the bar tells an exit input that unlocks; the same switch at a desk is nobody's way out."""
    lines = """
        T1: {{type: hinge-10}}
        S1: {{type: bar-switch, at: {at}, tells: {{tell: A1.exit}}}}
        Y1: {{type: trim-24-held, at: leaf, from: G2.out, through: [A1.relay]}}
        """
    more = {"leave": "bar", "runs": "leaf: [frame, 1 m, T1]", "site": FED}
    done = {at: of(wire(tmp_path / at, lines.format(at=at), **more)).gives["exit"] for at in ("leaf", "inside")}
    assert done == {"leaf": "free", "inside": "held"}


FIRE = [
    ("through", "Y1: {type: magnet-24, at: frame, from: G2.out, through: [FA1.c-1, A1.relay]}"),
    ("supply", "Y1: {type: magnet-24, at: frame, from: FB1.f-1, through: [A1.relay]}"),
    ("obeys", "G5: {type: supply-24-local, at: box, from: mains, obeys: {fire: FA1.c-2}}\n"
              "Y1: {type: magnet-24, at: frame, from: G5.out, through: [A1.relay]}"),
]  # fmt: skip


@pytest.mark.parametrize(("way", "lines"), FIRE)
def test_fire_frees_by_the_feed_or_by_the_supply(tmp_path: Path, way: str, lines: str) -> None:
    """Hard-wired, open circuit releases: the contact that is moved while there is no fire gives its make side to the loop."""
    wiring = wire(tmp_path, lines, want="{idle: held, grant: free, controller-dead: free, fire: free}", site=FED)
    behaviour = of(wiring)
    assert behaviour.gives["fire"] == "free"
    assert behaviour.gives["idle"] == "held"
    if way != "supply":
        assert {mark[:2] for mark in wiring.devices["FA1"].used if mark.startswith("N")} == {"NO"}


def test_what_nothing_in_the_circuit_can_give_is_left_to_the_review(tmp_path: Path) -> None:
    wiring = wire(
        tmp_path,
        "Y1: {type: magnet-24, at: frame, from: G2.out, through: [A1.relay]}",
        want="{idle: held, grant: free, controller-dead: free, fire: free}",
        site=FED,
    )
    assert of(wiring).wanted["fire"] == "free"
    assert of(wiring).gives["fire"] == "held"


def test_a_motor_bolt_stays_as_it_was(tmp_path: Path) -> None:
    wiring = wire(
        tmp_path,
        "Y1: {type: bolt-motor, at: frame, from: A1.out, obeys: {unlock: A1.relay}}",
        want="{idle: held, grant: free, controller-dead: held}",
    )
    assert dict(of(wiring).gives) | {"power-dead": "held"} == dict(of(wiring).gives)
    assert together(wiring, "Y1:3", "A1:NO")  # its input is left at rest in idle


def test_the_lock_contact_stands_inside_behind_a_coded_line(tmp_path: Path) -> None:
    """A reader that can be pulled off holds no lead of the lock's circuit; its board inside obeys only a coded message."""
    lines = """
        A2: {type: reader-controller, at: outside, from: N1.p-2}
        K1: {type: inside-board, at: box, from: A2.out, obeys: A2.coded}
        Y1: {type: strike-24-free, at: frame, from: G2.out, through: [K1.relay]}
        """
    wiring = wire(tmp_path, lines, want="{idle: held, grant: free, controller-dead: held, tamper: held}", site=FED)
    assert together(wiring, "K1:NO", "Y1:+")
    assert together(wiring, "A2:8", "K1:A")
    outside = {ref for ref, device in wiring.devices.items() if device.exposed}
    heavy = {end.device for c in wiring.conductors if c.circuit == "lock power" for end in (c.a, c.b)}
    assert not outside & heavy
    assert of(wiring).gives["tamper"] == "held"


def test_wiegand_lines_go_like_to_like(tmp_path: Path) -> None:
    wiring = wire(tmp_path, "U1: {type: reader-wiegand, at: outside, from: A1.reader, speaks: A1.w1}")
    assert together(wiring, "A1:D0", "U1:3")
    assert together(wiring, "A1:D1", "U1:4")


@pytest.mark.parametrize("state", ["controller-dead", "power-dead"])
def test_a_magnet_without_power_is_free_whatever_the_contact(tmp_path: Path, state: str) -> None:
    wiring = wire(
        tmp_path,
        "Y1: {type: magnet-12, at: frame, from: A1.out, through: [A1.relay.break]}",
        want="{idle: held, grant: free}",
    )
    assert of(wiring).gives[state] == "free"
    assert not of(wiring).powered[state]

"""What somebody may say at a door, and what he is told where it cannot be understood."""

from __future__ import annotations

import pytest

from tests.faults.doors import trials
from wiregen.faults.readings import Readings
from wiregen.faults.seen import Seen, Sign
from wiregen.faults.told import Listener, NotUnderstood, Reading, Saw
from wiregen.wiring.model import End

PLUS, MINUS = End("Y1", "+"), End("Y1", "-")


def listener(door: str) -> Listener:
    of = trials(door)
    ends = [end for end in of.settler.circuit.nodes if end.device in of.wiring.devices]
    return Listener(door, Readings(of).moments, ends, Seen(of))


def moment(door: str, name: str) -> int:
    return [one.name for one in Readings(trials(door)).moments].index(name)


@pytest.mark.parametrize(
    ("text", "state", "a", "volts"),
    [
        ("Y1.+ Y1.- = 3.1 V", "idle", PLUS, 3.1),
        ("Y1:+ Y1:-=3.1V", "idle", PLUS, 3.1),
        ("grant: Y1.- and Y1.+ = -40 mV", "grant", MINUS, -0.04),
        ("exit sensor: Y1:+ Y1:- = 0 V", "exit-sensor", PLUS, 0.0),
        ("  FIRE:  Y1.+   Y1.- = .5 V ", "fire", PLUS, 0.5),
    ],
)
def test_readings(text: str, state: str, a: End, volts: float) -> None:
    (read,), _ = listener("D104").understand([text])
    other = MINUS if a == PLUS else PLUS
    assert read == Reading(moment("D104", state), a, other, pytest.approx(volts))


@pytest.mark.parametrize(
    ("text", "sign", "is_so"),
    [
        ("lock stays held on grant", Sign("Y1", "free", "grant"), False),
        ("Y1 is free", Sign("Y1", "free", "idle"), True),
        ("lock not free on exit button", Sign("Y1", "free", "exit-button"), False),
        ("U1 is dark", Sign("U1", "dark", "idle"), True),
        ("grant: U1 lit", Sign("U1", "dark", "grant"), False),
        ("A1.exit is not active on exit-sensor", Sign("A1.exit", "active", "exit-sensor"), False),
        ("A1:door reads inactive", Sign("A1.door", "active", "idle"), False),
    ],
)
def test_signs(text: str, sign: Sign, is_so: bool) -> None:
    assert listener("D104").understand([text]) == ((), (Saw(sign, is_so),))


@pytest.mark.parametrize(
    ("door", "text", "message"),
    [
        ("D104", "Y1.+ Y1.x = 3 V", "Y1.x is no terminal of D104 that a wire is landed on: did you mean"),
        ("D104", "grnt: Y1.+ Y1.- = 3 V", "grnt is no state of D104: did you mean grant?"),
        ("D104", "lock held on grnt", "grnt is no state of D104: did you mean grant?"),
        ("D104", "lock is hedl", "hedl is not known: did you mean held?"),
        ("D104", "U1 is blue", "blue is not known: write free, held, dark, lit, active, inactive"),
        ("D104", "U9 is dark", "U9 is not a device that takes power of D104: there is A1, U1, S2, FB1, N1"),
        ("D104", "A1.exti is active", "A1.exti is not an input of D104: did you mean A1.exit?"),
        ("D104", "Y1.+ Y1.- = 3,1 V", "3,1 V is no voltage: write 3.1 V"),
        ("D104", "Y1.+ Y1.- = 3", "3 is no voltage: write 3 V or 3 mV"),
        ("D104", "Y1.+ Y1.- = much", "much is no voltage: write volts, such as 3.1 V"),
        ("D104", "Y1.+ Y1.- = nan V", "nan V is no voltage: write volts, such as 3.1 V"),
        ("D104", "Y1.+ = 3 V", "write a reading as"),
        ("D104", "Y1.+ Y1.+ = 3 V", "both leads are on one terminal"),
        ("D104", "grant: lock held on grant", "it names two states"),
        ("D104", "", "write what is seen as"),
        ("D107", "lock stays held", "which lock? Y1, Y2"),
        ("D127", "lock stays held", "D127 has no lock"),
    ],
)
def test_one_clear_message(door: str, text: str, message: str) -> None:
    with pytest.raises(NotUnderstood) as told:
        listener(door).understand([text])
    (said,) = told.value.messages
    assert said.startswith(f'"{text}": {message}')


def test_all_that_is_wrong_is_told_at_once_and_contradictions_too() -> None:
    with pytest.raises(NotUnderstood) as told:
        listener("D104").understand(["lock held", "Y1 is free", "U7 is dark"])
    assert len(told.value.messages) == 2
    assert "contradicts" in told.value.messages[0]


def test_the_locks_of_a_bank_take_turns() -> None:
    with pytest.raises(NotUnderstood, match="its locks take turns: write grant Y1, or another of 11"):
        listener("D121").understand(["grant: Y3.a Y3.b = 0 V"])
    (read,), _ = listener("D121").understand(["grant Y3: Y3.a Y3.b = 0 V"])
    assert read.moment == moment("D121", "grant Y3")

"""The solver on small networks worked out by hand: operating points, limits, what it names, what it refuses."""

from __future__ import annotations

import re
from collections.abc import Callable
from math import inf, log, nan, sqrt

import numpy as np
import pytest

from tests.study.random_networks import make
from wiregen.study.elements import Contact, Converter, Diode, Load, Resistor, Source, Varistor
from wiregen.study.linear import solved
from wiregen.study.network import Network, NotSolved


def test_a_run_with_a_contact() -> None:
    """24 V, 0.1 + 2 + 2 ohm of wire, 0.01 ohm of contact, 96 ohm of coil: 24 * 96 / 100.11."""
    network = Network([
        Source("G", "p", "m", 24.0, 0.1, limit=1.0), Resistor("w", "p", "a", 2.0), Contact("k", "a", "b"),
        Resistor("coil", "b", "c", 96.0), Resistor("w2", "c", "m", 2.0),
    ])
    at = network.solve([{"k": True}, {}])
    assert at.across("b", "c") == pytest.approx([24 * 96 / 100.11, 0.0], abs=1e-5)
    assert at.current("G")[0] == pytest.approx(24 / 100.11)
    assert at.current("k") == pytest.approx(at.current("coil"))
    assert at.thevenin("b", "c")[0] == pytest.approx(1 / (1 / 96 + 1 / 4.11))
    assert at.rounds.max() <= 3


@pytest.mark.parametrize(("ohms", "volts"), [(12.5, 54.0), (20.0, 54.0), (20.0, 44.0)])
def test_constant_power_takes_its_upper_root(ohms: float, volts: float) -> None:
    """V = (E + sqrt(E² - 4 P R)) / 2, as for a powered device at the end of its cable."""
    watts = 12.95
    at = Network([Source("P", "p", "m", volts, ohms), Load("PD", "p", "m", 37.0 - 1e-3, watts=watts)]).solve([{}])
    assert at.across("p", "m") == pytest.approx([(volts + sqrt(volts**2 - 4 * watts * ohms)) / 2])
    assert at.brown_out() == ((),)


def test_brown_out_is_a_solution_out_of_range_and_named() -> None:
    """25.5 W over 60 ohm has no operating point above 37 V: the load as the resistance it is there, 37² / 25.5 ohm."""
    at = Network([Source("P", "p", "m", 54.0, 60.0), Load("PD", "p", "m", 37.0, watts=25.5)]).solve([{}])
    load = 37**2 / 25.5
    assert at.across("p", "m") == pytest.approx([54 * load / (load + 60)])
    assert at.brown_out() == (("PD",),)


def test_power_is_swept_over_the_fold_without_a_failure() -> None:
    """54 V behind 60 ohm can give 54² / 240 = 12.15 W: above the discriminant says that there is no point in range."""
    found, wanted = {}, {}
    for watts in map(float, np.linspace(3.5, 40, 60)):
        at = Network([Source("P", "p", "m", 54.0, 60.0), Load("L", "p", "m", 20.0, watts=watts)]).solve([{}])
        runs = 4 * watts * 60 <= 54**2
        volts = (54 + sqrt(54**2 - 240 * watts)) / 2 if runs else 54 / (1 + 60 * watts / 20**2)
        found[watts] = bool(at.brown_out()[0]), *map(float, at.across("p", "m"))
        wanted[watts] = not runs, pytest.approx(volts)
    assert found == wanted


@pytest.mark.parametrize(("ohms", "given"), [(30.0, None), (5.0, 5.5), (1.0, 1.1)])
def test_a_converter_gives_up_to_its_limit_and_takes_its_loss(ohms: float, given: float | None) -> None:
    at = Network([
        Source("P", "p", "m", 54.0, 12.5), Converter("A", "p", "m", "o", "z", 12.0, 0.05, 0.86, 37.0, own=3.4, limit=1.1),
        Resistor("lock", "o", "z", ohms),
    ]).solve([{}])
    volts = given or 12 * ohms / (ohms + 0.05)
    assert at.across("o", "z") == pytest.approx([volts])
    assert at.limited() == ((() if given is None else ("A",)),)
    taken = 3.4 + volts**2 / ohms / 0.86
    assert at.drawn("A") * at.across("p", "m") == pytest.approx([taken])
    assert np.isnan(at.across("p", "o")).all()  # isolated: nothing fixes the volts between its sides
    assert at.reading("p", "o") == pytest.approx([0.0])


def test_diode_and_varistor_follow_their_laws() -> None:
    at = Network([Source("P", "p", "m", 24.0, 0.5, limit=2.0), Diode("D", "p", "m")]).solve([{}])
    assert at.across("p", "m") == pytest.approx([1.8 * 0.025852 * log(2 / 7e-9 + 1)])
    assert at.limited() == (("P",),)
    assert at.shorted() == (("P",),)
    at = Network([Source("P", "p", "m", 100.0, 50.0), Varistor("V", "p", "m", 47.0)]).solve([{}])
    v = at.across("p", "m")[0]
    assert (100 - v) / 50 == pytest.approx(1e-3 * (v / 47) ** 25)


def test_a_reading_goes_through_the_meter() -> None:
    """Behind 10 megohm a 10 megohm meter shows half; across an open contact what its leak leaves of it."""
    network = Network([Source("G", "p", "m", 12.0, 0.1), Resistor("r", "p", "q", 10e6), Resistor("s", "q", "t", 10e6),
                       Contact("k", "t", "m")])
    at = network.solve([{"k": False}])
    assert at.reading("q", "m") == pytest.approx([12 * 10e6 / 20e6], rel=0.02)
    assert at.floats("q", "m").all()
    assert at.floating()[0] == ("q", "t")


def test_two_sources_that_fight_are_named() -> None:
    elements = [Source("A", "p", "m", 24.0, 0.5), Source("B", "p", "m", 12.0, 0.5), Source("C", "x", "m", 12.0, 0.5)]
    at = Network(elements).solve([{}])
    assert at.backfed() == (("B",),)
    assert at.fights() == ((("B", "A"),),)


def test_a_shorted_source_is_named() -> None:
    elements = [Source("G", "p", "m", 24.0, 0.01, 2.0), Source("E", "x", "y", 12.0, 0.01), Resistor("w", "p", "m", 0.5),
                Contact("k", "x", "y")]
    at = Network(elements).solve([{"k": True}, {"k": False}])
    assert at.shorted() == (("G", "E"), ("G",))
    assert at.limited() == (("G",), ("G",))


def test_a_load_without_a_path_to_both_poles_is_named() -> None:
    network = Network([
        Source("G", "p", "m", 24.0, 0.1), Load("fed", "a", "m", 18.0, amps=0.1), Contact("k", "p", "a"),
        Load("dangling", "p", "z", 18.0, amps=0.1), Load("alone", "x", "y", 18.0, watts=2.0), Resistor("loop", "x", "y", 10.0),
        Resistor("coil", "p", "q", 50.0), Diode("D", "m", "q"), Resistor("stub", "q", "r", 1.0),
    ])
    assert network.unfed == ("dangling", "alone")
    assert network.fed("coil")
    assert not network.fed("stub")
    assert network.solve([{}]).across("x", "y") == pytest.approx([0.0])


def test_a_load_that_draws_nothing_still_has_volts() -> None:
    at = Network([Source("G", "p", "m", 24.0, 0.1), Load("L", "p", "z", 18.0, amps=0.0)]).solve([{}])
    assert at.across("p", "z") == pytest.approx([0.0], abs=1e-6)


@pytest.mark.parametrize(("build", "says"), [
    (lambda: Resistor("W3", "a", "b", 0.0), "W3: ohms must be above 0, not 0.0"),
    (lambda: Resistor("W3", "a", "b", -2.0), "W3: ohms must be above 0, not -2.0"),
    (lambda: Resistor("W3", "a", "b", nan), "W3: ohms must be above 0, not nan"),
    (lambda: Resistor("W3", "a", "b", inf), "W3: ohms must be above 0, not inf"),
    (lambda: Contact("K1", "a", "b", ohms=0.0), "K1: ohms must be above 0, not 0.0"),
    (lambda: Source("G1", "a", "b", -12.0, 0.1), "G1: volts must be 0 or more, not -12.0"),
    (lambda: Source("G1", "a", "b", 12.0, 0.1, 0.0), "G1: limit must be above 0, not 0.0"),
    (lambda: Source("G1", "a", "a", 12.0, 0.1), "G1: shorted, plus and minus are both a"),
    (lambda: Load("Y1", "a", "b", 0.0, watts=3.0), "Y1: least must be above 0, not 0.0"),
    (lambda: Load("Y1", "a", "b", 9.0, amps=-0.1), "Y1: amps must be 0 or more, not -0.1"),
    (lambda: Load("Y1", "a", "b", 9.0, 0.1, 2.0), "Y1: draws either constant amps or constant watts, not 0.1 A and 2.0 W"),
    (lambda: Load("Y1", "a", "a", 9.0, 0.1), "Y1: shorted, plus and minus are both a"),
    (lambda: Diode("D1", "a", "b", 0.0), "D1: saturation must be above 0, not 0.0"),
    (lambda: Varistor("R1", "a", "b", 0.0), "R1: clamps must be above 0, not 0.0"),
    (lambda: Varistor("R1", "a", "b", 40.0, 0.5), "R1: exponent must be 1 or more, not 0.5"),
    (lambda: Converter("A1", "a", "b", "c", "d", 12.0, 0.1, 1.2, 37.0), "A1: efficiency must be at most 1, not 1.2"),
    (lambda: Converter("A1", "a", "b", "c", "d", 12.0, 0.1, 0.0, 37.0), "A1: efficiency must be above 0, not 0.0"),
    (lambda: Converter("A1", "a", "b", "c", "c", 12.0, 0.1, 0.9, 37.0), "A1: shorted, out_plus and out_minus are both c"),
    (lambda: Network([Resistor("W3", "a", "b", 1.0), Resistor("W3", "b", "c", 1.0)]), "two elements are named W3"),
])
def test_nonsense_is_refused_with_name_and_value(build: Callable[[], object], says: str) -> None:
    with pytest.raises(ValueError, match=f"^{re.escape(says)}$"):
        build()


def test_a_state_names_only_contacts() -> None:
    network = Network([Source("G", "p", "m", 24.0, 0.1), Contact("k", "p", "m")])
    with pytest.raises(KeyError):
        network.solve([{"G": True}])
    with pytest.raises(KeyError):
        network.solve([{"door": True}])


def test_a_search_that_does_not_end_is_told_with_its_states(monkeypatch: pytest.MonkeyPatch) -> None:
    from wiregen.study import search as module

    monkeypatch.setattr(module, "ROUNDS", 4)
    monkeypatch.setattr(module, "PATIENT", 4)
    diode = [Contact("k", "p", "q"), Diode("D", "q", "m"), Resistor("r", "q", "m", 50.0)]
    network = Network([Source("P", "p", "m", 24.0, 0.5, limit=2.0), *diode])
    with pytest.raises(NotSolved) as told:
        network.solve([{"k": False}, {"k": True}])
    assert told.value.states == (1,)
    assert str(told.value) == "the search for an operating point did not end for states 1"


def test_a_source_at_its_limit_into_a_load_that_draws_just_that() -> None:
    """No volts are fixed between 18 and 23.5 V: any of them is an operating point, and none of them is nonsense."""
    at = Network([Source("G", "p", "m", 24.0, 0.5, limit=1.0), Load("L", "p", "m", 18.0, amps=1.0)]).solve([{}])
    assert 17.99 <= at.across("p", "m")[0] <= 23.51
    assert at.current("L") == pytest.approx([1.0])


def test_a_singular_step_is_long_and_not_a_failure() -> None:
    far = solved(np.array([[[1.0, 1.0], [1.0, 1.0]], [[2.0, 0.0], [0.0, 2.0]]]), np.array([[1.0, 0.0], [2.0, 4.0]]))
    assert np.isfinite(far).all()
    assert np.abs(far[0]).max() > 1e9
    assert far[1] == pytest.approx([1.0, 2.0])


def test_many_states_at_once_are_the_same_as_one_at_a_time() -> None:
    for seed in range(40):
        elements, states = make(seed)
        network = Network(elements)
        together = network.solve(states)
        for n, state in enumerate(states):
            np.testing.assert_allclose(network.solve([state]).ports[0], together.ports[n], rtol=1e-7, atol=1e-4)


@pytest.mark.sweep
def test_every_random_network_has_an_operating_point() -> None:
    for seed in range(10_000, 14_000):
        elements, states = make(seed)
        at = Network(elements).solve(states)
        assert np.isfinite(at.potentials).all()

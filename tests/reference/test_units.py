"""Every formula of the study works out in the unit that it says: pint, an outside library, carries the units through."""

from __future__ import annotations

import importlib
import math
import pkgutil
from functools import cache
from typing import Any

import pint
import pytest

import wiregen.study
from wiregen.study.formula import Formula
from wiregen.study.model import Study


@cache
def units() -> pint.UnitRegistry:
    registry = pint.UnitRegistry()
    registry.define("percent = 0.01 = %")
    return registry



# What the study writes: a difference of °C is a kelvin, and V AC is V
SPELT = {"°C": "kelvin", "A h": "ampere hour", "V AC": "volt", "in": "inch", "in2": "inch**2", "m2": "m**2", "g/m3": "g/m**3"}
# Formulas that count with bare numbers of their source, in the units that they name: the watts of a class of IEEE 802.3 and
# the sizes of batteries, 6 ms a watt of IEC 60947-5-1, 50 ft at 19200 bit/s of RS-232
BARE = (" if ", "6e-3 * watts", "15.24 * 19200")


def _unit(text: str) -> Any:
    for spelt, known in (*SPELT.items(), ("g/m2", "g/m**2")):
        text = known if text == spelt else text.replace("g/m2", "g/m**2")
    return units().Quantity(1, text or "dimensionless").units


def _number(value: Any) -> float:
    return float(units().Quantity(value).to("dimensionless").magnitude)


CALLS = {
    "sqrt": lambda q: q**0.5, "log": lambda q: math.log(_number(q)), "exp": lambda q: math.exp(_number(q)),
    "ceil": lambda q: math.ceil(_number(q)), "floor": lambda q: math.floor(_number(q)), "min": min, "max": max,
    "pi": math.pi, "inf": math.inf,
}  # fmt: skip


def _formulas() -> list[tuple[str, Formula]]:
    found = []
    for module in pkgutil.iter_modules(wiregen.study.__path__, "wiregen.study."):
        for name, value in vars(importlib.import_module(module.name)).items():
            if isinstance(value, Formula):
                found.append((f"{module.name}.{name}", value))
    return found


FORMULAS = _formulas()
CHECKED = [(name, formula) for name, formula in FORMULAS if not any(mark in formula.text for mark in BARE)]


def _check(text: str, unit: str, inputs: dict[str, tuple[float, str]]) -> None:
    values = {name: units().Quantity(value, _unit(of)) for name, (value, of) in inputs.items()}
    result = units().Quantity(eval(text, {"__builtins__": {}}, {**CALLS, **values}))
    if not inputs:
        assert result.magnitude == 0  # the sum of nothing
        return
    assert result.check(_unit(unit)), f"{text}: {result.units}, not {unit}"
    # and no hidden factor: in SI it is the number that the study works out
    ours = Formula(text, unit, {name: of for name, (_, of) in inputs.items()}, "")(**{n: v for n, (v, _) in inputs.items()})
    assert result.to(_unit(unit)).magnitude == pytest.approx(ours, rel=1e-9, nan_ok=True), text


def test_there_are_formulas() -> None:
    assert len(CHECKED) > 20
    assert all(len(formula.inputs) == 1 for entry in FORMULAS if entry not in CHECKED for formula in entry[1:])


def test_formulas_of_modules() -> None:
    """At numbers that are apart, none of them 0 or 1, so that no term cancels; first the input that comes first is small, then
    large, as a source of many volts is."""
    assert [name for name, formula in CHECKED if not _worked(formula)] == []


def _worked(formula: Formula) -> int:
    """At how many of the two it has a root."""
    worked = 0
    for first in (1.3, 130.0):
        values = {name: first if i == 0 else 1.3 + 0.37 * i for i, name in enumerate(formula.inputs)}
        try:
            formula(**values)
        except ValueError:
            continue  # no root at these numbers
        _check(formula.text, formula.unit, {name: (values[name], unit) for name, unit in formula.inputs.items()})
        worked += 1
    return worked


def test_formulas_of_all_figures(demo: dict[str, Study]) -> None:
    """Sums over loads are written for each door anew: all of those of the demo, on their own inputs."""
    told = {(f.formula, f.unit, tuple(f.units.items())): f for study in demo.values() for f in study.figures}
    checked = 0
    for f in told.values():
        if f.units.keys() == f.inputs.keys() and not any(mark in f.formula for mark in BARE):
            _check(f.formula, f.unit, {n: (f.inputs[n], f.units[n]) for n in f.inputs})
            checked += 1
    assert checked > 20

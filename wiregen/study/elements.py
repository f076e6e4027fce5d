"""The elements of a direct-current network, each between named nodes.

Each refuses, by ValueError, a value that no such thing has: the message names the element, the field and the value.
"""

from __future__ import annotations

import math
from collections.abc import Hashable
from dataclasses import dataclass

Node = Hashable


@dataclass(frozen=True)
class Resistor:
    name: str
    a: Node
    b: Node
    ohms: float

    def __post_init__(self) -> None:
        _refuse(self, above_0=("ohms",))


@dataclass(frozen=True)
class Contact:
    """`closed` is what it is where a state does not say; `ohms` are those of the closed contact."""

    name: str
    a: Node
    b: Node
    closed: bool = False
    ohms: float = 0.01

    def __post_init__(self) -> None:
        _refuse(self, above_0=("ohms",))


@dataclass(frozen=True)
class Source:
    """`volts` behind `ohms`, at most `limit` amperes outwards (then a source of constant current)."""

    name: str
    plus: Node
    minus: Node
    volts: float
    ohms: float
    limit: float | None = None

    def __post_init__(self) -> None:
        _refuse(self, above_0=("ohms", "limit"), from_0=("volts",), apart=(("plus", "minus"),))


@dataclass(frozen=True)
class Load:
    """Draws constant `amps` or constant `watts` from `least` volts up; below it is the resistance that it is there."""

    name: str
    plus: Node
    minus: Node
    least: float
    amps: float = 0.0
    watts: float = 0.0

    def __post_init__(self) -> None:
        _refuse(self, above_0=("least",), from_0=("amps", "watts"), apart=(("plus", "minus"),))
        if self.amps and self.watts:
            raise ValueError(f"{self.name}: draws either constant amps or constant watts, not {self.amps} A and {self.watts} W")


@dataclass(frozen=True)
class Diode:
    """Shockley's equation; the default is a 1 A rectifier, about 0.8 V at 1 A."""

    name: str
    anode: Node
    cathode: Node
    saturation: float = 7e-9  # A
    emission: float = 1.8

    def __post_init__(self) -> None:
        _refuse(self, above_0=("saturation", "emission"))


@dataclass(frozen=True)
class Varistor:
    """I = 1 mA (V / clamps) ** exponent, both ways; `clamps` is its voltage at 1 mA."""

    name: str
    a: Node
    b: Node
    clamps: float
    exponent: float = 25.0

    def __post_init__(self) -> None:
        _refuse(self, above_0=("clamps",), at_least_1=("exponent",))


@dataclass(frozen=True)
class Converter:
    """Gives `volts` behind `ohms` at its output, isolated from its input unless the network joins them.

    It takes `own` watts and what it gives over `efficiency`, at constant power from `least` volts up.
    """

    name: str
    in_plus: Node
    in_minus: Node
    out_plus: Node
    out_minus: Node
    volts: float
    ohms: float
    efficiency: float
    least: float
    own: float = 0.0
    limit: float | None = None

    def __post_init__(self) -> None:
        poles = (("in_plus", "in_minus"), ("out_plus", "out_minus"))
        _refuse(self, above_0=("ohms", "efficiency", "least", "limit"), from_0=("volts", "own"), apart=poles)
        if self.efficiency > 1:
            raise ValueError(f"{self.name}: efficiency must be at most 1, not {self.efficiency}")


Element = Resistor | Contact | Source | Load | Diode | Varistor | Converter


def pairs(element: Element) -> tuple[tuple[Node, Node], ...]:
    match element:
        case Resistor() | Contact() | Varistor():
            return ((element.a, element.b),)
        case Diode():
            return ((element.anode, element.cathode),)
        case Source() | Load():
            return ((element.plus, element.minus),)
        case Converter():
            return ((element.in_plus, element.in_minus), (element.out_plus, element.out_minus))


def _refuse(
    element: Element,
    above_0: tuple[str, ...] = (),
    from_0: tuple[str, ...] = (),
    at_least_1: tuple[str, ...] = (),
    apart: tuple[tuple[str, str], ...] = (),
) -> None:
    for fields, least, bound in ((above_0, 0.0, "above 0"), (from_0, 0.0, "0 or more"), (at_least_1, 1.0, "1 or more")):
        for what in fields:
            value = getattr(element, what)
            if value is not None and not (least <= value < math.inf and (value or fields is not above_0)):
                raise ValueError(f"{element.name}: {what} must be {bound}, not {value}")
    for first, second in apart:
        node = getattr(element, first)
        if node == getattr(element, second):
            raise ValueError(f"{element.name}: shorted, {first} and {second} are both {node}")

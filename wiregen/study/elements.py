"""The elements of a direct-current network, each between named nodes."""

from __future__ import annotations

from collections.abc import Hashable
from dataclasses import dataclass

Node = Hashable


@dataclass(frozen=True)
class Resistor:
    name: str
    a: Node
    b: Node
    ohms: float


@dataclass(frozen=True)
class Contact:
    """`closed` is what it is where a state does not say; `ohms` are those of the closed contact."""

    name: str
    a: Node
    b: Node
    closed: bool = False
    ohms: float = 0.01


@dataclass(frozen=True)
class Source:
    """`volts` behind `ohms`, at most `limit` amperes outwards (then a source of constant current)."""

    name: str
    plus: Node
    minus: Node
    volts: float
    ohms: float
    limit: float | None = None


@dataclass(frozen=True)
class Load:
    """Draws constant `amps` or constant `watts` from `least` volts up; below it is the resistance that it is there."""

    name: str
    plus: Node
    minus: Node
    least: float
    amps: float = 0.0
    watts: float = 0.0


@dataclass(frozen=True)
class Diode:
    """Shockley's equation; the default is a 1 A rectifier, about 0.8 V at 1 A."""

    name: str
    anode: Node
    cathode: Node
    saturation: float = 7e-9  # A
    emission: float = 1.8


@dataclass(frozen=True)
class Varistor:
    """I = 1 mA (V / clamps) ** exponent, both ways; `clamps` is its voltage at 1 mA."""

    name: str
    a: Node
    b: Node
    clamps: float
    exponent: float = 25.0


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

"""What the study gives: figures with their formula and source, and what a meter should show."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Literal

from wiregen.wiring.model import End

Step = Literal["continuity", "insulation", "calmer", "line", "loop", "supply", "contact", "input", "port", "amps", "lock"]


@dataclass(frozen=True, kw_only=True)
class Figure:
    """A computed value with all that is needed to work it out again.

    `formula` is an expression over the names in `inputs` (values in SI units).
    """

    name: str
    value: float
    unit: str
    least: float
    most: float
    formula: str
    inputs: Mapping[str, float]
    source: str
    about: str = ""  # the device, cable or source that it is about


@dataclass(frozen=True, kw_only=True)
class Reading:
    """What a meter should show between two terminals in a state.  `how` says what to do first ("unpowered, door shut").

    `step` is the step of commissioning in which it is taken, `about` the device or cable that it proves.  `most` is
    infinite where there is no upper limit (an open contact).
    """

    between: tuple[End, End]
    state: str
    nominal: float
    least: float
    most: float
    unit: str
    what: str
    how: str = ""
    basis: str = "from ratings"
    step: Step = "continuity"
    about: str = ""


@dataclass(frozen=True, kw_only=True)
class Study:
    door: str
    figures: tuple[Figure, ...] = ()
    readings: tuple[Reading, ...] = ()
    missing: tuple[str, ...] = field(default=())  # what was not computed, in words: "battery"

"""What the study gives: figures with their formula and source, and what a meter should show."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import TYPE_CHECKING, Literal

from wiregen.reading.model import Band
from wiregen.wiring.model import End

if TYPE_CHECKING:
    from wiregen.attacks.model import Cured, Tried
    from wiregen.faults.upkeep import Upkeep
    from wiregen.states.model import DoorStates
    from wiregen.study.contact import Behind
    from wiregen.study.hanging import Part
    from wiregen.study.poe import PortUse

Step = Literal["continuity", "insulation", "calmer", "line", "loop", "supply", "contact", "input", "port", "amps", "lock"]


Topic = Literal[
    "rating", "conductor", "volts", "port", "budget", "converter", "calming", "contact", "battery", "input", "line", "class",
    "conduit", "fuse", "screw",
]  # fmt: skip


@dataclass(frozen=True, kw_only=True)
class Figure:
    """A computed value with all that is needed to work it out again.

    `formula` is an expression over the names in `inputs`, whose units `units` gives.  A figure of the network cannot be
    written as one formula: then `hand` is what the formula gives, a series sum that a person can check it by, and `value`
    is what the network gives.  `note` says which default or assumption stands in it.

    `floor` and `ceiling` are what the value must keep to at its worst, `bound` says where they come from, and `cure` what
    would help where it does not; `grave` is False where a broken bound is no more than a warning.  `topic` groups figures on
    paper and picks the finding that a broken bound becomes.
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
    units: Mapping[str, str] = field(default_factory=dict)
    hand: float | None = None
    note: str = ""
    topic: Topic = "rating"
    floor: float | None = None
    ceiling: float | None = None
    bound: str = ""
    cure: str = ""
    grave: bool = True
    doors: tuple[str, ...] = ()  # a figure of the site: the doors that it counts

    @property
    def margin(self) -> float | None:
        """How far the worst of the band is from its bound, as a part of the bound; below 0 it fails; None without bound."""
        parts = []
        if self.floor is not None:
            parts.append((self.least - self.floor) / (abs(self.floor) or 1.0))
        if self.ceiling is not None:
            parts.append((self.ceiling - self.most) / (abs(self.ceiling) or 1.0))
        return min(parts, default=None)


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
    basis: str = "computed"  # "solved" by the network, "data sheet", "common practice"
    step: Step = "continuity"
    about: str = ""


@dataclass(frozen=True)
class Curve:
    """Current of a coil after its contact opens: `amps` at `seconds`, equally many of both, the first at 0 s."""

    label: str  # "with V1 (diode)", "without calmer"
    seconds: tuple[float, ...]
    amps: tuple[float, ...]


@dataclass(frozen=True)
class Release:
    """How the current of a lock decays with its calmer and without; only where its data sheet gives an inductance."""

    device: str
    curves: tuple[Curve, ...]
    lets_go: float | None  # A at which it lets go at the latest


@dataclass(frozen=True)
class Draw:
    """What a door takes from an output of the site, in A; `device` under the door's name for it."""

    device: str
    output: str
    idle: Band
    fire: Band
    worst: Band
    peak: float


@dataclass(frozen=True, kw_only=True)
class Study:
    """What is known of a door.  `draws`, `uses` and `behind` are what the study of the site adds up over all doors."""

    door: str
    figures: tuple[Figure, ...] = ()
    readings: tuple[Reading, ...] = ()
    releases: tuple[Release, ...] = ()
    draws: tuple[Draw, ...] = ()
    uses: tuple[PortUse, ...] = ()
    parts: Mapping[str, tuple[Part, ...]] = field(default_factory=dict)  # of the site: what hangs on each output, "FB1.f-2"
    behind: Mapping[tuple[str, str], tuple[Behind, ...]] = field(default_factory=dict)  # by device and group of the site
    ways: tuple[tuple[str, ...], ...] = ()  # the feeds that the spec names, compared: rows as printed; set for pages alone
    states: DoorStates | None = None  # what the door does in each state; None for what doors share
    tried: Tried | None = None  # attacks on the door: for the exposure file alone, never on paper, in the record or in a log
    cured: Cured | None = None  # what to change where one succeeds
    upkeep: Upkeep | None = None  # what its faults come to; set for pages alone, None for what doors share
    cut_off: tuple[str, ...] = ()  # loads that nothing joins to both poles of their source: "Y1.coil"
    missing: tuple[str, ...] = field(default=())  # what was not computed, in words: "battery"
    whole: bool = True  # False: no more than what the study of the site and its sheets ask of a door's

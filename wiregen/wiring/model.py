"""What wiring gives: the one list of conductors, and what hangs on it.  Everything later reads this and derives nothing anew.

A `Conductor` is one piece of copper with two ends: a core of a cable, a single wire inside a box, a jumper, or a device's
own lead that is landed direct.  Its ends are terminals (`A1:NO`) or junctions (`X1:s3`, a splice or strip in box X1).
Terminals joined by conductors, junctions and the devices' own ties are one *potential*; it carries one wire number and
its conductors add a, b, c.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Literal, NamedTuple

from wiregen.reading.model import CableSheet, DataSheet, Device, LineEndValues, Run, Where


class End(NamedTuple):
    """One end of a conductor: a terminal of a device, or a junction of a box.  The key of most tables, so a named tuple."""

    device: str
    terminal: str

    def __str__(self) -> str:
        return f"{self.device}:{self.terminal}"


@dataclass(frozen=True, kw_only=True)
class WiredDevice:
    """A device as it stands on this door's sheet: own, shared, another door's, or added from stock (calmer, line end)."""

    ref: str
    sheet: DataSheet
    place: str
    exposed: bool
    origin: Literal["door", "site", "other door", "stock"]
    device: Device | None = None  # None where it was added from stock
    used: frozenset[str] = frozenset()  # marks that carry a conductor or link of this door
    settings: Mapping[str, str] = field(default_factory=dict)  # written in `set`, and those that wiring had to choose


@dataclass(frozen=True)
class Built:
    """What is otherwise on the wall than in the design, by part: from, to, colour, core; and the length in m, whether assumed.

    `was` is the design's word where the conductor now says what is built.  `off` is where an end is landed that joins what the
    design keeps apart: there the conductor stays as designed, and the review stops the door.
    """

    where: Where
    was: tuple[tuple[str, str], ...] = ()
    off: tuple[tuple[str, End], ...] = ()
    was_length: tuple[float, bool] | None = None
    note: str = ""
    by: str = ""
    date: str = ""  # ISO 8601


ConductorKind = Literal["core", "wire", "jumper", "lead"]


@dataclass(frozen=True, kw_only=True)
class Conductor:
    """`kind`: core of a cable; single wire in a box; jumper between terminals of one device; lead: a device's own lead or
    a calmer's bare lead, landed or spliced direct."""

    wire: str  # "A106a": unique within the door
    potential: str  # "A106"
    a: End
    b: End
    colour: str  # IEC 60757 letters, "WH-RD" for a tracer, "bare"
    kind: ConductorKind
    function: str  # what it carries, in words: "lock +", "door contact", "0 V"
    circuit: str  # "lock power", "power", "data", "input", "drive", "fire", "earth": how a big sheet is cut
    place: str | None  # the place where it lies, None for a core
    cable: str | None = None
    core: str | None = None  # the core's name in the cable sheet
    area: float = 0.0  # m2
    size: str = ""  # as the stock's sheet says it: "0.22 mm2", "22 AWG"
    length: float = 0.0  # m
    assumed: bool = False
    why: str = ""  # rule or the author's reason: "T1", "L4", "added: no second bolt is fitted"
    where: Where | None = None
    built: Built | None = None  # where an as-built correction speaks of it


@dataclass(frozen=True, kw_only=True)
class Cable:
    """A jacket as it is pulled.  `along` are its places from one end to the other; `cores` in the sheet's order."""

    ref: str
    sheet: CableSheet
    along: tuple[str, ...]
    length: float
    assumed: bool
    serves: tuple[str, ...]  # designations at its outer end
    cores: tuple[tuple[str, str | None], ...]  # (core, wire number or None for a spare)
    existing: bool = False
    by: str | None = None
    screen_at: End | None = None  # the one end where the drain is landed
    screen_why: str = ""  # "landed at A1:SH, cut back and taped at U1", "insulated at both ends"
    door: str = ""

    @property
    def spares(self) -> tuple[str, ...]:
        return tuple(core for core, wire in self.cores if wire is None)


@dataclass(frozen=True)
class Junction:
    """A joint in a box: a splice of two, or a strip of three and more."""

    end: End  # X1:s3
    place: str
    kind: str  # crimp, lever ... of the stock
    potential: str


@dataclass(frozen=True)
class Box:
    """The box at a place that holds junctions; a device of the spec where one was written, else only a name (X1)."""

    ref: str
    place: str
    exposed: bool


@dataclass(frozen=True)
class LeadJoint:
    """A flying lead joined to what is landed on it, in the device's own back box."""

    end: End
    lead_colour: str
    wire: str
    kind: str


@dataclass(frozen=True)
class Link:
    """A pre-terminated cable from jack to jack."""

    ref: str  # cable designation
    a: End
    b: End
    sheet: CableSheet
    along: tuple[str, ...]
    length: float
    assumed: bool
    poe: bool
    where: Where | None = None


@dataclass(frozen=True)
class Calmer:
    """What tames a coil.  `ref` of the added device, or None where it is fitted inside."""

    lock: str
    coil: str  # group
    word: str  # diode, varistor, limiter, inside ...
    ref: str | None
    sheet: DataSheet | None
    band_at: End | None  # where a diode's band (cathode) goes
    why: str


@dataclass(frozen=True)
class LineEnd:
    """End-of-line resistors of a supervised input: cast in the sensor (`ref` None) or added at it."""

    sensor: str
    group: str
    input: str  # "A1.door"
    ref: str | None
    values: LineEndValues


@dataclass(frozen=True)
class Unused:
    device: str
    terminal: str
    colour: str | None  # of a lead; None for a screw
    place: str

    @property
    def is_lead(self) -> bool:
        return self.colour is not None


@dataclass(frozen=True)
class ChainLink:
    """One contact in a lock circuit, in order from the source; `pole` plus or minus; `beside` counts alternatives."""

    device: str
    group: str
    enters: End
    leaves: End
    side: Literal["make", "break"] | None
    pole: Literal["plus", "minus"]
    beside: int = 0


@dataclass(frozen=True)
class Chain:
    """A lock circuit or other `from` with contacts in it: source output, contacts in order, load."""

    load: str
    load_group: str
    source: str
    source_group: str
    links: tuple[ChainLink, ...]


@dataclass(frozen=True)
class Behaviour:
    """What the logic of the contacts gives for a lock in each state; `powered` by state, then held or free."""

    lock: str
    group: str
    powered: Mapping[str, bool]
    gives: Mapping[str, str]
    wanted: Mapping[str, str]


@dataclass(frozen=True)
class Remark:
    """Something that wiring had to decide and that a person should see; becomes a `note` finding."""

    text: str
    where: Where | None = None
    code: str = ""


@dataclass(frozen=True)
class Revised:
    """What of a door's wiring is not as it was issued: `rev` is the door's revision now, `since` the issue held against."""

    rev: str
    since: str
    wires: tuple[str, ...]  # conductors and links that are new or other than they were
    gone: tuple[str, ...]  # in words those that are there no more: "A113a (WH, A1:DOOR to B1:1)"


@dataclass(frozen=True, kw_only=True)
class Wiring:
    """The wiring of one door."""

    door: str
    hub: str  # the place where most runs branch
    devices: Mapping[str, WiredDevice]
    boxes: Mapping[str, Box]
    conductors: tuple[Conductor, ...]
    cables: Mapping[str, Cable]
    junctions: tuple[Junction, ...]
    lead_joints: tuple[LeadJoint, ...]
    links: tuple[Link, ...]
    calmers: tuple[Calmer, ...]
    line_ends: tuple[LineEnd, ...]
    unused: tuple[Unused, ...]
    chains: tuple[Chain, ...]
    behaviours: tuple[Behaviour, ...]
    places: tuple[str, ...]  # that are used, from the closet outwards in the order in which cable passes through them
    runs: Mapping[str, Run]
    remarks: tuple[Remark, ...] = ()
    mains: tuple[End, ...] = ()  # terminals that a licensed electrician lands
    ties: tuple[tuple[End, ...], ...] = ()  # terminals joined inside their device
    revised: Revised | None = None  # None where nothing was issued, or nothing is other than it was

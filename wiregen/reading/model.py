"""What reading gives: a site, its doors and their data sheets, as frozen values in SI units.

Every value remembers where it stands in its file, so that a later stage can point at it.  Nothing here knows wiring rules.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from functools import cached_property
from typing import Literal


@dataclass(frozen=True, order=True)
class Where:
    """A place in a spec file: path as given on the command line, line and column counted from 1.

    What was given on the command line itself has the option as its file, and line 0.
    """

    file: str
    line: int
    column: int

    def __str__(self) -> str:
        return f"{self.file}:{self.line}:{self.column}" if self.line else self.file


@dataclass(frozen=True)
class Problem:
    """Something that makes the input unusable.  All of them are collected and printed together; exit status 2.

    `path` is the key's path in words ("devices, Y1, from"), `wrong` what is wrong, `instead` what to write.
    """

    where: Where
    path: str
    wrong: str
    instead: str = ""

    def __str__(self) -> str:
        head = f"{self.where}: {self.path}: " if self.path else f"{self.where}: "
        return head + self.wrong + (f"\n    {self.instead}" if self.instead else "")


class SpecError(Exception):
    """The input is unusable; carries every problem found, in order of place."""

    def __init__(self, problems: tuple[Problem, ...]) -> None:
        super().__init__("\n".join(map(str, problems)))
        self.problems = problems


Unit = Literal["V", "A", "ohm", "W", "s", "m", "m2", "K", "F", "H", "A h", "N m", "N", "kg", "m/s", "1"]


@dataclass(frozen=True)
class Band:
    """A quantity: nominal, least and most in the SI unit named (temperature: °C under "K"), and the text as written.

    "12 V ±5 %" is (12, 11.4, 12.6); "10.8..13.2 V" is (12, 10.8, 13.2); "62 m" is (62, 62, 62).
    `assumed` is True for "about 40 m".
    """

    nominal: float
    least: float
    most: float
    unit: Unit
    text: str
    assumed: bool = False


# ---- data sheets -----------------------------------------------------------------------------------------------------


@dataclass(frozen=True)
class Condition:
    """One condition word or several that do alike ("open or inner"); `negated` for "not pressed".

    The words are powered mains grant call pressed motion vehicle shut latched bonded thrown open fire tampered alarm
    passed chosen, or the name of a group of the same device.
    """

    any_of: tuple[str, ...]
    negated: bool = False


@dataclass(frozen=True)
class Rating:
    """Contact rating by utilisation category (IEC 60947-5-1): `category` is dc-12, dc-13, ac-15, dc ..."""

    category: str
    amps: float
    volts: float | None
    text: str


@dataclass(frozen=True)
class Surge:
    """A current for a time: "16 A 150 ms"."""

    amps: float
    seconds: float | None
    text: str


@dataclass(frozen=True, kw_only=True)
class Group:
    """Terminals that are used together.  `name` is its key in the sheet.  Subclasses are the closed list of kinds."""

    name: str
    where: Where

    @property
    def kind(self) -> str:
        return type(self).__name__.lower()

    @property
    def marks(self) -> tuple[str, ...]:
        """Every terminal mark of the group, in the order of its roles."""
        raise NotImplementedError


Current = Literal["dc", "ac", "mains"]


@dataclass(frozen=True, kw_only=True)
class Takes(Group):
    """A load: is powered through these terminals.  dc: plus, minus; ac: poles; mains: live, neutral, earth."""

    plus: str | None = None
    minus: str | None = None
    live: str | None = None
    neutral: str | None = None
    earth: str | None = None
    poles: tuple[str, str] | None = None
    current: Current = "dc"
    either_way: bool = False
    range: Band | None = None
    load: Band | None = None  # A or W
    peak: Band | None = None
    inrush: Surge | None = None
    capacitance: Band | None = None
    esr: Band | None = None
    brown_out: Band | None = None
    fed_by: str | None = None
    each_relay: Band | None = None
    charge: Band | None = None
    does: str | None = None

    @property
    def first(self) -> str | None:
        """The terminal on the plus side: plus, or the first of the poles."""
        return self.plus if self.plus is not None else self.poles[0] if self.poles else None

    @property
    def second(self) -> str | None:
        return self.minus if self.minus is not None else self.poles[1] if self.poles else None

    @property
    def marks(self) -> tuple[str, ...]:
        return tuple(m for m in (self.plus, self.minus, *(self.poles or ()), self.live, self.neutral, self.earth) if m)


@dataclass(frozen=True, kw_only=True)
class Gives(Group):
    """A source.  `volts` may be "as in" / "as power": then `volts_as` names the group whose volts it passes on."""

    plus: str | None = None
    minus: str | None = None
    poles: tuple[str, str] | None = None
    current: Current = "dc"
    volts: Band | None = None
    volts_as: str | None = None
    on_battery: Band | None = None
    capacity: Band | None = None
    limit: Band | None = None
    limit_kind: str | None = None  # "fuse" where the limit is a fuse
    peak: Surge | None = None
    overload: str | None = None
    out_of: tuple[str, ...] = ()
    efficiency: Band | None = None
    circuit: str | None = None  # "class 2", "not class 2"
    gives_when: tuple[Condition, ...] = ()
    resistance: Band | None = None

    @property
    def first(self) -> str | None:
        return self.plus if self.plus is not None else self.poles[0] if self.poles else None

    @property
    def second(self) -> str | None:
        return self.minus if self.minus is not None else self.poles[1] if self.poles else None

    @property
    def marks(self) -> tuple[str, ...]:
        return tuple(m for m in (self.plus, self.minus, *(self.poles or ())) if m)


@dataclass(frozen=True)
class LineEndValues:
    """End-of-line resistors: in series with the contact and across it."""

    series: Band
    across: Band


@dataclass(frozen=True, kw_only=True)
class Contact(Group):
    """A make or break contact between two terminals."""

    between: tuple[str, str]
    closed_when: tuple[Condition, ...] = ()
    stays: str | None = None
    line_end: LineEndValues | None = None
    rating: tuple[Rating, ...] = ()

    @property
    def marks(self) -> tuple[str, ...]:
        return self.between


@dataclass(frozen=True, kw_only=True)
class Changeover(Group):
    """A change-over contact; at rest common is joined to break.  `sense` names the setting that may turn it round."""

    common: str
    make: str
    break_: str
    moves_when: tuple[Condition, ...] = ()
    stays: str | None = None
    sense: str | None = None
    rating: tuple[Rating, ...] = ()

    @property
    def marks(self) -> tuple[str, ...]:
        return (self.common, self.make, self.break_)


@dataclass(frozen=True, kw_only=True)
class Pass(Group):
    """Leads straight through: a core of a power transfer, a surge protector's pole, or (`jacks`) a patch port."""

    between: tuple[str, str] | None = None
    jacks: tuple[str, str] | None = None
    size: Band | None = None  # m2
    rating: tuple[Rating, ...] = ()

    @property
    def marks(self) -> tuple[str, ...]:
        return self.between or ()


@dataclass(frozen=True, kw_only=True)
class Input(Group):
    """Senses a contact or a driven line.  `active` is "closed", "open" or "above 2.2 V"."""

    in_: str
    ref: str
    pull_up: Band | None = None
    pull_up_to: Band | None = None
    pull_down: Band | None = None
    active: str | None = None
    at_least: Band | None = None
    does: str | None = None
    wets: str | None = None
    wets_volts: Band | None = None
    wets_amps: Band | None = None
    draws: Band | None = None
    stays: str | None = None
    plain: Mapping[str, Band] = field(default_factory=dict)  # closed, open
    supervised: Mapping[str, Band] = field(default_factory=dict)  # short, closed, open, cut

    @property
    def marks(self) -> tuple[str, ...]:
        return (self.in_, self.ref)


@dataclass(frozen=True, kw_only=True)
class Drive(Group):
    """A driven line: sinks current to ref, or gives a level."""

    out: str
    ref: str
    sinks: Band | None = None
    level: Band | None = None
    level_amps: Band | None = None
    boot: str | None = None

    @property
    def marks(self) -> tuple[str, ...]:
        return (self.out, self.ref)


@dataclass(frozen=True, kw_only=True)
class Line(Group):
    """A data line.  `roles` maps a, b | d0, d1 | tx, rx to marks, in that order."""

    protocol: str
    roles: Mapping[str, str]
    ref: str | None = None
    screen: str | None = None
    line_end: str | None = None
    drops: int | None = None
    reach: Band | None = None  # m
    speed: int | None = None  # bits in a second

    @property
    def marks(self) -> tuple[str, ...]:
        return tuple(self.roles.values()) + ((self.ref,) if self.ref else ())


@dataclass(frozen=True, kw_only=True)
class Jack(Group):
    """A socket for a pre-terminated cable, landed as one plug."""

    mark: str
    poe: Literal["in", "out", "none"] = "none"
    poe_class: int | None = None
    own: Band | None = None  # W
    budget: Band | None = None  # W, over all ports of the device
    allots: Literal["class", "use"] | None = None  # what a port counts with against the budget

    @property
    def marks(self) -> tuple[str, ...]:
        return (self.mark,)


@dataclass(frozen=True, kw_only=True)
class Earth(Group):
    """A terminal for earth."""

    mark: str

    @property
    def marks(self) -> tuple[str, ...]:
        return (self.mark,)


@dataclass(frozen=True, kw_only=True)
class Part:
    """What stands inside electrically, between two terminals: coil, motor, diode (anode first), varistor, rc, limiter ..."""

    kind: str
    between: tuple[str, str]
    resistance: Band | None = None
    impedance: Band | None = None
    inductance: Band | None = None
    pulls_in: Band | None = None
    holds: Band | None = None
    lets_go: Band | None = None
    duty: str | None = None
    clamps: Band | None = None
    cold: Band | None = None
    warm: Band | None = None
    capacitance: Band | None = None
    rating: str | None = None
    amps: float | None = None  # of the rating of a diode, zener, limiter or fuse
    reverse: float | None = None  # V, of the rating of a diode or zener


@dataclass(frozen=True)
class Terminal:
    """`mark` as printed on the real thing; `colour` only on a flying lead; `ordinal` counts from 1 in the sheet's order."""

    mark: str
    ordinal: int
    colour: str | None = None

    @property
    def is_lead(self) -> bool:
        return self.colour is not None


@dataclass(frozen=True)
class Screw:
    """What a screw takes: each way as (number of wires, largest section in m2), and how it is done up."""

    wires: tuple[tuple[int, float], ...]
    text: str
    strip: Band | None = None
    torque: Band | None = None


@dataclass(frozen=True)
class Calm:
    """What tames this coil: what is fitted inside, what it wants added (best first), what it must never have."""

    fitted: tuple[str, ...] = ()
    wants: tuple[str, ...] = ()
    never: tuple[str, ...] = ()


@dataclass(frozen=True, kw_only=True)
class DataSheet:
    """A kind of device that is landed.  `is_` is the sheet's `is:` word (lock, controller, reader, contact, supply ...)."""

    type: str
    is_: str
    name: str
    terminals: tuple[Terminal, ...]
    groups: Mapping[str, Group]
    where: Where
    leads: str | None = None
    screw: Screw | None = None
    tied: tuple[tuple[str, ...], ...] = ()
    inside: tuple[Part, ...] = ()
    unpowered: Literal["held", "free", "stays"] | None = None
    frees: str | None = None  # what a lock lets go: keeper (the latch is let out of it), handle, bolt, armature
    calm: Calm | None = None
    at_once: Mapping[str, int] = field(default_factory=dict)
    settings: Mapping[str, tuple[str, ...]] = field(default_factory=dict)  # choices, or one text that is a band
    jumper: str | None = None
    pulled_off: tuple[str, ...] = ()  # marks a stranger holds once it is pulled off its wall
    mounting: Mapping[str, str] = field(default_factory=dict)
    lights: Mapping[str, str] = field(default_factory=dict)
    reset: str | None = None
    first_start: tuple[str, ...] = ()

    @cached_property
    def colours(self) -> Mapping[str, str | None]:
        """Of each terminal, by its mark."""
        return {terminal.mark: terminal.colour for terminal in reversed(self.terminals)}

    def terminal(self, mark: str) -> Terminal:
        """The terminal of that mark; KeyError if there is none."""
        for terminal in self.terminals:
            if terminal.mark == mark:
                return terminal
        raise KeyError(mark)


@dataclass(frozen=True, kw_only=True)
class CableSheet:
    """A cable (or single wire, or link) of the stock.  Cores by their colour letters or printed numbers, in order."""

    type: str
    name: str
    cores: tuple[str, ...]
    size: Band  # m2
    where: Where
    pairs: tuple[tuple[str, str], ...] = ()
    screen: str | None = None
    single: bool = False
    link: str | None = None
    stranded: str | None = None
    diameter: Band | None = None
    reel: Band | None = None  # m on a reel as it is bought
    capacitance: Band | None = None  # F, of one metre between two cores

    @property
    def is_(self) -> str:
        return "cable"


@dataclass(frozen=True, kw_only=True)
class LineEndSheet:
    """End-of-line resistors of the stock."""

    type: str
    name: str
    values: LineEndValues
    where: Where

    @property
    def is_(self) -> str:
        return "line-end"


Sheet = DataSheet | CableSheet | LineEndSheet
SHEETS = (DataSheet, CableSheet, LineEndSheet)


# ---- doors and sites -------------------------------------------------------------------------------------------------

RelationKind = Literal["from", "through", "tells", "speaks", "obeys", "earths"]


@dataclass(frozen=True)
class Target:
    """Where a relation points: another device, maybe of another door, maybe a group of it and a side of a changeover.

    `terminal` is set for "A1:3".  `word` is set for a reserved word: mains, none.
    """

    device: str
    group: str | None = None
    side: Literal["make", "break"] | None = None
    terminal: str | None = None
    door: str | None = None
    word: str | None = None

    def __str__(self) -> str:
        if self.word:
            return self.word
        head = f"{self.door}/{self.device}" if self.door else self.device
        if self.terminal:
            return f"{head}:{self.terminal}"
        return ".".join(p for p in (head, self.group, self.side) if p)


@dataclass(frozen=True)
class Relation:
    """One relation as written.  `own` is the own group it was written for, or None for the only one that fits.

    `targets` has more than one entry only in `through`, for "A or B" (side by side).
    For `through`: `pole` is "plus" or "minus" where the author wrote a pole, else None (the house's `break`), and
    relations stand in order.
    """

    kind: RelationKind
    own: str | None
    targets: tuple[Target, ...]
    where: Where
    pole: Literal["plus", "minus"] | None = None

    @property
    def target(self) -> Target:
        return self.targets[0]


@dataclass(frozen=True, kw_only=True)
class Device:
    """One item under a designation."""

    ref: str
    sheet: DataSheet
    place: str
    relations: tuple[Relation, ...]
    where: Where
    by: Mapping[str, str] = field(default_factory=dict)  # supply, mount, terminate, test, or {"all": ...}
    mount: Mapping[str, str] = field(default_factory=dict)
    set: Mapping[str, str] = field(default_factory=dict)
    want: Mapping[str, str] = field(default_factory=dict)
    calm: str | None = None
    existing: bool = False


@dataclass(frozen=True)
class Run:
    """A run of cable from a place to its parent, which lies nearer the closet.  `transfer` is a device on it."""

    place: str
    parent: str
    length: Band
    where: Where
    transfer: str | None = None
    cable: str | None = None
    way: str | None = None
    outdoor: bool = False
    temperature: Band | None = None
    by: str | None = None


@dataclass(frozen=True)
class CableChoice:
    """A cable that the author laid down himself (`cables:`)."""

    ref: str
    where: Where
    type: str | None = None
    along: tuple[str, ...] = ()
    serves: tuple[str, ...] = ()
    existing: bool = False


@dataclass(frozen=True)
class AddedConductor:
    """A conductor that the author adds by hand, with a reason."""

    from_: Target
    to: Target
    why: str
    where: Where
    colour: str | None = None


@dataclass(frozen=True)
class AsBuilt:
    """A wire as it was found on the wall; what is None is as drawn.  `keys` is where each of its keys' values stands."""

    wire: str
    where: Where
    keys: Mapping[str, Where]
    from_: Target | None = None
    to: Target | None = None
    colour: str | None = None
    core: str | None = None
    length: Band | None = None
    note: str | None = None
    by: str | None = None
    date: str | None = None  # ISO 8601


@dataclass(frozen=True)
class Revision:
    """One issue of the paper."""

    rev: str
    date: str  # ISO 8601
    what: str
    by: str | None = None


@dataclass(frozen=True)
class Acceptance:
    """A finding that somebody has answered for.  An approval of a `stop` carries who, date and clause."""

    code: str
    reason: str
    where: Where
    by: str | None = None
    who: str | None = None
    date: str | None = None
    clause: str | None = None


@dataclass(frozen=True, kw_only=True)
class Door:
    """One door, its kit and feed overlay already merged in and its banks spelt out."""

    id: str
    name: str
    leave_by: tuple[str, ...]
    want: Mapping[str, str]
    runs: Mapping[str, Run]
    exposed: frozenset[str]
    devices: Mapping[str, Device]
    where: Where
    keys: Mapping[str, Where]  # where each top key of the door stands (of its kit, if it came from there)
    kit: str | None = None
    order: Mapping[str, tuple[str, ...]] = field(default_factory=dict)
    use: Mapping[str, str] = field(default_factory=dict)
    at_once: tuple[tuple[tuple[str, ...], int], ...] = ()
    fire_rating: str | None = None
    feed: str | None = None
    feeds: tuple[str, ...] = ()
    otherwise: tuple[Door, ...] = ()  # the door with each feed that is not built
    cables: Mapping[str, CableChoice] = field(default_factory=dict)
    add: tuple[AddedConductor, ...] = ()
    drop: tuple[tuple[Target, Target], ...] = ()
    dropped_why: tuple[str, ...] = ()  # the reason of each, empty where none was given
    as_built: tuple[AsBuilt, ...] = ()
    accept: tuple[Acceptance, ...] = ()
    notes: tuple[str, ...] = ()
    revisions: tuple[Revision, ...] = ()
    why_none: str | None = None  # why nobody can be inside, where leave-by is none
    about: Mapping[str, str] = field(default_factory=dict)  # what else the door's sheet says: location, handing ...


@dataclass(frozen=True)
class House:
    """How the site writes and wires; colours by IEC 60757."""

    units: Literal["metric", "imperial"] = "metric"
    paper: Literal["A4", "letter"] = "A4"
    letters: Literal["iec", "ieee"] = "iec"
    symbols: Literal["iec", "ieee"] = "iec"
    break_: Literal["plus", "minus"] = "plus"
    plus_core: str = "RD"
    minus_core: str = "BK"
    other_core: str = "WH"


@dataclass(frozen=True)
class LabelSheet:
    """A sheet of labels, upright: `across` and `down` from edge to edge of neighbours, `left` and `top` to the first; all m."""

    paper: Literal["A4", "letter"]
    rows: int
    columns: int
    across: float
    down: float
    left: float
    top: float
    wide: float
    tall: float


@dataclass(frozen=True)
class Stock:
    """What the site builds with; sheets by type name.  `calm` in order of liking."""

    power: tuple[CableSheet, ...]
    signal: tuple[CableSheet, ...]
    line: tuple[CableSheet, ...]
    link: CableSheet
    wire: CableSheet
    calm: tuple[DataSheet, ...] = ()
    line_end: LineEndSheet | None = None
    splice: str = "crimp"
    strip: str | None = None


@dataclass(frozen=True)
class Joint:
    """Doors that act together: `together` lists states (fire), `at_once` how many may be open."""

    name: str
    doors: tuple[str, ...]
    at_once: int | None = None
    together: tuple[str, ...] = ()


@dataclass(frozen=True, kw_only=True)
class Site:
    """A job: house rules, stock, shared devices, and its doors by id."""

    id: str  # the folder's name
    name: str
    codes: Mapping[str, str]
    house: House
    stock: Stock
    runs: Mapping[str, Run]
    shared: Mapping[str, Device]
    doors: Mapping[str, Door]
    where: Where
    use: Mapping[str, str] = field(default_factory=dict)
    standby: str | None = None
    battery: Mapping[str, Band] = field(default_factory=dict)  # alarm, margin, temperature
    signed: Mapping[str, str] = field(default_factory=dict)
    contacts: Mapping[str, str] = field(default_factory=dict)
    revisions: tuple[Revision, ...] = ()
    standing: Mapping[str, str] = field(default_factory=dict)  # the site's revision at which pages stand that are as issued
    exposed: frozenset[str] = frozenset()
    joint: tuple[Joint, ...] = ()
    slack: Band | None = None  # part of each cable that is bought beyond what is pulled
    labels: LabelSheet | None = None
    redacted: bool = False  # addresses, people and the names of ports are gone, and no setting is to be printed
    sheets: Mapping[str, Sheet] = field(default_factory=dict)  # every sheet that something uses, by type
    taken: frozenset[tuple[str, str]] = frozenset()  # device and group of all that something of site or doors points at

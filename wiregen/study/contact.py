"""What each contact carries, starts and breaks, against the rating of its data sheet by utilisation category.

Categories are those of IEC 60947-5-1: dc-12 and ac-12 for electronics and resistances, dc-13, ac-14 and ac-15 for coils.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from math import ceil
from typing import Any

from wiregen.reading.model import Band, Changeover, Contact, DataSheet, Door, Input, Rating
from wiregen.reading.shared import SITE
from wiregen.study.calming import COLD, limited_rush
from wiregen.study.coil import Coil, coils
from wiregen.study.copper import Loads, Supplied
from wiregen.study.formula import Formula, identifier, total
from wiregen.study.load import coil_of, draws
from wiregen.study.model import Figure
from wiregen.study.sensing import read_contacts
from wiregen.wiring.model import Wiring

IEC = "IEC 60947-5-1 (categories from memory)"
# category asked for → ratings that cover it, the fittest first: a contact for coils breaks resistances too
COVERED_BY = {
    "dc-12": ("dc-12", "dc-13", "dc"), "dc-13": ("dc-13",), "ac-12": ("ac-12", "ac-14", "ac-15", "ac"),
    "ac-14": ("ac-14", "ac-15"), "ac-15": ("ac-15",),
}  # fmt: skip
MAKES = {
    "dc-12": 1,
    "dc-13": 1,
    "ac-12": 1,
    "ac-14": 6,
    "ac-15": 10,
    "dc": 1,
    "ac": 1,
}  # times its amps: IEC 60947-5-1, from memory
SMALL_VA = 72.0  # up to it a magnet on alternating current is ac-14, beyond it ac-15: IEC 60947-5-1

BREAKS = Formula("volts", "V", {"volts": "V"}, "volts of the source")
SETTLES = Formula(
    "3 * inductance / resistance", "s", {"inductance": "H", "resistance": "ohm"}, "95 % of its current after three L / R"
)
SLOWEST = Formula(
    "min(6e-3 * watts, 0.3)", "s", {"watts": "W"}, "dc-13: T0.95 = 6 ms a watt up to 50 W; IEC 60947-5-1, from memory"
)
PULL_UP = Formula("volts / pull_up", "A", {"volts": "V", "pull_up": "ohm"}, "Ohm's law, the input shorted by the contact")
WETS = Formula("amps", "A", {"amps": "A"}, "what the input puts on the contact")


@dataclass(frozen=True)
class Behind:
    """A load behind a contact: what it draws, `rush` A as it starts, and the coil where it is one without a calmer."""

    name: str
    amps: Figure
    volts: Band
    category: str
    rush: float = 0.0
    untamed: Coil | None = None

    @property
    def starting(self) -> Band:
        """Amps as it starts, at least what it draws."""
        return Band(max(self.rush, self.amps.value), self.amps.least, max(self.rush, self.amps.most), "A", "")

    def of(self, door: str) -> Behind:
        """The same, named with its door, as a contact of the site counts it."""
        return replace(self, name=f"{door} {self.name}")


def behind(door: Door, wiring: Wiring, loads: Loads) -> dict[tuple[str, str], tuple[Behind, ...]]:
    """Every load of a door as a contact sees it, by device and group; without those whose current is not known."""
    known = {(c.at.device, c.at.load.name): c for c in coils(wiring, loads)}
    found: dict[tuple[str, str], tuple[Behind, ...]] = {}
    for at in loads:
        current = draws(door, wiring, loads, at)
        if current is None or at.volts is None:
            continue
        sheet, coil = wiring.devices[at.device].sheet, known.get((at.device, at.load.name))
        magnet = coil_of(sheet.inside, at.load) is not None or sheet.is_ == "lock"
        if at.load.current == "ac":
            category = "ac-12" if not magnet else "ac-14" if current.most * at.volts.most <= SMALL_VA else "ac-15"
        else:
            category = "dc-13" if magnet else "dc-12"
        untamed = coil if coil and not any(c.word != "limiter" for c in coil.calmers) else None
        load = Behind(f"{at.device}.{at.load.name}", current, at.volts, category, _rush(at, coil), untamed)
        found[at.device, at.load.name] = (load,)
    return found


def _rush(at: Supplied, coil: Coil | None) -> float:
    """Amps as it starts: as its data sheet says, else through its capacitor; with a limiter no more than that lets in cold."""
    for calmer in coil.calmers if coil else ():
        part = coil.inside(calmer) if coil and calmer.word == "limiter" else None
        if part and (limited := limited_rush(at, part)):
            return min(limited.most, at.load.inrush.amps if at.load.inrush else limited.most)
    if at.load.inrush:
        return at.load.inrush.amps
    if at.load.capacitance and at.load.esr and at.volts:
        return at.volts.most / at.load.esr.least
    return at.load.peak.most if at.load.peak and at.load.peak.unit == "A" else 0.0


def switched(
    ref: str, sheet: DataSheet, group: Contact | Changeover, loads: Sequence[Behind], exposed: bool = False
) -> tuple[tuple[Figure, ...], tuple[str, ...]]:
    """Figures of one contact with all that hangs behind it, of one door or of several, and what is missing for them.

    Coils and electronics behind one contact count together in the harder category.
    """
    if not loads:
        return (), ()
    about = f"{ref}.{group.name}"
    category = max((load.category for load in loads), key=list(COVERED_BY).index)
    rating = _rating(group.rating, category)
    names = _inputs(loads)
    all_of = dict.fromkeys(names, "A")
    steady: dict[str, Any] = {name: load.amps for name, load in names.items()}
    first: dict[str, Any] = {name: load.starting for name, load in names.items()}
    carried = total("A", all_of, "amps of all that hangs behind it").figure("amps through the contact", about, **steady)
    starts = total("A", all_of, "amps of all as they start").figure("inrush through the contact", about, **first)
    breaks = BREAKS.figure("volts that it breaks", about, volts=_widest([load.volts for load in loads]))
    rush = any(load.rush > load.amps.most for load in loads)
    slow = [f for load in loads if load.untamed and rating for f in _settles(about, load.untamed, rating)]
    missing: tuple[str, ...] = ()
    if rating is not None:
        times = MAKES[rating.category]
        bound = f"{rating.category} {rating.text}, rating of {sheet.type}; {IEC}"
        cure = _cure(about, category, carried.most, exposed)
        carried = replace(carried, ceiling=rating.amps, bound=bound, cure=cure)
        cure = _cure(about, category, starts.most / times, exposed)
        limiter = COLD(volts=breaks.most, amps=rating.amps * times)
        cure = f"{cure}; or a series limiter of {limiter:.2g} ohm cold and more, where the lock may have one"
        starts = replace(starts, ceiling=rating.amps * times, bound=f"makes {times} times {bound}", cure=cure)
        breaks = replace(breaks, ceiling=rating.volts, bound=bound, cure="a contact for more volts")
    else:
        what = f"whether {about} carries {', '.join(load.name for load in loads)}"
        key = f"groups: {{{group.name}: {{rating: {{{category}: 1 A 30 V}}}}}}"
        missing = (f"{what}: its data sheet {sheet.type} gives no {category} rating ({key})",)
    figures = (carried, *((starts,) if rush else ()), breaks, *slow)
    return tuple(replace(f, topic="contact") for f in figures), missing


def _inputs(loads: Sequence[Behind]) -> dict[str, Behind]:
    """The loads under names that a formula may have, no two alike."""
    names: dict[str, Behind] = {}
    for load in loads:
        name = identifier(load.name)
        while name in names:
            name += "_"
        names[name] = load
    return names


def _rating(ratings: Sequence[Rating], category: str) -> Rating | None:
    by_category = {r.category: r for r in ratings}
    return next((by_category[c] for c in COVERED_BY[category] if c in by_category), None)


def _widest(bands: Sequence[Band]) -> Band:
    return Band(max(b.nominal for b in bands), min(b.least for b in bands), max(b.most for b in bands), "V", "")


def _cure(about: str, category: str, most: float, exposed: bool) -> str:
    relay = "an isolation board on the secured side" if exposed else "an external relay"
    return f"{relay} that {about} drives, its own contact ({category}, {ceil(most * 10) / 10:g} A or more) in place of {about}"


def _settles(about: str, coil: Coil, rating: Rating) -> Iterator[Figure]:
    """How slow a coil without a calmer is: a dc-13 contact breaks it only up to the category's time."""
    if rating.category == "dc-13" and (winding := coil.winding):
        name = f"95 % time of {coil.name}"
        yield replace(
            SETTLES.figure(name, about, inductance=winding.inductance, resistance=winding.resistance),
            ceiling=SLOWEST(watts=winding.volts.least**2 / winding.resistance.most),
            bound=SLOWEST.source, cure=f"a calmer across {coil.name}",
        )  # fmt: skip


Known = Mapping[tuple[str, str], Sequence[Behind]]  # by device and group


def chained(wiring: Wiring, known: Known) -> dict[tuple[str, str], tuple[Behind, ...]]:
    """What hangs behind each contact of the circuits, by device and group; `known` gives it by load."""
    found: dict[tuple[str, str], dict[str, Behind]] = {}
    for chain in wiring.chains:
        for link in chain.links:
            for load in known.get((chain.load, chain.load_group), ()):
                found.setdefault((link.device, link.group), {})[load.name] = load
    return {key: tuple(of.values()) for key, of in found.items()}


def contact_figures(wiring: Wiring, known: Known) -> tuple[tuple[Figure, ...], tuple[str, ...]]:
    """Every contact in a circuit, and every one that an input reads; `known` is what is behind each load."""
    figures: list[Figure] = []
    missing: list[str] = []
    read, unwetted = sensed(wiring)
    behind_contacts = chained(wiring, known)
    for key in dict.fromkeys((*behind_contacts, *read)):
        ref, name = key
        device = wiring.devices.get(ref)  # None for a contact of the site that the site itself wires
        if device and isinstance(group := device.sheet.groups[name], Contact | Changeover):
            of = (*behind_contacts.get(key, ()), *read.get(key, ()))
            told, untold = switched(ref, device.sheet, group, of, device.exposed)
            figures += told
            missing += untold
    return tuple(figures), (*missing, *unwetted)


def of_site(wiring: Wiring, loads: Loads, known: Known) -> dict[tuple[str, str], tuple[Behind, ...]]:
    """What a door hangs on each output of the site and on each of its contacts, by device and group, named with the door."""
    shared = {ref for ref, device in wiring.devices.items() if device.origin == "site"}
    found: dict[tuple[str, str], tuple[Behind, ...]] = {}
    for at in loads:
        key = at.source, at.output.name
        found[key] = (*found.get(key, ()), *known.get((at.device, at.load.name), ()))
    return {
        (ref.removeprefix(f"{SITE}/"), group): tuple(load.of(wiring.door) for load in of)
        for (ref, group), of in (found | chained(wiring, known)).items()
        if ref in shared and of
    }


def sensed(wiring: Wiring) -> tuple[dict[tuple[str, str], tuple[Behind, ...]], tuple[str, ...]]:
    """What inputs put on each contact that they read, in series too, by device and group; and what is missing for it."""
    found: dict[tuple[str, str], tuple[Behind, ...]] = {}
    missing: list[str] = []
    for at, group, contacts in read_contacts(wiring):
        puts, why = _puts(at, wiring.devices[at].sheet, group)
        if puts:
            found |= {key: (*found.get(key, ()), puts) for key in contacts}
        missing += [why] if why and contacts else []
    return found, tuple(missing)


def _puts(ref: str, sheet: DataSheet, group: Input) -> tuple[Behind | None, str]:
    """What an input puts on a contact, by its pull-up or by its word."""
    name = f"{ref}.{group.name}"
    if group.wets_volts and group.wets_amps:
        return Behind(name, WETS.figure("current", name, amps=group.wets_amps), group.wets_volts, "dc-12"), ""
    if group.pull_up and group.pull_up_to:
        current = PULL_UP.figure("current", name, volts=group.pull_up_to, pull_up=group.pull_up)
        return Behind(name, current, group.pull_up_to, "dc-12"), ""
    if group.active in ("closed", "open") or group.plain or group.supervised:
        key = f"groups: {{{group.name}: {{pull-up: 2.2 kohm to 5 V}}}}"
        return None, f"what {name} puts on the contact that it reads: its data sheet {sheet.type} gives no pull-up ({key})"
    return None, ""

"""The right kind of current, the right volts, the right way round, from one source (trade list: mismatches)."""

from __future__ import annotations

from collections.abc import Iterator
from itertools import combinations

from wiregen.reading.model import Band, Gives, Site, Takes
from wiregen.review.rule import Case, Found, Job, door_rule, site_rule
from wiregen.study.copper import Copper, output_on_battery
from wiregen.wiring.model import End


@door_rule("ac-dc", "stop", "a load for direct current hangs on direct current, one for alternating current on alternating")
def ac_dc(case: Case) -> Iterator[Found]:
    for load in case.loads:
        if load.load.current != load.output.current:
            yield Found(
                case.at(load.device, "from"),
                f"{load.device} takes {load.load.current.upper()}, and {load.source}.{load.output.name} gives "
                f"{load.output.current.upper()}",
                f"{load.device}: {{from: an output that gives {load.load.current.upper()}}}",
            )


@door_rule("polarity", "stop", "a load that minds its polarity has its plus on the source's plus")
def polarity(case: Case) -> Iterator[Found]:
    for load in case.loads:
        if load.load.either_way or load.load.current != "dc" or load.output.current != "dc":
            continue
        plus_on_minus = case.copper.same(load.plus, load.source_minus)
        minus_on_plus = case.copper.same(load.minus, load.source_plus)
        if plus_on_minus or minus_on_plus:
            yield Found(
                case.at(load.device, "from"),
                f"{load.device} is fed the wrong way round",
                f"{load.device}:{load.load.first} to the plus of {load.source}.{load.output.name}",
            )


@door_rule("volts", "stop", "the volts of a source, float and battery included, lie within what the load takes")
def volts(case: Case) -> Iterator[Found]:
    """Drop along the cable comes on top and is the study's."""
    for load in case.loads:
        takes, given = load.load.range, load.volts
        if takes is None or given is None:
            continue
        where = case.at(load.device, "from")
        name = f"{load.source}.{load.output.name}"
        offered = f"{name} gives {_band(given)}, {load.device} takes {_band(takes)}"
        cure = f"{load.device}: a type for {given.nominal:.3g} V, or from an output of {takes.nominal:.3g} V"
        if not takes.least <= given.nominal <= takes.most:
            yield Found(where, offered, cure)
        elif given.most > takes.most or given.least < takes.least:
            yield Found(where, f"at its limits {offered}", cure, level="warn")
        else:
            battery = output_on_battery(case.site, load.source, load.output)
            if battery is not None and battery.least < takes.least:
                yield Found(
                    where,
                    f"on a battery near its end {name} gives {battery.least:.3g} V, {load.device} takes {_band(takes)}",
                    "hold it against the hours of standby that the site asks for",
                    level="note",
                )


def _band(band: Band) -> str:
    return f"{band.least:.4g} to {band.most:.4g} V"


@door_rule("two-sources", "stop", "exactly one source stands behind each circuit", approvable=False)
def two_sources(case: Case) -> Iterator[Found]:
    """Contacts counted as closed: what they join sooner or later, two sources must not fight over."""
    joined = Copper(case.wiring)
    for chain in case.wiring.chains:
        for link in chain.links:
            joined.join((link.enters, link.leaves))
    outputs = {
        End(ref, group.first): f"{ref}.{group.name}"
        for ref, device in case.wiring.devices.items()
        for group in device.sheet.groups.values()
        if isinstance(group, Gives) and group.first and case.copper.landed(End(ref, group.first))
    }
    sources: dict[End, list[End]] = {}
    for end in outputs:
        sources.setdefault(joined.root(end), []).append(end)
    for found in sources.values():
        for one, other in combinations(sorted(found), 2):
            if not any({one, other} <= set(tie) for tie in case.wiring.ties):
                device = next((end.device for end in (other, one) if end.device in case.door.devices), other.device)
                yield Found(
                    case.at(device),
                    f"{outputs[one]} and {outputs[other]} meet in one circuit: they feed each other",
                    "one `from` for each circuit, and a contact for each source",
                )


@door_rule("not-fed", "stop", "every lock of the door has a source", approvable=False)
def not_fed(case: Case) -> Iterator[Found]:
    fed = {load.device for load in case.loads}
    for lock in case.locks:
        groups = [g for g in lock.sheet.groups.values() if isinstance(g, Takes) and g.first]
        if groups and lock.ref not in fed:
            range_ = next((g.range for g in groups if g.range), None)
            yield Found(
                case.at(lock.ref),
                f"no source stands behind {lock.ref}: a relay gives no power of its own",
                f"{lock.ref}: {{from: an output" + (f" of {range_.nominal:.3g} V" if range_ else "") + "}",
            )


@door_rule("cut-off", "stop", "every load has a way to both poles of its source", approvable=False)
def cut_off(case: Case) -> Iterator[Found]:
    for load in case.study.cut_off:
        ref = load.split(".")[0]
        yield Found(
            case.at(ref, "from"),
            f"nothing leads from the source to {load} and back, whatever closes",
            f"the conductor that is lacking: `conductors` of the door, or `from` and `through` of {ref}",
        )


@site_rule("battery", "note", "it is worked out whether a battery lasts")
def battery(job: Job) -> Iterator[Found]:
    """Whether it lasts is held against the hours that the site asks for where the figures are."""
    site = job.site
    if site.standby is None:
        return
    figures = job.of_site.figures if job.of_site else ()
    held = {figure.about for figure in figures if figure.topic == "battery" and figure.unit == "A h" and figure.ceiling}
    for ref, device in sorted(site.shared.items()):
        lives = any(isinstance(g, Gives) and g.on_battery for g in device.sheet.groups.values())
        if lives and not held & {r.target.device for r in device.relations if r.kind == "from"}:
            yield Found(
                device.where,
                f"battery not computed: nothing that {ref} is fed from has a capacity, so nobody has worked out whether it "
                f"lasts {site.standby}; what frees the doors on fire must free them on battery too",
                f"{ref}: {{from: {{battery: a battery whose data sheet gives its capacity}}}}; "
                "try it at commissioning: mains off, then the fire contact",
                doors=tuple(sorted(door for door, case in job.cases.items() if ref in _behind(site, case))),
            )


def _behind(site: Site, case: Case) -> set[str]:
    """Every shared device that a load of the door hangs on."""
    found: set[str] = set()
    waiting = [load.source for load in case.loads]
    while waiting:
        ref = waiting.pop()
        if ref in site.shared and ref not in found:
            found.add(ref)
            waiting += [r.target.device for r in site.shared[ref].relations if r.kind == "from" and not r.target.word]
    return found


RULES = (ac_dc, polarity, volts, two_sources, not_fed, cut_off, battery)

"""Figures of the study that do not keep to their bounds: a rule for each topic."""

from __future__ import annotations

from collections.abc import Iterator
from itertools import groupby

from wiregen.quantities import bound, quantity
from wiregen.reading.model import Where
from wiregen.review.model import Level
from wiregen.review.rule import Case, Found, Job, Rule, door_rule
from wiregen.study.model import Figure, Study

# topics of the study → code, level, what is asked.  What a rule on the spec asks already (a screw that takes what is landed
# on it) has none.
ASKED: tuple[tuple[tuple[str, ...], str, Level, str], ...] = (
    (("volts", "conductor"), "volts-short", "stop", "every load gets the volts that it takes, in every state and at the worst"),
    (("port",), "port-short", "stop", "a port gives the watts and the volts that its device takes"),
    (("budget", "converter"), "over-budget", "stop", "an output gives what hangs on it, in the worst state"),
    (("calming",), "calmer-small", "stop", "what tames a coil carries its current and bears its volts"),
    (("contact",), "contact-small", "stop", "a contact carries and breaks what hangs behind it"),
    (("battery",), "battery-short", "stop", "a battery lasts the hours that the site asks for"),
    (("input",), "input-doubtful", "warn", "an input tells its states apart at the worst"),
    (("line",), "line-long", "warn", "a data line is no longer than its protocol and cable carry"),
    (("class",), "class-exceeded", "warn", "a source that is called class 2 keeps to its limits"),
    (("conduit",), "conduit-full", "warn", "a conduit is filled no more than its table allows"),
    (("fuse",), "fuse-large", "stop", "a fuse protects the thinnest wire behind it"),
)


def _broken(study: Study, topics: tuple[str, ...]) -> Iterator[tuple[str, list[Figure]]]:
    """What does not keep to its bounds, by what it is about, the worst first."""
    found = [figure for figure in study.figures if figure.topic in topics and (figure.margin or 0.0) < 0]
    for about, group in groupby(sorted(found, key=lambda f: f.about), key=lambda f: f.about):
        yield about, sorted(group, key=lambda f: (not f.grave, f.margin, f.name))


def _found(where: Where, about: str, figures: list[Figure], doors: tuple[str, ...] = ()) -> Found:
    """One finding for all that is wrong with one thing: of two figures that say the same the cure is the closer one."""
    worst = figures[0]
    told = "; ".join(f"{f.name} {_worst(f)}, must be {bound(f)}" for f in figures)
    cure = next((f.cure for f in figures if f.topic == "conductor" and f.cure), worst.cure)
    level: Level | None = None if worst.grave else "warn"
    return Found(where, f"{about}: {told} ({worst.bound})", cure, level=level, source=worst.source, doors=doors)


def _worst(figure: Figure) -> str:
    """The end of its band that breaks the bound."""
    low = figure.floor is not None and figure.least < figure.floor
    return f"{quantity(figure.least, figure.unit)} at least" if low else f"{quantity(figure.most, figure.unit)} at most"


def _rule(topics: tuple[str, ...], code: str, level: Level, words: str) -> Rule:
    @door_rule(code, level, words)
    def check(case: Case) -> Iterator[Found]:
        told = _of_the_source(case)
        for about, figures in _broken(case.study, topics):
            if "volts" in topics and about in told:
                continue
            yield _found(case.at(about.split(".")[0], "from"), about, figures)

    def of_site(job: Job) -> Iterator[Found]:
        if job.of_site is not None:
            for about, figures in _broken(job.of_site, topics):
                ref = about.split(".")[0]
                device = job.site.shared.get(ref)
                yield _found(device.where if device else job.site.where, about, figures, _hanging(job, ref))

    return Rule(check.code, check.level, check.words, check.source, check.approvable, of_door=check.of_door, of_site=of_site)


def _of_the_source(case: Case) -> set[str]:
    """The loads that their source does not suit, cable or no cable: the rule `volts` tells of them."""
    found = set()
    for load in case.loads:
        takes, given = load.load.range, load.volts
        if takes and given and not takes.least <= given.least <= given.most <= takes.most:
            found.add(f"{load.device}.{load.load.name}")
    return found


def _hanging(job: Job, ref: str) -> tuple[str, ...]:
    """The doors that hang on a shared device, through others that it feeds."""
    fed = {ref}
    for _ in job.site.shared:
        fed |= {
            other
            for other, device in job.site.shared.items()
            for relation in device.relations
            if relation.kind in ("from", "through") and {target.device for target in relation.targets} & fed
        }
    names = {name for one in fed for name in (one, f"site/{one}")}
    shared = {door: {r for r, d in case.wiring.devices.items() if d.origin == "site"} for door, case in job.cases.items()}
    return tuple(door for door, used in shared.items() if names & used)


RULES = tuple(_rule(*asked) for asked in ASKED)

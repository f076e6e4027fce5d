"""Figures of the study that do not keep to their bounds: a rule for each topic."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from itertools import groupby

from wiregen.quantities import bound, quantity
from wiregen.reading.model import RelationKind, Where
from wiregen.review.model import Level
from wiregen.review.rule import Case, Found, Job, Rule, door_rule
from wiregen.study.model import Figure, Study, Topic

SOURCE = "that of the figure, which the finding names"
ROUNDED = 1e-9  # part of a bound: less is rounding

# topics of the study → code, level, what is asked, and the relation at which it is found.  What a rule on the spec asks already
# (a screw that takes what is landed on it) has none.
ASKED: tuple[tuple[tuple[Topic, ...], str, Level, str, RelationKind | None], ...] = (
    (("volts", "conductor"), "volts-short", "stop", "every load gets the volts that it takes, at the worst", "from"),
    (("port",), "port-short", "stop", "a port gives the watts and the volts that its device takes", "from"),
    (("budget", "converter"), "over-budget", "stop", "an output gives what hangs on it, in the worst state", None),
    (("calming",), "calmer-small", "stop", "what tames a coil carries its current and bears its volts", None),
    (("contact",), "contact-small", "stop", "a contact carries and breaks what hangs behind it", "through"),
    (("battery",), "battery-short", "stop", "a battery lasts the hours that the site asks for", None),
    (("input",), "input-doubtful", "warn", "an input tells its states apart at the worst", "tells"),
    (("line",), "line-long", "warn", "a data line is no longer than its protocol and cable carry", "speaks"),
    (("class",), "class-exceeded", "warn", "a source that is called class 2 keeps to its limits", None),
    (("conduit",), "conduit-full", "warn", "a conduit is filled no more than its table allows", None),
    (("fuse",), "fuse-large", "stop", "a fuse protects the thinnest wire behind it", None),
)


def _broken(study: Study, topics: Sequence[Topic]) -> Iterator[tuple[str, list[Figure]]]:
    """What does not keep to its bounds, by what it is about; first by topic, then the worst."""
    found = [figure for figure in study.figures if figure.topic in topics and (figure.margin or 0.0) < -ROUNDED]
    for about, group in groupby(sorted(found, key=lambda f: f.about), key=lambda f: f.about):
        yield about, sorted(group, key=lambda f: (not f.grave, topics.index(f.topic), f.margin, f.name))


def _found(where: Where, about: str, figures: list[Figure], study: Study, doors: tuple[str, ...] = ()) -> Found:
    """One finding for all that is wrong with one thing.  Too few volts are cured by the cable that its run's figures name."""
    told = []
    for of, alike in groupby(figures, key=lambda f: f.bound):
        broken = "; ".join(f"{f.name} {_worst(f)}, must be {bound(f)}" for f in alike)
        told.append(f"{broken} ({of})" if of else broken)
    cure = figures[0].cure
    if figures[0].topic == "volts" and _low(figures[0]):
        cure = next((f.cure for f in study.figures if (f.topic, f.about) == ("conductor", about) and f.cure), cure)
    level: Level | None = None if figures[0].grave else "warn"
    return Found(where, f"{about}: {'; '.join(told)}", cure, level=level, source=figures[0].source, doors=doors)


def _low(figure: Figure) -> bool:
    return figure.floor is not None and figure.least < figure.floor


def _worst(figure: Figure) -> str:
    """The end of its band that breaks the bound, with as many figures as tell it from the bound."""
    low = _low(figure)
    value, limit = (figure.least, figure.floor) if low else (figure.most, figure.ceiling)
    texts = [quantity(value, figure.unit, figures) for figures in range(3, 10)]
    told = next((text for text in texts if text != quantity(limit or 0.0, figure.unit)), texts[-1])
    return f"{told} at {'least' if low else 'most'}"


def _at(case: Case, about: str, kind: RelationKind | None) -> Where:
    """The line that would have to change: the relation that leads to what it is about, or that starts there; or its run."""
    ref, _, name = about.partition(".")
    for device in case.door.devices.values():
        for relation in device.relations:
            if relation.kind == kind and any((target.device, target.group) == (ref, name) for target in relation.targets):
                return relation.where
    run = case.door.runs.get(about)
    return run.where if run else case.at(ref, kind)


def _rule(topics: Sequence[Topic], code: str, level: Level, words: str, kind: RelationKind | None) -> Rule:
    @door_rule(code, level, words, source=SOURCE)
    def check(case: Case) -> Iterator[Found]:
        told = _of_the_source(case)
        for about, figures in _broken(case.study, topics):
            if "volts" in topics and about in told:
                continue
            yield _found(_at(case, about, kind), about, figures, case.study)

    def of_site(job: Job) -> Iterator[Found]:
        if job.of_site is not None:
            for about, figures in _broken(job.of_site, topics):
                ref = about.split(".")[0]
                device = job.site.shared.get(ref)
                doors = tuple(door for door in job.cases if any(door in figure.doors for figure in figures))
                where = device.where if device else job.site.where
                yield _found(where, about, figures, job.of_site, doors or _hanging(job, ref))

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

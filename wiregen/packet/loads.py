"""What hangs on each port and each output of the site, and what is left there: the study's figures, set side by side.

Nothing is added up here.  What one part takes, the study of its door gave; what all of them take, the study of the site.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from itertools import groupby

from wiregen.packet.content import Cell, Column, Fails, Notes, Section, Strong, Table, blocks
from wiregen.packet.wording import by_text, named
from wiregen.quantities import percent, quantity
from wiregen.reading.model import Gives, Jack, Site
from wiregen.reading.shared import SITE
from wiregen.study.budget import LITTLE
from wiregen.study.formula import identifier
from wiregen.study.hanging import plain
from wiregen.study.model import Figure, Study
from wiregen.study.site import OF_OUTPUTS
from wiregen.wiring.model import End, Wiring

ALLOTTED, USED = "switch budget, as allotted by class", "switch budget, as used"
IDLE, WORST = "amps of all, idle", "amps of all, worst states together"
GUARD = "amps that the thinnest wire may have to carry"  # says what guards the wire, not what hangs on the output


@dataclass(frozen=True)
class OnPort:
    """A port of a switch of the site.  `on` is what is plugged in, by way of what; W at the port, None where it gives none."""

    switch: str
    port: str
    on: str
    door: str
    class_: int | None
    granted: int | None
    allotted: float | None
    used: float | None


@dataclass(frozen=True)
class Amps:
    """In A: idle, in the worst state, and as it starts; None where the study tells none."""

    idle: float | None
    worst: float | None
    peak: float | None


@dataclass(frozen=True)
class OnOutput:
    """What hangs on an output, part by part, and all of it; in A.

    `limit` is that of the data sheet.  `tight` is the figure with least left of all that bind this output.
    """

    output: str
    behind: str  # "fuse", or empty
    limit: float | None
    parts: tuple[tuple[str, str | None, Amps], ...]  # name, door
    all: Amps
    tight: Figure | None


def ports(site: Site, wirings: Mapping[str, Wiring], studies: Mapping[str, Study]) -> Iterator[OnPort]:
    """Every port that could give power, of every device of the site, in the order of the data sheets."""
    plugged = dict(_plugged(wirings))
    uses = {(plain(use.source), use.port.mark): use for of in wirings if of in studies for use in studies[of].uses}
    of_site = _of_site(studies)
    for ref, device in site.shared.items():
        allotted = of_site.get((ref, ALLOTTED))
        for jack in device.sheet.groups.values():
            if not isinstance(jack, Jack) or jack.poe != "out":
                continue
            use = uses.get((ref, jack.mark))
            door, on = plugged.get(End(ref, jack.mark), ("", ""))
            watts = allotted.inputs.get(identifier(f"{use.door}.{use.device}")) if use and allotted else None
            yield OnPort(
                ref, jack.mark, on, door, jack.poe_class, use.granted if use else None, watts, use.watts.most if use else None
            )


def _plugged(wirings: Mapping[str, Wiring]) -> Iterator[tuple[End, tuple[str, str]]]:
    """End of a link at a device of the site → door, and what is at the other end, past patch panels."""
    for of, wiring in wirings.items():
        links = [pair for link in wiring.links for pair in ((link.a, link.b), (link.b, link.a))]
        across, leads = dict(_passed_through(wiring)), dict(reversed(links))
        for near, far in links:
            way: list[End] = [far]
            while (beyond := across.get(way[-1])) is not None:
                onward = leads.get(beyond)
                if onward is None:
                    break
                way.append(onward)
            device = wiring.devices.get(near.device)
            if of == SITE or (device and device.origin == "site"):
                text = " by way of ".join((str(way[-1]), ", ".join(map(str, way[:-1])))) if way[:-1] else str(way[-1])
                yield End(plain(near.device), near.terminal), ("" if of == SITE else of, text)


def _passed_through(wiring: Wiring) -> Iterator[tuple[End, End]]:
    for ref, device in wiring.devices.items():
        for group in device.sheet.groups.values():
            if jacks := getattr(group, "jacks", None):
                yield End(ref, jacks[0]), End(ref, jacks[1])
                yield End(ref, jacks[1]), End(ref, jacks[0])


def outputs(site: Site, studies: Mapping[str, Study]) -> Iterator[OnOutput]:
    """Every direct-current output of every device of the site, in their order; what hangs on none has no parts."""
    of_site, about = studies.get(SITE), _about(studies)
    for ref, device in site.shared.items():
        for group in device.sheet.groups.values():
            if not isinstance(group, Gives) or group.current != "dc":
                continue
            at = f"{ref}.{group.name}"
            parts = tuple(
                (part.name, part.door, Amps(*map(_told, (part.idle.most, part.worst.most, part.peak))))
                for part in (of_site.parts.get(at, ()) if of_site else ())
            )
            limit = group.limit.nominal if group.limit and group.limit.unit == "A" else None
            doors = {SITE, *(door for _, door, _ in parts if door)}
            binding = (f for door, f in about.get(at, ()) if door in doors)
            bound = [f for f in binding if f.margin is not None and f.unit == "A" and f.name != GUARD]
            tight = min(bound, key=lambda f: f.margin or 0.0, default=None)
            fused = "fuse" if group.limit_kind == "fuse" else ""
            yield OnOutput(at, fused, limit, parts, _all(about.get(at, ()), parts), tight)


def _told(amps: float) -> float:
    """What leaks through open contacts alone is nothing."""
    return amps if amps > LITTLE else 0.0


def _about(studies: Mapping[str, Study]) -> dict[str, list[tuple[str, Figure]]]:
    """What is told of each output, and by whose study."""
    found: dict[str, list[tuple[str, Figure]]] = {}
    for of, study in studies.items():
        for f in study.figures:
            if f.topic in OF_OUTPUTS:
                found.setdefault(plain(f.about), []).append((of, f))
    return found


def _all(told: Sequence[tuple[str, Figure]], parts: tuple[tuple[str, str | None, Amps], ...]) -> Amps:
    """Of one part its own; of several as the study of the site added them up, which leaves out what is as in the worst case."""
    if len(parts) < 2:
        return parts[0][2] if parts else Amps(None, None, None)
    own = [figure for of, figure in told if of == SITE]
    worst, idle = (next((f for f in own if f.name == name), None) for name in (WORST, IDLE))
    starting = [f.most for f in own if f.name.startswith("amps of all as")]
    least = idle.most if idle else worst.most if worst and any(amps.idle for _, _, amps in parts) else None
    return Amps(least, worst.most if worst else None, max(starting, default=None))


def _of_site(studies: Mapping[str, Study]) -> dict[tuple[str, str], Figure]:
    """The figures of the site by what they are about and their name; of several the first."""
    figures = studies[SITE].figures if SITE in studies else ()
    return {(f.about, f.name): f for f in reversed(figures)}


# ---- on paper --------------------------------------------------------------------------------------------------------


def load_sheets(site: Site, wirings: Mapping[str, Wiring], studies: Mapping[str, Study]) -> Section:
    found_ports, found_outputs = tuple(ports(site, wirings, studies)), tuple(outputs(site, studies))
    return Section(
        key="loads",
        title="Switch and supply loads",
        blocks=blocks(
            Notes(
                (
                    "Most that can be over all tolerances, as the study of each door and of the site gave it; nothing here is "
                    "added up anew.  Formulas and inputs: wiregen study, --door site.",
                    "Left: of what binds first, the limit of the output, its peak, or the part of its fuse that a steady load "
                    "may take.",
                    "What a supply at a door gives stands on the power sheet of that door.",
                ),
                across=1,
                caption="How to read these sheets",
            ),
            _ports_table(studies, found_ports),
            _outputs_table(found_outputs),
        ),
    )


def _ports_table(studies: Mapping[str, Study], found: tuple[OnPort, ...]) -> Table:
    rows: list[tuple[Cell, ...]] = []
    of_site = _of_site(studies)
    for switch, its in groupby(found, lambda port: port.switch):
        rows.append((switch,))
        own = list(its)
        for p in own:
            if p.on:
                granted = f"class {p.granted}" if p.granted is not None else "data only"
                rows.append((Strong(p.port), p.door or SITE, p.on, granted, _watts(p.allotted), _watts(p.used), ""))
        free = by_text({p.port: "not said" if p.class_ is None else f"class {p.class_}" for p in own if not p.on})
        rows += [(Strong(named(marks)), "", "free", class_, "", "", "") for class_, marks in free.items()]
        allotted, used = (of_site.get((switch, name)) for name in (ALLOTTED, USED))
        rows.append((Strong("all"), "", *_totals(allotted, used)))
    return Table(
        "Ports that give power",
        (
            Column("Port", 30),
            Column("Door", 18),
            Column("What is plugged in", 84),
            Column("Class", 26),
            Column("Allotted", 24, "right"),
            Column("Used at most", 24, "right"),
            Column("Budget, and what is left of it", 60),
        ),
        tuple(rows),
    )


def _totals(allotted: Figure | None, used: Figure | None) -> tuple[Cell, ...]:
    told = [f for f in (allotted, used) if f]
    bound = min((f for f in told if f.margin is not None), key=lambda f: f.margin or 0.0, default=None)
    left: Cell = _left(bound) if bound else "budget not in its data sheet" if told else "nothing draws on it"
    return "", "", _watts(allotted.most if allotted else None), _watts(used.most if used else None), left


def _watts(value: float | None) -> str:
    return "" if value is None else quantity(value, "W")


def _outputs_table(found: tuple[OnOutput, ...]) -> Table:
    rows: list[tuple[Cell, ...]] = []
    by_device: dict[str, list[OnOutput]] = {}
    for at in found:
        by_device.setdefault(at.output.split(".")[0], []).append(at)
    for ref, own in by_device.items():
        rows.append((ref,))
        for at in own:
            rows += _rows(at)
        free = by_text({at.output: _limit(at) for at in own if not at.parts})
        rows += [(Strong(named(names)), "free", "", "", "", limit, "") for limit, names in free.items()]
    return Table(
        "Outputs of supplies, batteries and fuse boards",
        (
            Column("Output", 36),
            Column("On it", 62),
            Column("Idle", 22, "right"),
            Column("Worst", 22, "right"),
            Column("Starting", 22, "right"),
            Column("Limit", 26, "middle"),
            Column("What is left", 80),
        ),
        tuple(rows),
    )


def _rows(at: OnOutput) -> Iterator[tuple[Cell, ...]]:
    several = len(at.parts) > 1
    for n, (name, _, amps) in enumerate(at.parts):
        end = ("", "") if several else (_limit(at), _left(at.tight))
        yield (Strong(at.output) if n == 0 else "", name, *_three(amps), *end)
    if several:
        yield ("", Strong("all together"), *_three(at.all), _limit(at), _left(at.tight))


def _limit(at: OnOutput) -> str:
    return f"{_amps(at.limit) or 'none stated'} {at.behind}".rstrip()


def _three(amps: Amps) -> tuple[str, str, str]:
    return _amps(amps.idle), _amps(amps.worst), _amps(amps.peak)


def _amps(value: float | None) -> str:
    return "" if value is None else quantity(value, "A")


def _left(figure: Figure | None) -> Cell:
    """"733 mA of 1 A, 73 %"; what does not hold, white on black."""
    if figure is None or figure.ceiling is None or figure.margin is None:
        return "no limit stated"
    text = f"{quantity(figure.ceiling - figure.most, figure.unit)} of {quantity(figure.ceiling, figure.unit)}, "
    text += percent(figure.margin).lstrip("+")
    return Fails(f"FAILS: {text}") if figure.margin < 0 else text



"""What the doors of a site draw together from each of its outputs and through its fuses, against the limits of these."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import replace

from wiregen.reading.model import Band, Gives
from wiregen.study.budget import LITTLE, PEAK, TRIPS
from wiregen.study.formula import identifier, total
from wiregen.study.fuse import through_fuse
from wiregen.study.hanging import Hanging, Part, at_once, doors_of
from wiregen.study.model import Figure
from wiregen.wiring.fitting import At

SUM = "sum over doors, each from its own study, and the site's own loads"
ONE_STARTS = "one door starts at a time: common practice, no source"


def sums(hanging: Hanging) -> Iterator[Figure]:
    """Figures of every output of the site: idle, in a fire, in the worst states that can coincide, and as something starts."""
    for at, output in hanging.outputs.items():
        parts = hanging.parts(at)
        if output.current == "dc" and any(part.worst.most for part in parts):
            yield from (replace(figure, doors=doors_of(parts)) for figure in _sums(hanging, at, output, parts))


def added(name: str, at: At, on: dict[str, Band], note: str = "") -> Figure:
    """What parts take together, by their names, in A; what takes nothing is left out."""
    named = {identifier(part): amps for part, amps in on.items() if amps.most > LITTLE}
    told = total("A", dict.fromkeys(named, "A"), SUM).figure(name, str(at), note=note, source="", **named)
    return replace(told, topic="budget")


def _sums(hanging: Hanging, at: At, output: Gives, parts: Sequence[Part]) -> Iterator[Figure]:
    device = hanging.shared.devices[at.device]
    on, note = at_once(parts, hanging.site.joint)
    worst = added("amps of all, worst states together", at, on, note)
    told = [worst]
    if len(parts) > 1:  # what one door alone draws stands with the door
        idle = added("amps of all, idle", at, {part.name: part.idle for part in parts})
        fire = added("amps of all, in a fire", at, {part.name: part.fire for part in parts})
        told = [figure for figure in (idle, fire) if figure.inputs and not _alike(figure, worst)] + [worst]
    limit = output.limit if output.limit and output.limit.unit == "A" else None
    bound = f"data sheet {device.sheet.type}: limit of {at}" if limit else ""
    cure = f"{device.ref} of {worst.most:.3g} A or more, or some of its doors on another source"
    for figure in told:
        yield replace(figure, ceiling=limit.nominal if limit else None, bound=bound, cure=cure)
    if len(parts) > 1 or parts[0].door is None:
        yield from through_fuse(replace(worst, name="amps of all through the fuse", grave=False), output)
    yield from _starting(at, output, parts, on, worst, device.sheet.type)


def _alike(one: Figure, other: Figure) -> bool:
    return one.inputs.keys() == other.inputs.keys() and abs(one.most - other.most) < LITTLE


def _starting(
    at: At, output: Gives, parts: Sequence[Part], on: dict[str, Band], worst: Figure, sheet: str
) -> Iterator[Figure]:
    """As the one part starts that rushes most while all others are on; and as all start that a fire has dropped."""
    ceiling = output.peak.amps if output.peak else output.limit.nominal if output.limit and output.overload in TRIPS else None
    if ceiling is None or len(parts) < 2:
        return
    bound = f"data sheet {sheet}: {'peak' if output.peak else 'limit'} of {at}, which {output.overload} at more"
    first = max(parts, key=lambda part: (part.peak - on[part.name].most, part.name))
    if first.peak > on[first.name].most:
        told = PEAK.figure(
            "amps of all as one starts", str(at), note=f"{first.name} starts with {first.peak:.3g} A; {ONE_STARTS}",
            amps=worst, own=on[first.name], inrush=first.peak,
        )  # fmt: skip
        cure = f"a limiter in the lead of {first.name}, or a source with more to spare"
        yield replace(told, topic="budget", ceiling=ceiling, bound=bound, cure=cure)
    dropped = [part for part in parts if part.fire.most < part.idle.most]
    if len(dropped) > 1:
        again = {part.name: part.idle for part in parts} | {part.name: _peak(part) for part in dropped}
        told = added("amps of all as they start again after a fire", at, again, "each with its largest load as it starts")
        cure = "a source with more to spare, or doors that are switched on again one after the other"
        yield replace(told, ceiling=ceiling, bound=bound, cure=cure)


def _peak(part: Part) -> Band:
    return Band(part.peak, part.peak, part.peak, "A", "")

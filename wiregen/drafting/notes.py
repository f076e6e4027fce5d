"""What stands on a wiring sheet beside the drawing: cautions, unused leads, key to letters, joints, screens, screws."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterator, Sequence

from wiregen.drafting.cautions import cautions_for
from wiregen.drafting.colours import NAMES, OTHER, base_and_tracer
from wiregen.drafting.flow import Block
from wiregen.drafting.parts import short
from wiregen.reading.model import Door, Site
from wiregen.wiring.model import Wiring


def blocks_for(site: Site, door: Door, wiring: Wiring) -> tuple[Block, ...]:
    """All blocks of a door, what matters most first; empty ones are left out."""
    blocks = [
        Block("Notes", (*cautions_for(site, door, wiring), *door.notes), first=1),
        Block("Unused: insulate singly and fold back", tuple(_unused(wiring))),
        Block("Colours (IEC 60757)", tuple(_key(wiring))),
        Block("Joints", tuple(_joints(wiring))),
        Block("Line ends", tuple(_line_ends(wiring))),
        Block("Screens", tuple(_screens(wiring))),
        Block("Links", tuple(_links(wiring))),
        Block("Spare cores: insulate, coil up", tuple(_spares(wiring))),
        Block("Screws", tuple(_screws(wiring))),
    ]
    return tuple(b for b in blocks if b.lines)


def _unused(wiring: Wiring) -> Iterator[str]:
    leads: dict[str, list[str]] = defaultdict(list)
    for u in wiring.unused:
        if u.is_lead:
            leads[u.device].append(f"{u.terminal} {u.colour}")
    for device, marks in leads.items():
        yield f"{device}: {', '.join(marks)}"
    screws: dict[str, list[str]] = defaultdict(list)
    for u in wiring.unused:
        if not u.is_lead:
            screws[u.device].append(u.terminal)
    for device, marks in screws.items():
        if wiring.devices[device].origin == "door":
            yield f"{device} screws left free: {', '.join(marks)}"


def _key(wiring: Wiring) -> Iterator[str]:
    used = {c.colour for c in wiring.conductors} | {u.colour for u in wiring.unused if u.colour}
    letters = {part for colour in used for part in base_and_tracer(colour) if part}
    words = [f"{k} {v}" for k, v in NAMES.items() if k in letters and k != "GNYE"]
    if "GNYE" in used:
        words.append("GNYE green-yellow, earth only")
    if words:
        traced = "; WH-RD: white with red tracer" if any("-" in c for c in used) else ""
        yield ", ".join(words) + traced
    if used & set(OTHER):
        yield "bare: no insulation, sleeve it"


def _joints(wiring: Wiring) -> Iterator[str]:
    kinds: dict[tuple[str, str], list[str]] = defaultdict(list)
    for j in wiring.junctions:
        kinds[j.end.device, j.kind].append(j.end.terminal)
    for (box, kind), names in kinds.items():
        yield f"{box}: {_run(names)} {kind}"
    leads: dict[tuple[str, str], list[str]] = defaultdict(list)
    for joint in wiring.lead_joints:
        leads[joint.end.device, joint.kind].append(joint.end.terminal)
    for (device, kind), names in leads.items():
        yield f"Leads of {device}: {kind} each, in its back box ({len(names)})"


def _line_ends(wiring: Wiring) -> Iterator[str]:
    for e in wiring.line_ends:
        place = f"{e.ref} at the sensor" if e.ref else "cast in"
        yield f"{e.sensor} to {e.input}: {short(e.values.series)} in series, {short(e.values.across)} across, {place}"


def _screens(wiring: Wiring) -> Iterator[str]:
    for ref, cable in wiring.cables.items():
        if cable.sheet.screen:
            where = cable.screen_why or (f"landed at {cable.screen_at}" if cable.screen_at else "insulated at both ends")
            yield f"{ref}: {where}"


def _links(wiring: Wiring) -> Iterator[str]:
    sheets = {k.sheet.type: k.sheet for k in wiring.links}
    for kind, sheet in sheets.items():
        refs = ", ".join(dict.fromkeys(k.ref for k in wiring.links if k.sheet.type == kind))
        pins = " ".join(f"{n} {core}" for n, core in enumerate(sheet.cores, 1))
        yield f"{refs}: {sheet.link}. {pins}"


def _spares(wiring: Wiring) -> Iterator[str]:
    spare = [f"{ref} {' '.join(c.spares)}" for ref, c in wiring.cables.items() if c.spares]
    if spare:
        yield "; ".join(spare)


def _screws(wiring: Wiring) -> Iterator[str]:
    kinds: dict[str, list[str]] = defaultdict(list)
    for ref, device in wiring.devices.items():
        screw = device.sheet.screw
        if screw is not None and device.used:
            strip = f", strip {short(screw.strip)}" if screw.strip else ""
            torque = f", {short(screw.torque).replace('N m', 'N·m')}" if screw.torque else ""
            kinds[f"{screw.text.replace('mm2', 'mm²')}{strip}{torque}"].append(ref)
    for text, refs in kinds.items():
        yield f"{', '.join(refs)}: {text}"


def _run(names: Sequence[str]) -> str:
    """ "s1 to s4, s7" for names that count up."""
    out: list[list[str]] = []
    for name in names:
        head, digits = name.rstrip("0123456789"), name[len(name.rstrip("0123456789")) :]
        last = out[-1][-1] if out else ""
        if digits and last == f"{head}{int(digits) - 1}":
            out[-1].append(name)
        else:
            out.append([name])
    return ", ".join(run[0] if len(run) == 1 else f"{run[0]} to {run[-1]}" if len(run) > 2 else ", ".join(run) for run in out)

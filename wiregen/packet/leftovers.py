"""What a technician must know of each joint, device and cable beyond its conductors: screws, leads, spare cores, screens."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterator, Sequence

from wiregen.drafting.colours import NAMES, base_and_tracer
from wiregen.packet.content import Facts
from wiregen.packet.wording import merged, plural
from wiregen.quantities import typeset
from wiregen.study.screw import in_a_row
from wiregen.wiring.model import End, LeadJoint, Unused, WiredDevice, Wiring


def leftovers(wiring: Wiring) -> Facts:
    """Joints, devices, cables, mains and colour letters; those of which the same is said stand together."""
    said: dict[str, list[str]] = {}

    def say(name: str, text: str) -> None:
        said.setdefault(name, []).append(text)

    landed: dict[End, list[str]] = defaultdict(list)
    for c in wiring.conductors:
        for end in (c.a, c.b):
            landed[end].append(c.wire)
    unused: dict[str, list[Unused]] = defaultdict(list)
    for each in wiring.unused:
        unused[each.device].append(each)
    joined: dict[str, list[LeadJoint]] = defaultdict(list)
    for joint in wiring.lead_joints:
        joined[joint.end.device].append(joint)
    for junction in wiring.junctions:
        wires = landed[junction.end]
        connectors, bridges = in_a_row(junction.kind, len(wires))
        row = f", {connectors} in a row with {plural(bridges, 'bridge')} of the thickest size" if bridges else ""
        say(str(junction.end), f"{junction.kind}, {plural(len(wires), 'end')}{row}: {', '.join(wires)}")
    for ref, device in wiring.devices.items():
        for text in _of_device(device, joined[ref], unused[ref]):
            say(ref, text)
    for ref, cable in wiring.cables.items():
        spare = f"{len(cable.spares)} of {len(cable.cores)} cores spare, coil up, insulate singly: {', '.join(cable.spares)}"
        say(ref, spare if cable.spares else f"all {plural(len(cable.cores), 'core')} used")
        if cable.screen_why:
            say(ref, f"screen {cable.screen_why}")
    if wiring.mains:
        say("Mains", f"licensed electrician: {', '.join(map(str, wiring.mains))}")
    if colours := _colours(wiring):
        say("IEC 60757", colours)
    rows = merged((name, "; ".join(texts)) for name, texts in said.items())
    return Facts(rows, caption="Joints, screws, leads, spare cores, screens, colour letters")


def _of_device(device: WiredDevice, joints: Sequence[LeadJoint], unused: Sequence[Unused]) -> Iterator[str]:
    """What a screw takes, how leads are joined, and what is left over."""
    screw = device.sheet.screw
    if screw and device.used:
        strip = f"strip {screw.strip.text}" if screw.strip else "strip length not in its data sheet"
        torque = f"torque {screw.torque.text}" if screw.torque else "torque not in its data sheet"
        yield typeset(f"screws {screw.text}, {strip}, {torque}")
    elif device.sheet.leads and device.used:
        yield f"leads {typeset(device.sheet.leads)}"
    joined: dict[str, list[str]] = {}
    for joint in joints:
        joined.setdefault(joint.kind, []).append(joint.end.terminal)
    for kind, leads in joined.items():
        yield f"{kind} on each lead, in its own box: {', '.join(dict.fromkeys(leads))}"
    leads = [f"{u.terminal} {u.colour}" for u in unused if u.is_lead]
    if leads:
        yield f"insulate singly and fold back: {', '.join(leads)}"
    free = [u.terminal for u in unused if not u.is_lead]
    if free:
        yield f"leave empty: {', '.join(free)}"


def _colours(wiring: Wiring) -> str:
    """Colour letters of this door in words, in the order of the standard's table."""
    used = {c.colour for c in wiring.conductors} | {u.colour for u in wiring.unused if u.colour}
    used |= {j.lead_colour for j in wiring.lead_joints} | {s for c in wiring.cables.values() for s in c.spares}
    letters = {part for colour in used for part in base_and_tracer(colour)} | used
    words = ", ".join(f"{short} {name}" for short, name in NAMES.items() if short in letters)
    traced = next((colour for colour in sorted(used) if "-" in colour), None)
    if not traced:
        return words
    base, tracer = (NAMES.get(part or "", part) for part in base_and_tracer(traced))
    return f"{words}; {traced}: {base} with a {tracer} tracer"
